"""A plan turned into an accession: all of it or nothing, nothing meant as a fact, and what is left is named."""

from __future__ import annotations

import threading
from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.urls import reverse

from accessions.material.models import Accession, Delivery, Part, SamplingEvent, Specimen, Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import PaperLink
from governance.plans.actions.locking import PlanError
from governance.plans.actions.turning import join_accession, leave_accession, turn_into_accession
from governance.plans.models import FieldPlan, PlanDecision
from governance.plans.queries.turning import next_accession_number, part_letters, turning
from governance.verdicts.models import LayerDecision
from tests.factories import register
from tests.factories.plans import attach, field_plan, stop, target, trap, way_home

pytestmark = pytest.mark.django_db

BACK = "back from the field"


@pytest.fixture
def plan() -> FieldPlan:
    """Two stops. A paper of the whole plan, one of the second stop, a decision for each, a way home with days."""
    curator = register.person(Role.CURATOR)
    made = field_plan(reference="FP-2026-07", title="Nazvri in autumn")
    first = stop(made, name="Upper bridge", position=1, methods="hand net | light trap")
    target(first, "Trichoptera", expected="40")
    target(first, "Ephemeroptera")
    second = stop(made, name="Meadow", position=2, methods="", site=register.site("GE-NAZ-1"), longitude_deg=None,
                  latitude_deg=None, radius_m=None, country="")  # fmt: skip
    trap(second, number=3)
    attach(made, register.paper("COL-2026-001"), curator)
    attach(made, register.paper("LND-2026-002"), curator, stop=second)
    way_home(made, from_country="GE", to_country="SE", exported_on="2026-10-05", imported_on="2026-10-06")
    for layer, of in ((Layer.SPECIES, None), (Layer.LAND, second)):
        PlanDecision.objects.create(
            plan=made, stop=of, layer=int(layer), reason="No listed species lives there.", evidence="Red list, p. 4",
            decided_by=register.person(Role.COMPLIANCE, last_name="Holm"),
        )  # fmt: skip
    return made


def turned(plan: FieldPlan, role: str = Role.REGISTRAR, **values: Any) -> Any:
    return turn_into_accession(
        plan=plan, by=register.person(role), why=BACK,
        **{"number": "LMN-2026-050", "title": "Nazvri", "received_on": None, **values},
    )  # fmt: skip


