"""The pages of applications: what they show, what they refuse in words, and how many queries they take."""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from accessions.sites.models import SiteTenure
from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.plans.models import Application, ApplicationScan, FieldPlan, PlanPaper
from governance.plans.queries.check import check_plan
from governance.verdicts.models import CountrySheet
from tests.factories import plans, register, scans

pytestmark = pytest.mark.django_db

DAY = date(2026, 11, 26)


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


def words(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


def page(client: Client, name: str, *keys: Any, query: str = "", **data: Any) -> Any:
    path = reverse(f"plans:{name}", args=keys) + query
    return client.post(path, data) if data else client.get(path)


def georgia(lead_days: int | None = 150) -> None:
    """A sheet that requires an export permit, with the authority that gives it."""
    sheet = register.sheet("GE", authority="Nazvri Directorate", contact="Permit desk")
    register.rule(sheet, Layer.EXPORT, lead_days=lead_days)


def trip() -> FieldPlan:
    """Two stops in Georgia; the material leaves on 11 June 2027."""
    plan = plans.field_plan(reference="FP-2027-03", title="Nazvri headwaters")
    plans.way_home(plan, from_country="GE", exported_on="2027-06-11")
    plans.stop(plan, name="Weir", country="GE")
    plans.stop(plan, name="Lake", country="GE", position=1)
    return plan


class TestNew:
    """From a gap of the check to the checklist."""

    def test_filled_in_from_the_check_and_the_country_sheet(self, curator: Client) -> None:
        """Hand: 11 June 2027 less 150 days is 12 January 2027 (11 days of June, 31 + 30 + 31 + 28 = 120 of May to
        February: 131; 19 more back from 31 January)."""
        georgia()
        plan = trip()
        initial = page(curator, "application-new", plan.pk, query="?layer=export").context["form"].initial
        assert initial["start_by"] == date(2027, 1, 12)
        assert (initial["kind"], initial["authority"], initial["contact"]) == (
            "export-permit", "Nazvri Directorate", "Permit desk",
        )  # fmt: skip
        assert initial["stops"] == []

    def test_land_is_asked_of_its_owner_and_not_of_the_authority(self, curator: Client) -> None:
        georgia()
        site = register.site("GE-NAZ-1")
        held = ((None, date(2026, 1, 1), "Before"), (date(2026, 1, 2), None, "M. Kvirikashvili"))
        for first, last, name in held:
            SiteTenure.objects.create(site=site, agent=register.agent(name), held_from=first, held_to=last)
        plan = plans.field_plan()
        stop = plans.stop(plan, country="GE", site=site)
        answer = page(curator, "application-new", plan.pk, query=f"?layer=land&stop={stop.pk}")
        initial = answer.context["form"].initial
        assert (initial["authority"], initial["stops"]) == ("M. Kvirikashvili", [stop.pk])

    def test_unknown_stays_blank(self, curator: Client) -> None:
        """No sheet: no authority, no lead time, no day."""
        initial = page(curator, "application-new", trip().pk, query="?layer=export").context["form"].initial
        assert (initial["start_by"], initial["authority"]) == (None, "")

    def test_a_layer_without_a_gap_still_names_its_authority(self, curator: Client) -> None:
        """Species are not required here, so the check lacks nothing; the sheet knows whom to ask all the same."""
        georgia()
        register.rule(register.sheet("SE", authority="Other"), Layer.SPECIES)
        plan = trip()
        register.rule(CountrySheet.objects.get(country="GE"), Layer.SPECIES, required=False)
        initial = page(curator, "application-new", plan.pk, query="?layer=species").context["form"].initial
        assert (initial["authority"], initial["start_by"]) == ("Nazvri Directorate", None)

    @pytest.mark.parametrize("query", ["", "?layer=nonsense", "?stop=x", f"?layer=export&stop={'9' * 30}"])
    def test_nonsense_in_the_address_is_left_out(self, curator: Client, query: str) -> None:
        assert page(curator, "application-new", trip().pk, query=query).status_code == 200

    def test_what_is_asked_for_already_is_said(self, curator: Client) -> None:
        """Of the layer and the stop alone: what was refused, or is for another stop, is no reason to wait."""
        plan = trip()
        weir, lake = plan.stops.order_by("position")
        asked = plans.application(plan, layer=int(Layer.EXPORT), all_stops=False)
        asked.application_stops.create(stop=weir)
        plans.application(plan, layer=int(Layer.EXPORT), asked_on=DAY, refused_on=DAY)
        said = "On the checklist already"
        assert said in words(page(curator, "application-new", plan.pk, query=f"?layer=export&stop={weir.pk}"))
        assert said not in words(page(curator, "application-new", plan.pk, query=f"?layer=export&stop={lake.pk}"))
        assert said not in words(page(curator, "application-new", plan.pk, query=f"?layer=land&stop={weir.pk}"))

    def test_put_on_the_checklist(self, curator: Client) -> None:
        plan = trip()
        stop = plan.stops.first()
        answer = page(
            curator, "application-new", plan.pk, layer="export", kind="export-permit", start_by="2027-01-12",
            stops=[stop.pk] if stop else [],
        )  # fmt: skip
        made = Application.objects.get()
        assert answer["Location"] == reverse("plans:application", args=[made.pk])
        assert (made.layer, made.start_by, made.all_stops) == (5, date(2027, 1, 12), False)
        assert "On the checklist: Export permit, Export." in words(curator.get(answer["Location"]))

    def test_all_mistakes_at_once_and_nothing_saved(self, curator: Client) -> None:
        answer = page(curator, "application-new", trip().pk, layer="", kind="", start_by="31/04/2027")
        assert answer.status_code == 422
        assert set(answer.context["form"].errors) == {"layer", "kind", "start_by"}
        assert not Application.objects.exists()

    def test_a_closed_plan_says_so(self, curator: Client) -> None:
        plan = trip()
        FieldPlan.objects.filter(pk=plan.pk).update(
            closed_at=timezone.now(), closed_by=register.person(), closed_why="no money"
        )
        answer = page(curator, "application-new", plan.pk, layer="export", kind="export-permit")
        assert answer.status_code == 422
        assert "This plan is closed" in words(answer)

    def test_corrected_with_a_reason(self, curator: Client) -> None:
        made = plans.application(trip())
        told = {"layer": "export", "kind": "export-permit", "authority": "Ministry"}
        assert page(curator, "application-edit", made.pk, **told).status_code == 422
        assert page(curator, "application-edit", made.pk, **told, why="they moved").status_code == 302
        assert Application.objects.get().authority == "Ministry"


class TestSteps:
    """Each step on a page of its own."""

    def test_asked_promised_refused(self, curator: Client) -> None:
        made = plans.application(trip())
        nora = register.person(Role.CURATOR)
        page(curator, "application-step", made.pk, "ask", asked_on="2026-11-20", assignee=nora.pk, number="ND/311")
        assert "Asked on 20 November 2026. That was 6 days ago; no answer is recorded yet." in words(
            page(curator, "application", made.pk)
        )
        page(curator, "application-step", made.pk, "promise", promised_on="2026-11-25")
        assert "That day passed 1 day ago, and no answer is recorded." in words(page(curator, "application", made.pk))
        page(curator, "application-step", made.pk, "refuse", refused_on="2026-11-26", note="Not this year.")
        text = words(page(curator, "application", made.pk))
        assert "Refused on 26 November 2026." in text
        assert "Not this year." in text
        assert "Ask anew" in text

    def test_a_day_that_cannot_be_is_refused_beside_its_box(self, curator: Client) -> None:
        made = plans.application(trip())
        nora = register.person(Role.CURATOR)
        answer = page(curator, "application-step", made.pk, "ask", asked_on="2026-11-27", assignee=nora.pk)
        assert answer.status_code == 422
        assert "still to come" in answer.context["form"].errors["asked_on"][0]

    @pytest.mark.parametrize("step", ["promise", "refuse"])
    def test_a_step_that_does_not_follow(self, curator: Client, step: str) -> None:
        made = plans.application(trip())
        assert "This step does not follow from there." in words(page(curator, "application-step", made.pk, step))
        told = {"promised_on": "2026-11-26", "refused_on": "2026-11-26", "note": "No."}
        answer = page(curator, "application-step", made.pk, step, **told)
        assert answer.status_code == 422
        assert "It was not asked for yet" in words(answer)

    def test_no_such_step(self, curator: Client) -> None:
        assert page(curator, "application-step", plans.application().pk, "bribe").status_code == 404

    def test_undone_after_a_look_at_what_it_does(self, curator: Client) -> None:
        made = plans.application(trip(), asked_on=date(2026, 11, 20))
        assert "This day is taken back; the history keeps it." in words(page(curator, "application-undo", made.pk))
        assert page(curator, "application-undo", made.pk, state="asked", why="").status_code == 422
        page(curator, "application-undo", made.pk, state="asked", why="not posted")
        assert Application.objects.get().asked_on is None
        assert "not posted" in words(page(curator, "application", made.pk))


class TestGranting:
    """The page where an application becomes a paper."""

    def face(self, **more: Any) -> dict[str, Any]:
        told = {"granted_on": "2026-11-26", "reference": "EXP-2027-001", "kind": "export-permit", "layers": "export"}
        return {f"new-{name}": value for name, value in (told | more).items()}

    def test_it_starts_with_what_was_asked_for(self, curator: Client) -> None:
        made = plans.application(trip())
        initial = page(curator, "application-grant", made.pk).context["new"].initial
        assert (initial["kind"], initial["layers"], initial["issuer"], initial["jurisdiction"]) == (
            "export-permit", ["export"], "Nazvri Directorate", "Georgia (GE)",
        )  # fmt: skip

    def test_a_new_paper_leads_to_its_terms(self, curator: Client) -> None:
        made = plans.application(trip())
        answer = page(curator, "application-grant", made.pk, **self.face())
        paper = Paper.objects.get(reference="EXP-2027-001")
        text = curator.get(answer["Location"]).content.decode()
        assert f'href="{reverse("papers:version-new", args=[paper.pk])}"' in text
        assert "Its terms are not entered yet" in text
        assert PlanPaper.objects.get().paper == paper

    def test_a_paper_on_file(self, curator: Client) -> None:
        made, paper = plans.application(trip()), register.paper("EXP-7", (Layer.EXPORT,))
        assert paper in page(curator, "application-grant", made.pk).context["known"]
        page(
            curator,
            "application-grant",
            made.pk,
            **{"on_file": "1", "file-paper": " EXP-7 ", "file-granted_on": "2026-11-26"},
        )
        assert Application.objects.get().paper == paper

    @pytest.mark.parametrize(
        ("reference", "said"),
        [("EXP-9", "no paper EXP-9"), ("LND-1", "answers Land"), ("EXP-S", "compliance officers")],
    )
    def test_a_paper_that_it_cannot_be(self, curator: Client, reference: str, said: str) -> None:
        made = plans.application(trip())
        register.paper("LND-1", (Layer.LAND,))
        register.paper(
            "EXP-S", (Layer.EXPORT,), restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="names of owners"
        )
        told = {"on_file": "1", "file-paper": reference, "file-granted_on": "2026-11-26"}
        answer = page(curator, "application-grant", made.pk, **told)
        assert answer.status_code == 422
        assert said in answer.context["on_file"].errors["paper"][0]
        assert Application.objects.get().paper is None

    def test_a_face_that_does_not_hold(self, curator: Client) -> None:
        register.paper("EXP-7", (Layer.EXPORT,))
        made = plans.application(trip())
        wrong = {"reference": ("", "EXP-7"), "layers": ("land",), "granted_on": ("2026-11-27",)}
        for field, face in [(field, self.face(**{field: value})) for field, of in wrong.items() for value in of]:
            answer = page(curator, "application-grant", made.pk, **face)
            assert answer.status_code == 422
            assert field in answer.context["new"].errors, field

    def test_not_twice(self, curator: Client) -> None:
        paper = register.paper("EXP-7", (Layer.EXPORT,))
        made = plans.application(trip(), granted_on=DAY, paper=paper)
        assert "This step does not follow from there." in words(page(curator, "application-grant", made.pk))
        answer = page(curator, "application-grant", made.pk, **self.face())
        assert "It was granted on 26 November 2026. Take that step back first." in words(answer)


class TestFiles:
    """Letters, forms and answers."""

    def test_dropped_without_script(self, curator: Client) -> None:
        made = plans.application(trip())
        text = page(curator, "application", made.pk).content.decode()
        assert f'action="{reverse("plans:application-scan", args=[made.pk])}"' in text
        file = SimpleUploadedFile("letter.pdf", scans.pdf(text="We apply"))
        answer = page(curator, "application-scan", made.pk, files=[file], why="mail")
        assert answer["Location"] == reverse("plans:application", args=[made.pk])
        assert "letter.pdf" in words(curator.get(answer["Location"]))

    def test_a_broken_file_is_told_of_beside_the_sound_one(self, curator: Client) -> None:
        made = plans.application(trip())
        files = [SimpleUploadedFile("letter.pdf", scans.pdf()), SimpleUploadedFile("empty.pdf", b"")]
        answer = page(curator, "application-scan", made.pk, files=files)
        assert answer.status_code == 422
        assert "Kept with the application." in words(answer)
        assert ApplicationScan.objects.get().scan.original_name == "letter.pdf"
        assert f'action="{reverse("plans:application-scan", args=[made.pk])}"' in answer.content.decode()

    def test_chosen_in_the_register_if_open_to_the_person(self, curator: Client) -> None:
        made = plans.application(trip())
        scan = scans.scan(original_name="answer of the ministry.pdf")
        scans.scan(scans.pdf(2), original_name="answer, secret.pdf", restricted_to=role_bits([Role.COMPLIANCE]))
        found = page(curator, "application-scan", made.pk, query="?q=answer")
        assert "answer of the ministry.pdf" in words(found)
        assert "secret" not in words(found)
        page(curator, "application-scan", made.pk, scan=[scan.pk])
        assert ApplicationScan.objects.get().scan == scan
        assert "No file that you may open" in words(page(curator, "application-scan", made.pk, query="?q=answer"))

    def test_a_restricted_file_shows_that_it_is_there_and_no_more(self, curator: Client) -> None:
        made = plans.application(trip())
        closed = scans.scan(original_name="secret.pdf", restricted_to=role_bits([Role.COMPLIANCE]))
        attached = plans.application_scan(made, closed)
        text = words(page(curator, "application", made.pk))
        assert "A restricted file" in text
        assert "secret.pdf" not in text
        assert page(curator, "application-scan-take-off", attached.pk).status_code == 403

    def test_taken_off(self, curator: Client) -> None:
        attached = plans.application_scan(plans.application(trip()), scans.scan())
        assert page(curator, "application-scan-take-off", attached.pk, why="").status_code == 422
        page(curator, "application-scan-take-off", attached.pk, why="of another plan")
        assert not ApplicationScan.objects.exists()


class TestList:
    """All plans together; what must start first, first."""

    @pytest.fixture
    def some(self) -> dict[str, Application]:
        nora = register.person(Role.CURATOR)
        plan = trip()
        other = plans.field_plan()
        stop = plans.stop(other, country="SE")
        made = {
            "late": plans.application(plan, start_by=date(2026, 11, 25), assignee=nora),
            "today": plans.application(plan, start_by=DAY),
            "asked": plans.application(plan, asked_on=date(2026, 11, 1), start_by=date(2026, 10, 1)),
            "overdue": plans.application(plan, asked_on=date(2026, 11, 1), promised_on=date(2026, 11, 24), layer=1),
            "refused": plans.application(plan, asked_on=date(2026, 11, 1), refused_on=date(2026, 11, 2)),
            "swedish": plans.application(other, all_stops=False, start_by=date(2027, 1, 1), layer=4),
        }
        made["swedish"].application_stops.create(stop=stop)
        return made

    def names(self, client: Client, some: dict[str, Application], query: str) -> list[str]:
        names = {one.pk: name for name, one in some.items()}
        lines = page(client, "applications", query=query).context["page"].object_list
        return [names[line.application.pk] for line in lines]

    @pytest.mark.parametrize(
        ("query", "expected"),
        [
            ("", ["overdue", "late", "today", "swedish", "asked"]),
            ("?state=any", ["overdue", "late", "today", "swedish", "asked", "refused"]),
            ("?late=on", ["overdue", "late"]),
            ("?state=refused", ["refused"]),
            ("?state=promised", ["overdue"]),
            ("?layer=collecting", ["overdue"]),
            ("?country=SE", ["swedish"]),
            ("?country=GE", ["overdue", "late", "today", "asked"]),
            ("?person=0", ["overdue", "today", "swedish", "asked"]),
            ("?state=nonsense&layer=x&person=x&country=XX&sort=x", ["overdue", "late", "today", "swedish", "asked"]),
        ],
    )
    def test_narrowed(self, curator: Client, some: dict[str, Application], query: str, expected: list[str]) -> None:
        assert self.names(curator, some, query) == expected

    def test_of_a_person(self, curator: Client, some: dict[str, Application]) -> None:
        assert self.names(curator, some, f"?person={register.person(Role.CURATOR).pk}") == ["late"]

    def test_ordered_the_other_way(self, curator: Client, some: dict[str, Application]) -> None:
        assert self.names(curator, some, "?sort=-layer")[-1] == "overdue"

    def test_it_says_what_waits(self, curator: Client, some: dict[str, Application]) -> None:
        text = words(page(curator, "applications"))
        assert "5 applications wait to be asked for or answered. Of 2 the day has passed." in text

    def test_empty(self, curator: Client) -> None:
        assert "Nothing is asked for yet" in words(page(curator, "applications"))
        plans.application(start_by=DAY)
        assert "No application is like that" in words(page(curator, "applications", query="?late=on"))

    def test_as_a_file(self, curator: Client, some: dict[str, Application]) -> None:
        answer = page(curator, "applications-csv", query="?late=on")
        rows = list(csv.DictReader(io.StringIO(b"".join(answer).decode("utf-8-sig"))))
        assert [(row["layer"], row["state"], row["promised for"], row["day has passed"]) for row in rows] == [
            ("collecting", "promised", "2026-11-24", "yes"), ("export", "to-ask", "", "yes"),
        ]  # fmt: skip

    def test_queries_do_not_grow(
        self, curator: Client, some: dict[str, Application], django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        for _ in range(2):
            with django_assert_num_queries(9):
                page(curator, "applications")
            for _n in range(4):
                plans.application(plans.stop(country="GE").plan, asked_on=DAY, assignee=register.person(Role.CURATOR))


def test_queries_of_one_application(curator: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Nine beside those of the check of its plan; stops and files add none."""
    georgia()
    plan = trip()
    made = plans.application(plan)
    plans.application_scan(made, scans.scan())
    check_plan(plan, today=DAY)  # fills what is kept from check to check
    for n in range(2):
        with CaptureQueriesContext(connection) as of_check:
            check_plan(plan, today=DAY)
        with django_assert_num_queries(len(of_check) + 9):
            page(curator, "application", made.pk)
        plans.application_scan(made, scans.scan(scans.pdf(n + 2), original_name=f"{n}.pdf"))
        plans.stop(plan, country="GE", position=n + 5)


def test_history_names_papers_people_and_stops(curator: Client) -> None:
    """Not by their keys; a stop also once it is taken out of the plan; a file not at all, it may be restricted."""
    nora = register.person(Role.CURATOR)
    plan = trip()
    stop = plan.stops.get(name="Weir")
    told = {"layer": "export", "kind": "export-permit"}
    page(curator, "application-new", plan.pk, **told, stops=[stop.pk])
    made = Application.objects.get()
    page(curator, "application-step", made.pk, "ask", asked_on="2026-11-20", assignee=nora.pk)
    page(curator, "application-scan", made.pk, scan=[scans.scan(original_name="secret.pdf").pk])
    register.paper("EXP-7", (Layer.EXPORT,))
    granted = {"on_file": "1", "file-paper": "EXP-7", "file-granted_on": "2026-11-26"}
    page(curator, "application-grant", made.pk, **granted)
    stop.delete()
    changes = page(curator, "application", made.pk).context["changes"]
    assert [(change.what, change.did) for change in changes] == [
        ("Stop Weir", "removed"), ("Application", "changed"), ("File", "added"), ("Application", "changed"),
        ("Stop Weir", "added"), ("Application", "added"),
    ]  # fmt: skip
    fields = {field.label: field.after for change in changes for field in change.fields}
    assert (fields["paper"], fields["who asks"]) == ("EXP-7", "Nora Curator")


class TestOnePlan:
    """The checklist of a plan, on its page and on paper."""

    def test_the_check_speaks_beside_what_was_written_down(self, curator: Client) -> None:
        georgia()
        made = plans.application(trip(), start_by=date(2027, 2, 1))
        assert "the check now says 12 January 2027" in words(page(curator, "application", made.pk))

    def test_on_paper_with_the_gaps_that_nobody_asked_for(self, curator: Client) -> None:
        georgia()
        plan = trip()
        stop = plan.stops.get(name="Weir")
        plans.application(plan, all_stops=False, note="Ask for Ana.").application_stops.create(stop=stop)
        answer = page(curator, "plan-checklist", plan.pk)
        assert Layer.EXPORT in {need.layer for need in answer.context["not_asked"]}, "nobody asked for the lake"
        assert "Ask for Ana." in words(answer)
        plans.application(plan)
        asked = page(curator, "plan-checklist", plan.pk).context["not_asked"]
        assert Layer.EXPORT not in {need.layer for need in asked}

    def test_on_the_page_of_the_plan(self, curator: Client) -> None:
        made = plans.application(trip(), start_by=date(2026, 11, 25))
        text = page(curator, "plan", made.plan_id).content.decode()
        assert reverse("plans:application", args=[made.pk]) in text
        assert reverse("plans:application-step", args=[made.pk, "ask"]) in text

    def test_an_auditor_reads_and_does_nothing(self, client: Client) -> None:
        client.force_login(register.person(Role.AUDITOR))
        made = plans.application(trip())
        text = page(client, "application", made.pk).content.decode()
        for name in ("application-edit", "application-grant", "application-scan"):
            assert reverse(f"plans:{name}", args=[made.pk]) not in text


class TestLetter:
    """A draft from the facts of the plan."""

    def test_facts_and_marked_blanks(self, curator: Client) -> None:
        plan = plans.field_plan(title="Nazvri headwaters", leader="J. Ek", uses=["sequencing"])
        stop = plans.stop(plan, name="Weir", country="GE", longitude_deg=43.9, latitude_deg=-42.1, people="")
        plans.target(stop, "Trichoptera", expected="40")
        plans.target(stop, "Odonata")
        made = plans.application(plan, authority="")
        text = page(curator, "application-letter", made.pk, query="?as=text").content.decode()
        for fact in ("42.10000° S, 43.90000° E (WGS84), within 100 m", "3 June 2027 to 5 June 2027", "hand net",
                     "Trichoptera, 40 specimens", "DNA or RNA sequencing", "Led by: J. Ek"):  # fmt: skip
            assert fact in text
        for blank in ("whom to ask", "who takes part", "purpose", "how the material leaves", "who signs"):
            assert f"[NOT KNOWN: {blank}" in text
        assert "Odonata, [NOT KNOWN: how many]" in text

    def test_only_its_own_stops(self, curator: Client) -> None:
        plan = trip()
        made = plans.application(plan, all_stops=False)
        made.application_stops.create(stop=plan.stops.get(name="Lake"))
        text = words(page(curator, "application-letter", made.pk))
        assert "1. Lake" in text
        assert "Weir" not in text
