"""The pages of the papers: what they say, what they refuse, and what they cost."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import timedelta
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers import actions
from governance.papers.models import Paper, ReceivedFile
from governance.papers.queries import exchange_object, links_of
from tests.factories import register as r
from tests.factories.paper_objects import SQUARE, full_object, paper_object

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


def signed_in(role: str = Role.REGISTRAR) -> Client:
    client = Client()
    client.force_login(r.person(role))
    return client


@pytest.fixture
def client() -> Client:
    return signed_in()


def register(**fields: Any) -> Paper:
    return actions.register(data=paper_object(**fields), by=r.person(Role.REGISTRAR), why="from the scan")


def words(answer: Any) -> str:
    """The page as it is read: no markup, blanks as one."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def days(first: int, last: int | None) -> list[dict[str, Any]]:
    """One version, in days from today."""
    return [{
        "in_force_from": str(TODAY + timedelta(first)),
        "in_force_to": None if last is None else str(TODAY + timedelta(last)),
    }]  # fmt: skip


def the_form(**fields: Any) -> dict[str, Any]:
    """What the register form sends when only the needed boxes are filled."""
    numbers = (("TOTAL_FORMS", "1"), ("INITIAL_FORMS", "0"))
    management = {f"{prefix}-{key}": n for prefix in ("places", "caps") for key, n in numbers}
    return {"reference": "COL-2024-052", "kind": "collecting-permit", **management, **fields}


# The list


def test_the_list_says_how_papers_stand(client: Client) -> None:
    register(reference="RUNS", versions=days(-10, 10))
    register(reference="OPEN", versions=days(-10, None))
    register(reference="OVER", versions=days(-20, -1))
    register(reference="UNREAD", versions=[])
    page = words(client.get(reverse("papers:papers")))
    assert "4 papers. 1 ends within 60 days. 1 is not read yet, so nothing can be told from it." in page
    assert "10 days left" in page
    assert "Not read yet" in page


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("state=in-force", {"RUNS", "LAST", "OPEN"}),
        ("state=ending&within=9", {"LAST"}),
        ("state=ending&within=10", {"LAST", "RUNS"}),
        ("state=ended", {"OVER", "ENDED"}),
        ("state=suspended", {"PAUSED"}),
        ("state=unread", {"UNREAD"}),
        ("state=not-given", {"ASKED"}),
        ("state=not-yet", {"COMING"}),
        ("layer=export", {"LAST"}),
        ("kind=landowner-consent", {"OVER"}),
        ("country=CR", {"OPEN"}),
        ("q=lapas", {"OPEN"}),
        ("q=op", {"OPEN"}),
        ("layer=nonsense&within=many&on=never", {"RUNS", "LAST", "OPEN", "OVER", "ENDED", "PAUSED", "UNREAD", "ASKED",
                                                 "COMING"}),
        (f"state=ended&on={TODAY + timedelta(11)}", {"RUNS", "LAST", "OVER", "ENDED", "PAUSED"}),
    ],
)  # fmt: skip
def test_the_list_is_narrowed(client: Client, query: str, found: set[str]) -> None:
    """Boundaries: the last day is in force, the day after is not."""
    register(reference="RUNS", versions=days(-10, 10))
    register(reference="LAST", versions=days(-10, 0), layers=["export"])
    register(reference="OPEN", versions=days(0, None), jurisdiction="CR-A", issuer="Lapas Desk (invented)")
    register(reference="OVER", versions=days(-20, -1), kind="landowner-consent")
    register(reference="ENDED", versions=days(-20, None), revoked_on=str(TODAY))
    register(reference="PAUSED", versions=days(-9, 9), suspensions=[[str(TODAY), str(TODAY)]])
    register(reference="UNREAD", versions=[])
    register(reference="ASKED", versions=days(-9, None), statuses=[{"state": "applied", "from": "2020-01-01"}])
    register(reference="COMING", versions=days(12, None))
    page = client.get(f"{reverse('papers:papers')}?{query}")
    assert {row.paper.reference for row in page.context["page"].object_list} == found