class TestMade:
    def test_stops_become_parts_in_their_order(self, plan: FieldPlan) -> None:
        accession = turned(plan).accession
        assert accession.kind == Accession.Kind.FIELD
        assert list(accession.parts.values_list("letter", "title")) == [("A", "Upper bridge"), ("B", "Meadow")]
        plan.refresh_from_db()
        assert plan.accession == accession and not plan.is_open

    def test_each_way_of_taking_is_one_event_whatever_the_groups(self, plan: FieldPlan) -> None:
        """Two methods for two groups: two events, not four. A period is a closed interval (Darwin Core, eventDate)."""
        turned(plan)
        written = SamplingEvent.objects.order_by("number").values_list("number", "sampling_protocol", "event_date")
        assert list(written) == [
            ("FP-2026-07/1.1 (planned)", "hand net", "2027-06-03/2027-06-05"),
            ("FP-2026-07/1.2 (planned)", "light trap", "2027-06-03/2027-06-05"),
            ("FP-2026-07/2 (planned)", "Malaise trap", "2027-06-03/2027-06-05"),
        ]

    def test_events_are_read_and_stand_at_their_place(self, plan: FieldPlan) -> None:
        turned(plan)
        first, last = (
            SamplingEvent.objects.get(number__contains="/1.1"),
            SamplingEvent.objects.get(number__contains="/2 "),
        )
        assert (first.longitude_deg, first.latitude_deg, first.radius_m, first.country) == (15.3, 61.95, 100.0, "SE")
        assert (first.earliest_on, first.latest_on) == (date(2027, 6, 3), date(2027, 6, 5))
        assert last.site is not None and last.site.code == "GE-NAZ-1" and last.location_id == "GE-NAZ-1"

    def test_no_specimen_points_at_a_planned_event(self, plan: FieldPlan) -> None:
        """A specimen that says the number alone gets its own statement, without the planned days."""
        from accessions.material.actions.specimens import enter_specimen

        accession = turned(plan).accession
        assert not Specimen.objects.exists()
        made = enter_specimen(
            accession, {"eventID": "FP-2026-07/2"}, {"scientificName": "Baetis rhodani"},
            by=register.person(Role.REGISTRAR), why="typed", catalog_number="LMN-1",
        )  # fmt: skip
        assert made.event.earliest_on is None and made.event.event_date == ""

    def test_events_are_left_out_when_asked(self, plan: FieldPlan) -> None:
        assert turned(plan, with_events=False).events == 0
        assert not SamplingEvent.objects.exists()

    def test_papers_speak_for_what_they_were_attached_to(self, plan: FieldPlan) -> None:
        accession = turned(plan).accession
        links = PaperLink.objects.values_list("paper__reference", "accession__number", "part__letter")
        assert sorted(links, key=lambda row: row[0]) == [
            ("COL-2026-001", accession.number, None), ("LND-2026-002", None, "B"),
        ]  # fmt: skip
        assert Touch.objects.filter(scope="paper").count() == 2

    def test_a_paper_that_was_taken_off_is_not_linked(self, plan: FieldPlan) -> None:
        from governance.plans.actions.attaching import take_off

        take_off(plan_paper=plan.plan_papers.get(stop=None), by=register.person(Role.CURATOR), why="it was replaced")
        turned(plan)
        assert list(PaperLink.objects.values_list("paper__reference", flat=True)) == ["LND-2026-002"]

    def test_decisions_are_made_anew_and_say_who_decided_first(self, plan: FieldPlan) -> None:
        made = turned(plan)
        assert made.left == () and made.decisions == 2
        whole, of_part = LayerDecision.objects.order_by("-layer")
        assert (whole.layer, whole.part) == (Layer.SPECIES, None)
        assert of_part.part
        assert (of_part.layer, of_part.part.letter) == (Layer.LAND, "B")
        assert whole.decided_by.role == Role.REGISTRAR
        assert whole.evidence.startswith("Red list, p. 4. Decided for the field plan FP-2026-07 by Nora Holm on ")

    def test_planned_days_are_no_facts_until_somebody_says_so(self, plan: FieldPlan) -> None:
        accession = turned(plan).accession
        delivery = accession.deliveries.get()
        assert (delivery.exported_on, delivery.imported_on, delivery.transferred_on) == ("", "", "")
        assert "2026-10-05" in delivery.remarks

    def test_planned_days_that_were_kept_are_facts(self, plan: FieldPlan) -> None:
        accession = turned(plan, homes_as_planned={plan.consignments.get().pk}).accession
        delivery = accession.deliveries.get()
        assert (delivery.exported_on, delivery.imported_on) == ("2026-10-05", "2026-10-06")

    def test_a_version_is_kept(self, plan: FieldPlan) -> None:
        turned(plan)
        assert plan.versions.get().kept_by.role == Role.REGISTRAR