def test_the_list_and_its_exports_agree(client: Client) -> None:
    register(reference="RUNS", versions=days(-10, 10))
    register(reference="=OVER", versions=days(-20, -1))
    rows = list(csv.reader(io.StringIO(client.get(reverse("papers:papers-csv")).getvalue().decode("utf-8-sig"))))
    assert [row[0] for row in rows] == ["reference", "'=OVER", "RUNS"], "no cell starts a formula"
    book = openpyxl.load_workbook(io.BytesIO(client.get(reverse("papers:papers-xlsx")).content))
    assert [(row[0].value, row[0].data_type) for row in book.active.iter_rows()] == [
        ("reference", "s"), ("=OVER", "s"), ("RUNS", "s"),
    ]  # fmt: skip
    told = client.get(f"{reverse('papers:papers-export')}?state=ended").json()
    assert [paper["reference"] for paper in told["papers"]] == ["=OVER"]


def test_the_list_of_three_hundred_papers(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    papers = [paper_object(f"P-{n:03}", covers={"accessions": ["ACC"]}) for n in range(300)]
    r.accession("ACC")
    by = r.person(Role.REGISTRAR)
    actions.import_papers(json.dumps({"papers": papers}).encode(), "many.json", by=by, why="many")
    # session, person, countries, uses read, papers, versions, turns, links, papers in all, rulings of those shown
    with django_assert_num_queries(10):
        page = client.get(reverse("papers:papers"))
    assert "300 papers." in words(page)
    assert page.context["page"].paginator.num_pages == 12


def test_an_empty_register_shows_two_ways_on(client: Client) -> None:
    page = words(client.get(reverse("papers:papers")))
    assert "No paper on file yet" in page
    assert "Take from a file" in page


# One paper


def test_one_paper_says_what_was_read(client: Client) -> None:
    r.site("GE-NAZ-1")
    paper = actions.register(data=full_object(), by=r.person(Role.REGISTRAR), why="from the scan")
    page = words(client.get(reverse("papers:paper", args=[paper.pk])))
    for told in (
        "Surrendered: it no longer holds from 1 August 2024 on.",
        "It is linked to nothing, so it covers nothing yet.",
        "1 May 2024 to 30 June 2024, both days count",
        "GE-NAZ-2 (mapped area) (±25 m)",
        "Odonata, Mollusca. Except Oenanthe (Plantae)",
        "hand net, kick net. Except electrofishing",
        "J. Ek, I. Holmqvist. Others under supervision of a named person",
        "20 December to 29 February of every year",
        "at most 10 individuals of Odonata, of each species, a calendar year",
    ):
        assert told in page


def test_conditions_are_quoted_with_their_page(client: Client) -> None:
    version = {"in_force_from": "2024-05-01", "conditions": [{"text": "Return large mussels.", "page": 3}]}
    paper = register(versions=[version])
    page = words(client.get(reverse("papers:paper", args=[paper.pk])))
    assert "Return large mussels. COL-2024-052, page 3" in page


def test_no_version_means_not_read(client: Client) -> None:
    page = words(client.get(reverse("papers:paper", args=[register(versions=[]).pk])))
    assert "Not read yet: no version is entered, so nothing can be told from it." in page
    assert "This paper is not read yet" in page


def test_a_paper_that_is_not_there(client: Client) -> None:
    assert client.get(reverse("papers:paper", args=[404])).status_code == 404


def test_one_paper_among_three_hundred(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    papers = [paper_object(f"P-{n:03}", versions=full_object()["versions"]) for n in range(300)]
    by = r.person(Role.REGISTRAR)
    actions.import_papers(json.dumps({"papers": papers}).encode(), "many.json", by=by, why="many")
    paper = Paper.objects.get(reference="P-150")
    few = actions.register(data=full_object("FEW"), by=by, why="from the scan")
    r.site("GE-NAZ-1")
    client.get(reverse("papers:paper", args=[paper.pk]))  # outlines of countries are read once in a process
    # three of them: pages of readings, the scan they stand on, what was taken over from it; four: terms of use and
    # their history; one: whether it was disposed of
    with django_assert_num_queries(41):
        client.get(reverse("papers:paper", args=[paper.pk]))
    with django_assert_num_queries(41):
        client.get(reverse("papers:paper", args=[few.pk]))


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.VOLUNTEER])
def test_who_only_reads_sees_no_button_that_writes(role: str) -> None:
    paper = register()
    page = words(signed_in(role).get(reverse("papers:paper", args=[paper.pk])))
    for button in ("Add a version", "Link to material", "Correct", "Record a change"):
        assert button not in page