class TestLeft:
    def test_a_curator_may_not_decide_and_is_told_so(self, plan: FieldPlan) -> None:
        made = turned(plan, Role.CURATOR)
        assert not LayerDecision.objects.exists()
        assert len(made.left) == 2
        assert "Species needs no paper" in made.left[0] and "(Meadow)" in made.left[1]

    def test_a_stop_where_nobody_went_takes_its_papers_and_decisions_with_it(self, plan: FieldPlan) -> None:
        first = plan.stops.get(name="Upper bridge")
        made = turned(plan, take_stops={first.pk})
        assert list(Part.objects.values_list("letter", "title")) == [("A", "Upper bridge")]
        assert "LND-2026-002" in made.left[0] and "Land needs no paper (Meadow)" in made.left[1]
        assert list(PaperLink.objects.values_list("paper__reference", flat=True)) == ["COL-2026-001"]

    def test_the_letters_go_on_after_z(self) -> None:
        """A to Z are 26; the 27th is AA, the 52nd AZ, the 53rd BA, the 703rd AAA: counted by hand in base 26."""
        letters = part_letters()
        found = [next(letters) for _ in range(703)]
        assert [found[n - 1] for n in (1, 26, 27, 52, 53, 702, 703)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


class TestRefused:
    @pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.COMPLIANCE, Role.AUDITOR, Role.ADMINISTRATOR])
    def test_roles_that_lack_one_of_the_verbs(self, plan: FieldPlan, role: str) -> None:
        with pytest.raises(NotAllowedError):
            turned(plan, role)
        assert nothing_was_made()

    def test_twice(self, plan: FieldPlan) -> None:
        turned(plan)
        with pytest.raises(PlanError, match="became an accession"):
            turned(plan, number="LMN-2026-051")
        assert Accession.objects.count() == 1

    def test_a_number_that_is_taken(self, plan: FieldPlan) -> None:
        register.accession("LMN-2026-050")
        with pytest.raises(ValidationError):
            turned(plan)
        assert not Part.objects.exists() and FieldPlan.objects.get().accession is None

    def test_a_page_that_is_out_of_date(self, plan: FieldPlan) -> None:
        from governance.plans.actions.versions import keep_version

        keep_version(plan, by=register.person(Role.CURATOR), why="begun")
        with pytest.raises(PlanError, match="changed this plan meanwhile"):
            turned(plan, seen=7)
        assert nothing_was_made()

    def test_no_stop_was_visited(self, plan: FieldPlan) -> None:
        with pytest.raises(PlanError, match="at least one stop"):
            turned(plan, take_stops=set())
        assert nothing_was_made()

    def test_a_plan_without_stops(self) -> None:
        with pytest.raises(PlanError, match="no stop"):
            turned(field_plan())

    def test_a_stop_of_another_plan(self, plan: FieldPlan) -> None:
        with pytest.raises(PlanError, match="not of this plan"):
            turned(plan, take_stops={stop().pk})

    def test_days_that_lie_ahead_are_no_facts(self, plan: FieldPlan) -> None:
        plan.consignments.update(exported_on="2999-10-05")
        with pytest.raises(PlanError, match="lies ahead"):
            turned(plan, homes_as_planned={plan.consignments.get().pk})
        assert nothing_was_made()

    def test_a_decision_without_a_sentence_takes_everything_back(self, plan: FieldPlan) -> None:
        """The last step fails: nothing of the steps before may stay."""
        PlanDecision.objects.filter(layer=int(Layer.LAND)).update(reason="none")
        with pytest.raises(PlanError, match="Land needs no paper"):
            turned(plan)
        assert nothing_was_made()


def nothing_was_made() -> bool:
    made = (Accession, Part, SamplingEvent, PaperLink, LayerDecision, Delivery, Touch)
    return not any(model.objects.exists() for model in made) and not FieldPlan.objects.filter(accession__isnull=False)


class TestJoined:
    def test_an_accession_entered_by_hand(self, plan: FieldPlan) -> None:
        accession = register.accession()
        join_accession(plan=plan, accession=accession, by=register.person(Role.CURATOR), why="entered by hand")
        plan.refresh_from_db()
        assert plan.accession == accession
        assert not Part.objects.exists() and not PaperLink.objects.exists()

    def test_one_accession_has_one_plan(self, plan: FieldPlan) -> None:
        accession = register.accession()
        join_accession(plan=plan, accession=accession, by=register.person(Role.CURATOR), why="entered by hand")
        with pytest.raises(PlanError, match="FP-2026-07 already"):
            join_accession(plan=field_plan(), accession=accession, by=register.person(Role.CURATOR), why="again")

    def test_who_may_not_plan(self, plan: FieldPlan) -> None:
        with pytest.raises(NotAllowedError):
            join_accession(plan=plan, accession=register.accession(), by=register.person(Role.AUDITOR), why="no")