PAGES_THAT_WRITE = ["paper-new", "papers-import", "paper-edit", "version-new", "paper-status", "paper-link",
                    "paper-unlink"]  # fmt: skip


@pytest.mark.parametrize("name", PAGES_THAT_WRITE)
@pytest.mark.parametrize("role", [Role.AUDITOR, Role.VOLUNTEER, Role.ADMINISTRATOR])
def test_pages_that_write_refuse_who_only_reads(name: str, role: str) -> None:
    paper = register()
    address = reverse(f"papers:{name}", args=[] if name in PAGES_THAT_WRITE[:2] else [paper.pk])
    client = signed_in(role)
    assert client.get(address).status_code == 403
    assert client.post(address, the_form()).status_code == 403
    assert Client().get(address).headers["Location"].startswith("/sign-in/")


# Registering


def test_number_and_kind_are_enough(client: Client) -> None:
    answer = client.post(reverse("papers:paper-new"), the_form(), follow=True)
    assert "COL-2024-052 was registered." in words(answer)
    paper = Paper.objects.get()
    assert paper.layer_list == [Layer.COLLECTING]
    assert not paper.versions.exists(), "terms that nobody typed are not read, and never open terms"


def test_a_whole_paper_on_one_page(client: Client) -> None:
    accession = r.accession("LMN-2024-038")
    part, site = r.part(accession, "A"), r.site("GE-NAZ-1")
    sent = the_form(
        issuer="Nazvri Directorate (invented)", jurisdiction="Georgia (GE)", holder="J. Ek", issued_on="2024-04-22",
        language="ka", in_force_from="2024-05-01", in_force_to="2024-06-14", taxa="Odonata\nnot Cordulegastridae",
        methods="hand net\nkick net", people="J. Ek\nI. Holmqvist", assistants="supervised",
        closed_seasons="1 March to 15 March", conditions="p. 2: Large mussels are to be returned.",
        accessions="LMN-2024-038/A", sites="ge-naz-1",
        **{"places-TOTAL_FORMS": "3", "places-0-name": "GE-NAZ-1", "places-0-area": json.dumps(SQUARE),
           "places-0-boundary_error_m": "25", "places-1-excluded": "1", "places-1-position": "42.05, 43.85",
           "places-1-radius_m": "300", "caps-0-limit": "200", "caps-0-each": "species", "caps-0-taxon": "Odonata",
           "caps-0-per": "paper"},
    )  # fmt: skip
    assert client.post(reverse("papers:paper-new"), sent).status_code == 302
    paper = Paper.objects.get()
    assert exchange_object(paper) == {
        "reference": "COL-2024-052", "kind": "collecting-permit", "layers": ["collecting"], "language": "ka",
        "issuer": "Nazvri Directorate (invented)", "jurisdiction": "GE", "holder": "J. Ek", "issued_on": "2024-04-22",
        "versions": [{
            "in_force_from": "2024-05-01", "in_force_to": "2024-06-14",
            "places": {"include": [{"site": "GE-NAZ-1", "geojson": SQUARE, "boundary_error_m": 25}],
                       "exclude": [{"point": [43.85, 42.05], "radius_m": 300}]},
            "taxa": {"include": ["Odonata"], "exclude": ["Cordulegastridae"]},
            "methods": {"include": ["hand net", "kick net"], "exclude": []},
            "people": {"named": ["J. Ek", "I. Holmqvist"], "assistants": "supervised"},
            "closed_seasons": [["03-01", "03-15"]],
            "caps": [{"taxon": "Odonata", "each": "species", "per": "paper", "limit": 200}],
            "conditions": [{"text": "Large mussels are to be returned.", "page": 2}],
        }],
        "covers": {"accessions": [], "parts": ["LMN-2024-038/A"], "sites": ["GE-NAZ-1"], "events": [],
                   "specimens": []},
    }  # fmt: skip
    assert links_of([paper])[paper.pk].parts == {part.pk}
    assert links_of([paper])[paper.pk].sites == {site.pk}


def test_mistakes_are_told_all_at_once_and_nothing_is_lost(client: Client) -> None:
    sent = the_form(
        kind="", jurisdiction="Atlantis", in_force_from="2024-06-30", in_force_to="2024-02-31", closed_seasons="spring",
        taxa="Odonata", accessions="LMN-1999-001", **{"places-0-position": "91, 10", "places-0-radius_m": "5 km"},
    )  # fmt: skip
    answer = client.post(reverse("papers:paper-new"), sent)
    page = words(answer)
    assert answer.status_code == 422
    assert "Nothing was saved yet" in page
    for told in ("“Atlantis” is no country", "Enter a valid date", "“spring”, cannot be read", "Latitude is -90 to 90",
                 "Not in the register: LMN-1999-001", "This field is required"):  # fmt: skip
        assert told in page
    for typed in ("Atlantis", "2024-02-31", "spring", "Odonata", "91, 10", "5 km"):
        assert typed in answer.content.decode()
    assert not Paper.objects.exists()


def test_what_only_the_whole_paper_shows_stands_at_its_box(client: Client) -> None:
    """A bow-tie is found by the form; a name that is none, days in the wrong order by the reading of the paper."""
    sent = the_form(in_force_from="2024-06-30", in_force_to="2024-06-01", taxa="*\nOdonata", jurisdiction="GE")
    answer = client.post(reverse("papers:paper-new"), sent)
    terms = answer.context["terms"].version
    assert "before it starts" in " ".join(terms.errors["in_force_to"])
    assert "stands beside names" in " ".join(terms.errors["taxa"])


def test_a_known_number_is_told_at_its_box(client: Client) -> None:
    register()
    answer = client.post(reverse("papers:paper-new"), the_form())
    assert "is in the register already" in " ".join(answer.context["sheet"].face.errors["reference"])


def test_more_rows_without_script(client: Client) -> None:
    sent = the_form(more_places="1", reference="", **{"places-0-name": "Costa Rica"})
    answer = client.post(reverse("papers:paper-new"), sent)
    assert answer.status_code == 200
    assert len(answer.context["terms"].places.forms) == 4
    assert answer.context["terms"].places.forms[0]["name"].value() == "Costa Rica"
    assert "Nothing was saved yet" not in words(answer), "nobody pressed the button that saves"


# Correcting


def test_a_correction_shows_what_stands_and_needs_a_reason(client: Client) -> None:
    paper = register()
    address = reverse("papers:paper-edit", args=[paper.pk])
    form = client.get(address).context["form"]
    sent = {field.html_name: field.value() or "" for field in form} | {"holder": "I. Holmqvist"}
    assert "This field is required" in words(client.post(address, sent))
    assert client.post(address, sent | {"why": "misread"}).status_code == 302
    paper.refresh_from_db()
    assert paper.holder == "I. Holmqvist"


def test_the_second_of_two_who_save_is_told(client: Client) -> None:
    paper = register()
    address = reverse("papers:paper-edit", args=[paper.pk])
    form = client.get(address).context["form"]
    sent = {field.html_name: field.value() or "" for field in form} | {"why": "misread"}
    assert client.post(address, sent | {"holder": "first"}).status_code == 302

    answer = client.post(address, sent | {"issuer": "second"})

    assert answer.status_code == 422
    assert "Somebody else changed this paper while you wrote" in words(answer)
    assert "second" in answer.content.decode(), "nothing typed is lost"
    paper.refresh_from_db()
    assert (paper.holder, paper.issuer) == ("first", "Nazvri Directorate (invented)")