class TestLeftAgain:
    """The wrong accession was chosen: the plan is open again, and the accession keeps what it has."""

    def test_the_accession_keeps_all(self, plan: FieldPlan) -> None:
        turned(plan)
        leave_accession(plan=plan, by=register.person(Role.CURATOR), why="the wrong one")
        plan.refresh_from_db()
        assert plan.accession is None and plan.is_open
        assert Part.objects.count() == 2 and PaperLink.objects.filter(unlinked_at__isnull=True).count() == 2
        assert plan.history.first().history_change_reason == "the wrong one"

    def test_for_a_reason_and_once(self, plan: FieldPlan) -> None:
        by = register.person(Role.CURATOR)
        with pytest.raises(PlanError, match="held against no accession"):
            leave_accession(plan=plan, by=by, why="none")
        turned(plan)
        with pytest.raises(PlanError, match="Say why"):
            leave_accession(plan=plan, by=by, why=" ")

    def test_its_page(self, client: Client, plan: FieldPlan) -> None:
        client.force_login(register.person(Role.CURATOR))
        path = reverse("plans:plan-leave", args=[plan.pk])
        assert client.get(path).status_code == 302, "it has no accession yet"
        turned(plan)
        assert "no longer held against" in client.get(path).content.decode()
        assert client.post(path, {"why": ""}).status_code == 422
        assert client.post(path, {"why": "the wrong one"})["Location"] == reverse("plans:plan", args=[plan.pk])


@pytest.mark.django_db(transaction=True)
def test_two_people_turn_one_plan_at_once(plan: FieldPlan) -> None:
    """On SQLite, whose test database lies in memory and lets nobody wait, one after the other."""
    at_once = connection.vendor == "postgresql"
    meeting = threading.Barrier(2 if at_once else 1, timeout=20)
    by = register.person(Role.REGISTRAR)
    said: list[str] = []

    def turn(number: str) -> None:
        try:
            meeting.wait()
            turn_into_accession(plan=plan, number=number, title="", received_on=None, by=by, why=BACK)
            said.append("made")
        except PlanError as problem:
            said.append(str(problem))
        finally:
            connection.close()

    both = [threading.Thread(target=turn, args=(f"LMN-2026-{n}",)) for n in (1, 2)]
    for one in both:
        one.start()
        if not at_once:
            one.join(timeout=30)
    for one in both:
        one.join(timeout=30)
    assert sorted(said)[1] == "made" and "became an accession" in sorted(said)[0]
    assert Accession.objects.count() == 1 and Part.objects.count() == 2


class TestOfferedNumber:
    @pytest.mark.parametrize(
        ("known", "offered"),
        [
            ([], ""),
            (["LMN-2026-009"], "LMN-2026-010"),
            (["LMN-2026-120", "LMN-2026-038"], "LMN-2026-121"),
            (["LMN-2024-038"], "LMN-2026-001"),
            (["2024.17"], "2026.01"),
            (["one of a kind"], ""),
        ],
    )
    def test_the_form_of_the_newest(self, known: list[str], offered: str) -> None:
        for number in known:
            register.accession(number)
        assert next_accession_number(2026) == offered