def test_a_new_version_opens_with_the_terms_of_the_last(client: Client) -> None:
    paper = actions.register(data=full_object(), by=r.person(Role.REGISTRAR), why="from the scan")
    terms = client.get(reverse("papers:version-new", args=[paper.pk])).context["terms"]
    assert terms.version["in_force_from"].value() is None


def sent_by(answer: Any) -> dict[str, str]:
    """What a browser would send back from a page with the terms of a version."""
    terms = answer.context["terms"]
    forms = [terms.version, *terms.places, *terms.caps, terms.places.management_form, terms.caps.management_form,
             answer.context["reason"]]  # fmt: skip
    return {f.html_name: str(f.value()) for form in forms for f in form if f.value() not in (None, "")}


def test_the_reading_of_a_version_is_corrected(client: Client) -> None:
    paper = actions.register(data=full_object(), by=r.person(Role.REGISTRAR), why="from the scan")
    version = paper.versions.get(in_force_from="2024-05-01")
    address = reverse("papers:version-edit", args=[paper.pk, version.pk])
    sent = sent_by(client.get(address)) | {"in_force_to": "2024-06-14", "why": "misread"}

    assert client.post(address, sent).status_code == 302

    expected = full_object()
    expected["versions"][0]["in_force_to"] = "2024-06-14"
    assert exchange_object(Paper.objects.get(), with_links=False) == expected


def test_a_turn_is_recorded_and_taken_off(client: Client) -> None:
    paper = register()
    address = reverse("papers:paper-status", args=[paper.pk])
    seen = client.get(address).context["form"]["seen"].value()
    sent = {"state": "suspended", "from_on": "2024-05-10", "to_on": "2024-05-12", "note": "letter", "seen": seen}
    assert client.post(address, sent).status_code == 302
    turn = paper.statuses.get()
    assert turn.note == "letter"

    address = reverse("papers:status-remove", args=[paper.pk, turn.pk])
    assert client.get(address).status_code == 200
    assert paper.statuses.exists(), "looking at the question changes nothing"
    assert client.post(address, {"why": ""}).status_code == 422
    assert client.post(address, {"why": "of another paper"}).status_code == 302
    assert not paper.statuses.exists()


def test_a_version_is_taken_off_after_a_question(client: Client) -> None:
    paper = register()
    address = reverse("papers:version-remove", args=[paper.pk, paper.versions.get().pk])
    assert "Only if it was entered by mistake" in words(client.get(address))
    assert client.post(address, {"why": "of another paper"}).status_code == 302
    assert not paper.versions.exists()


# Linking


def test_boxes_of_an_accession_and_numbers_are_linked(client: Client) -> None:
    paper, accession, site = register(), r.accession("LMN-2024-038"), r.site("GE-NAZ-1")
    part, event = r.part(accession, "A"), r.event("NAZ24-01", site=site)
    specimen = r.specimen("S-1", accession=accession, part=part, event=event)
    address = f"{reverse('papers:paper-link', args=[paper.pk])}?accession=LMN-2024-038"
    choice = client.get(address).context["choice"]
    assert [c.value for c in (*choice.parts, *choice.sites, *choice.events)] == [
        f"parts:{part.pk}", f"sites:{site.pk}", f"events:{event.pk}",
    ]  # fmt: skip

    sent = {"picked": [f"parts:{part.pk}", f"events:{event.pk}"], "specimens": "S-1"}
    assert "3 links of COL-2024-052 were made." in words(client.post(address, sent, follow=True))
    links = links_of([paper])[paper.pk]
    assert (links.parts, links.events, links.specimens, links.sites) == ({part.pk}, {event.pk}, {specimen.pk}, set())


def test_a_link_to_nothing_and_to_what_is_not_here(client: Client) -> None:
    paper = register()
    address = reverse("papers:paper-link", args=[paper.pk])
    assert "Tick or write what the paper is to be linked to." in words(client.post(address, {}))
    page = words(client.post(address, {"specimens": "\n".join(f"S-{n}" for n in range(10))}))
    assert "Not in the register: S-0, S-1, S-2, S-3, S-4, S-5, S-6, S-7 and 2 more." in page
    assert "No accession has the number LMN-1999-001." in words(client.get(f"{address}?accession=LMN-1999-001"))
    assert client.post(f"{address}?accession=LMN-1999-001", {"picked": ["parts:7"]}).status_code == 422


def test_links_are_taken_off_with_a_reason(client: Client) -> None:
    paper = register()
    link = r.link(paper, accession=r.accession())
    address = reverse("papers:paper-unlink", args=[paper.pk])
    assert "LMN-2024-038" in words(client.get(address))
    assert client.post(address, {"links": [link.pk]}).status_code == 422
    assert "1 link was taken off." in words(client.post(address, {"links": [link.pk], "why": "§ 4"}, follow=True))
    assert links_of([paper]) == {}
    page = words(client.get(reverse("papers:paper", args=[paper.pk])))
    assert "Links taken off" in page
    assert "§ 4" in page


# Taking from a file


def sent_file(*papers: dict[str, Any]) -> dict[str, Any]:
    return {"file": SimpleUploadedFile("papers.json", json.dumps({"papers": papers}).encode())}


def test_a_file_is_looked_at_and_then_taken(client: Client) -> None:
    register(reference="KNOWN")
    looked = client.post(
        reverse("papers:papers-import"),
        sent_file(paper_object("KNOWN", holder="x"), paper_object("NEW", covers={"accessions": ["ACC-1"]})),
        follow=True,
    )
    page = words(looked)
    assert "1 paper is new. 1 differs from the register. 0 are the same." in page
    assert "ACC-1" in page
    address = looked.redirect_chain[-1][0]

    refused = client.post(address, {})
    assert refused.status_code == 422
    assert "Say whether to take it or to keep what stands here." in words(refused)
    assert "Agree to leave that out" in words(refused)
    assert Paper.objects.count() == 1

    taken = client.post(address, {"paper_0": "keep", "leave_out": "on"}, follow=True)
    assert "1 paper was registered; 1 stays as it was." in words(taken)
    assert set(Paper.objects.values_list("reference", "holder")) == {("KNOWN", "J. Ek"), ("NEW", "J. Ek")}
    assert ReceivedFile.objects.get().summary["left out"] == [["NEW", "accessions", ["ACC-1"]]]


def test_a_file_with_problems_is_refused_with_all_of_them(client: Client) -> None:
    answer = client.post(
        reverse("papers:papers-import"), sent_file(paper_object(kind="permit"), paper_object("B", jurisdiction="QQ"))
    )
    page = words(answer)
    assert answer.status_code == 422
    assert "Nothing was saved: 2 things in the file need a look" in page
    assert "key papers[0].kind" in page
    assert not ReceivedFile.objects.exists()
    assert not Paper.objects.exists()


def test_a_file_that_is_no_json(client: Client) -> None:
    sent = {"file": SimpleUploadedFile("papers.json", b"\xff\xfe<html>")}
    answer = client.post(reverse("papers:papers-import"), sent)
    assert answer.status_code == 422
    assert "is not UTF-8" in words(answer)


def test_no_page_has_inline_script_or_style(client: Client) -> None:
    """The content security policy refuses both, so that nothing of a paper's text can run."""
    paper = actions.register(data=full_object(), by=r.person(Role.REGISTRAR), why="from the scan")
    for name in ("paper", "paper-edit", "version-new", "paper-status", "paper-link", "paper-unlink"):
        page = client.get(reverse(f"papers:{name}", args=[paper.pk])).content.decode()
        assert not re.search(r"<script(?![^>]*\ssrc=)|\sstyle=|\son[a-z]+=", page), name


def test_the_land_to_draw_on_is_our_own(client: Client) -> None:
    answer = client.get(reverse("papers:base-map"))
    assert answer.json()["land"].startswith("M")
    assert len(answer.content) < 1_000_000