class TestPage:
    @pytest.fixture
    def curator(self, client: Client) -> Client:
        client.force_login(register.person(Role.CURATOR))
        return client

    @pytest.fixture
    def registrar(self, client: Client) -> Client:
        client.force_login(register.person(Role.REGISTRAR))
        return client

    def sent(self, plan: FieldPlan, **values: Any) -> dict[str, Any]:
        stops = [str(one.pk) for one in plan.stops.all()]
        return {"act": "turn", "number": "LMN-2026-050", "title": "Nazvri", "why": BACK, "stops": stops,
                "with_events": "on"} | values  # fmt: skip

    def test_shows_what_will_be_made_and_what_is_left(self, curator: Client, plan: FieldPlan) -> None:
        text = curator.get(reverse("plans:plan-turn", args=[plan.pk])).content.decode()
        for words in ("2 stops become the parts", "FP-2026-07/1.2 (planned)", "COL-2026-001", "LND-2026-002",
                      "2 things are not carried over", "Species needs no paper: a decision is"):  # fmt: skip
            assert words in text, words

    def test_looking_with_fewer_stops_makes_nothing(self, registrar: Client, plan: FieldPlan) -> None:
        only = str(plan.stops.get(name="Meadow").pk)
        path = reverse("plans:plan-turn", args=[plan.pk])
        answer = registrar.post(path, self.sent(plan, act="look", stops=[only], why="", title="In words of mine"))
        text = answer.content.decode()
        assert answer.status_code == 200 and "1 stop becomes a part" in text and "left out" in text
        assert "Say why" not in text and "In words of mine" in text, (
            "no mistake yet, and nothing that was typed is lost"
        )
        assert not Accession.objects.exists()

    def test_turns_and_says_what_was_made(self, curator: Client, plan: FieldPlan) -> None:
        answer = curator.post(reverse("plans:plan-turn", args=[plan.pk]), self.sent(plan), follow=True)
        text = answer.content.decode()
        assert answer.redirect_chain[-1][0] == reverse("material:accession", args=[Accession.objects.get().pk])
        assert "2 parts, 3 planned events, 2 paper links, 0 decisions, 1 delivery" in text
        assert text.count("Not carried over:") == 2
        assert "What was done otherwise than planned" in text, "the panel of the plan on the accession"

    def test_all_mistakes_at_once(self, curator: Client, plan: FieldPlan) -> None:
        register.accession("LMN-2026-050")
        answer = curator.post(reverse("plans:plan-turn", args=[plan.pk]), self.sent(plan, stops=[], why=""))
        text = answer.content.decode()
        assert answer.status_code == 422
        for words in ("“LMN-2026-050” is the number of another accession", "Keep at least one stop", "Say why"):
            assert words in text, words
        assert FieldPlan.objects.get().accession is None

    def test_a_plan_that_became_one_leads_on(self, curator: Client, plan: FieldPlan) -> None:
        turned(plan)
        path = reverse("plans:plan-turn", args=[plan.pk])
        for answer in (curator.get(path), curator.post(path, self.sent(plan, number="LMN-2"))):
            assert answer["Location"] == reverse("plans:plan-after", args=[plan.pk])
        assert Accession.objects.count() == 1

    def test_compliance_may_only_choose_an_accession(self, client: Client, plan: FieldPlan) -> None:
        client.force_login(register.person(Role.COMPLIANCE))
        register.accession("LMN-2026-001")
        path = reverse("plans:plan-turn", args=[plan.pk])
        assert "Turn the plan into this accession" not in client.get(path).content.decode()
        answer = client.post(path, {"act": "join", "join-accession": "LMN-2026-001", "join-why": "entered by hand"})
        assert answer["Location"] == reverse("plans:plan-after", args=[plan.pk])

    @pytest.mark.parametrize(
        ("number", "words"), [("LMN-9", "No accession has the number"), ("LMN-8", "FP-OTHER already")]
    )
    def test_an_accession_that_cannot_be_chosen(
        self, curator: Client, plan: FieldPlan, number: str, words: str
    ) -> None:
        field_plan(reference="FP-OTHER", accession=register.accession("LMN-8"))
        path = reverse("plans:plan-turn", args=[plan.pk])
        answer = curator.post(path, {"act": "join", "join-accession": number, "join-why": "entered by hand"})
        assert answer.status_code == 422 and words in answer.content.decode()

    def test_a_closed_plan_is_not_turned(self, curator: Client, plan: FieldPlan) -> None:
        from governance.plans.actions.plans import close_plan

        close_plan(plan=plan, by=register.person(Role.CURATOR), why="given up")
        answer = curator.post(reverse("plans:plan-turn", args=[plan.pk]), self.sent(plan))
        assert "This plan is closed." in answer.content.decode() and not Accession.objects.exists()

    @pytest.mark.parametrize("stops", [1, 12])
    def test_queries_do_not_grow(self, curator: Client, stops: int, django_assert_num_queries: Any) -> None:
        made = field_plan()
        for number in range(stops):
            target(stop(made, position=number))
        register.accession("LMN-2026-001")
        with django_assert_num_queries(16):
            curator.get(reverse("plans:plan-turn", args=[made.pk]))


def test_turning_reads_no_more_for_more_stops(django_assert_num_queries: Any) -> None:
    made = field_plan()
    for number in range(12):
        target(stop(made, position=number))
    with django_assert_num_queries(8):
        turning(made)
