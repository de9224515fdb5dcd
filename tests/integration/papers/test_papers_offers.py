"""Offers beside the forms of a paper: taken over by a click and by nothing else, and who took them is kept."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role
from governance.papers import actions
from governance.papers.actions.offers import ReadFrom, saved_from_scan, set_pages
from governance.papers.actions.scans import file_scan
from governance.papers.models import AcceptedOffer, Paper, PaperScan, ReadingPage
from governance.papers.queries.beside import pages_asked
from governance.scans.models import Scan, ScanPage
from tests.factories import register as r
from tests.factories import scans
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

FACE = "Permit No. COL-2024-077\nHolder: J. Ek\nDate of issue: 6 May 2024\nValid from 20 May to 15 June 2024"
TERMS = "Species: Unio crassus\nConditions\n1. Large mussels are to be returned.\n2. A list is sent."


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(r.person(Role.REGISTRAR))
    return client


def read_scan(*pages: str, sure: int | None = None, **fields: Any) -> Scan:
    """A scan whose pages were read: as a typewriter would have set them."""
    made = scans.scan(scans.pdf(len(pages), "".join(pages)[:60]), stored=False, page_count=len(pages),
                      text_state="read", **fields)  # fmt: skip
    for number, text in enumerate(pages, 1):
        words = [
            [match.start(), match.end(), *_box(text, match.start(), match.end()), sure]
            for match in re.finditer(r"\S+", text)
        ]
        ScanPage.objects.create(scan=made, number=number, text=text, words=words, source="file")
    return made


def _box(text: str, start: int, end: int) -> list[float]:
    """A line is 0.02 high, a letter 0.01 wide."""
    line, column = text.count("\n", 0, start), start - text.rfind("\n", 0, start) - 1
    return [0.01 * column, 0.02 * line, 0.01 * (column + end - start), 0.02 * line + 0.01]


def the_form(**fields: Any) -> dict[str, Any]:
    numbers = (("TOTAL_FORMS", "1"), ("INITIAL_FORMS", "0"))
    management = {f"{prefix}-{key}": n for prefix in ("places", "caps") for key, n in numbers}
    return {"kind": "collecting-permit", **management, **fields}


def new_from(scan: Scan, pages: str = "") -> str:
    return f"{reverse('papers:paper-new')}?scan={scan.pk}&pages={pages}"


def key_of(answer: Any, field: str, number: int = 0, choice: int = 0) -> str:
    """The key of the button of an offer."""
    (group,) = [group for group in answer.context["offers"] if group.field == field]
    return str(group.rows[number].choices[choice].key)


def value_in(answer: Any, name: str) -> str:
    forms = answer.context["all_forms"]
    return next(str(form[name].value() or "") for form in forms if name in form.fields)


def take(client: Client, address: str, key: str, **fields: Any) -> Any:
    return client.post(address, the_form(take=key, **fields))


# What is offered


def test_the_form_offers_and_takes_nothing_by_itself(client: Client) -> None:
    scan = read_scan(FACE, TERMS)
    page = client.get(new_from(scan))
    offered = {group.field: [row.offer.value for row in group.rows] for group in page.context["offers"]}
    assert offered["reference"] == ["COL-2024-077"]
    assert offered["in_force_to"] == ["2024-06-15"]
    assert offered["taxa"] == ["Unio crassus"]
    assert offered["conditions"] == ["p. 2: Large mussels are to be returned.", "p. 2: A list is sent."]
    assert value_in(page, "reference") == value_in(page, "in_force_to") == value_in(page, "taxa") == ""
    told = page.content.decode()
    assert "“" not in told or "Permit No. COL-2024-077" in told
    assert f'data-pane="{scan.pk}"' in told
    assert "On saving, this scan is filed with the paper." in told


def test_offers_are_those_of_the_pages_of_the_paper(client: Client) -> None:
    scan = read_scan("Permit No. OTHER-1", FACE, TERMS, "Permit No. OTHER-2")
    page = client.get(new_from(scan, "2-3"))
    values = [row.offer.value for group in page.context["offers"] for row in group.rows]
    assert "COL-2024-077" in values
    assert not {"OTHER-1", "OTHER-2"} & set(values)
    assert "p. 2: A list is sent." in values, "pages of a paper count from the first of its range"


def test_a_known_name_is_said_to_be_known(client: Client) -> None:
    r.written_name("Unio crassus")
    page = client.get(new_from(read_scan("We may take Unio crassus and Unio pictorum.")))
    (row,) = [row for group in page.context["offers"] for row in group.rows]
    assert (row.offer.value, row.offer.origin) == ("Unio crassus", "known-name")
    assert "known in the register" in page.content.decode()


@pytest.mark.parametrize(
    ("asked", "pages"),
    [("3-7", (3, 7)), ("3", (3, 3)), ("", (None, None)), ("7-3", (None, None)), ("0-3", (None, None)),
     ("1-12", (None, None)), ("3-13", (None, None)), ("٣", (None, None)), ("x", (None, None))],
)  # fmt: skip
def test_pages_of_the_address(asked: str, pages: tuple[int | None, int | None]) -> None:
    assert pages_asked(asked, 12) == pages


@pytest.mark.parametrize("scan", ["", "0", "999999", "x", "٣", "9" * 30])
def test_a_scan_that_is_not_there_leaves_the_form_alone(client: Client, scan: str) -> None:
    page = client.get(f"{reverse('papers:paper-new')}?scan={scan}")
    assert page.status_code == 200
    assert page.context["beside"] is None


def test_a_restricted_scan_offers_nothing_to_others() -> None:
    client = Client()
    client.force_login(r.person(Role.CURATOR))
    scan = read_scan(FACE, restricted_to=role_bits([Role.REGISTRAR]))
    page = client.get(new_from(scan))
    assert page.context["offers"] == []
    assert "COL-2024-077" not in page.content.decode()
    assert "Restricted" in page.content.decode()


# Taking over without script


def test_a_click_fills_its_box_and_saves_nothing(client: Client) -> None:
    scan = read_scan(FACE, TERMS)
    address = new_from(scan)
    key = key_of(client.get(address), "reference")
    page = take(client, address, key, holder="I. Holmqvist")
    assert page.status_code == 200
    assert value_in(page, "reference") == "COL-2024-077"
    assert value_in(page, "holder") == "I. Holmqvist", "what was typed stays"
    assert value_in(page, "issued_on") == ""
    assert not Paper.objects.exists()
    assert f'name="taken" value="{key}"' in page.content.decode()
    assert "Nothing was saved yet" not in page.content.decode(), "the person is still writing"


def test_days_bring_their_page_along_and_lists_are_added_to(client: Client) -> None:
    address = new_from(read_scan(FACE, TERMS))
    offers = client.get(address)
    page = take(client, address, key_of(offers, "in_force_from"))
    assert (value_in(page, "in_force_from"), value_in(page, "page_valid")) == ("2024-05-20", "1")
    page = take(client, address, key_of(offers, "taxa"), taxa="Odonata")
    assert (value_in(page, "taxa"), value_in(page, "page_taxa")) == ("Odonata\nUnio crassus", "2")
    page = take(client, address, "all-conditions", conditions="p. 2: A list is sent.")
    assert value_in(page, "conditions").splitlines() == [
        "p. 2: A list is sent.", "p. 2: Large mussels are to be returned.",
    ]  # fmt: skip


def test_a_box_that_holds_something_shows_it_and_is_replaced_by_a_click_only(client: Client) -> None:
    paper = actions.register(data=paper_object(issued_on="2020-01-01"), by=r.person(Role.REGISTRAR), why="read")
    scan = read_scan(FACE)
    address = f"{reverse('papers:paper-edit', args=[paper.pk])}?scan={scan.pk}"
    page = client.get(address)
    assert value_in(page, "issued_on") == "2020-01-01"
    told = " ".join(page.content.decode().split())
    assert "the form has: 2020-01-01" in told
    assert "Replace with this" in told
    rows = {group.field: group.rows[0].state for group in page.context["offers"]}
    assert rows["holder"] == "standing", "J. Ek stands in the form already"
    after = take(client, address, key_of(page, "issued_on"), reference="COL-2024-052", issued_on="2020-01-01")
    assert value_in(after, "issued_on") == "2024-05-06"


def test_a_day_of_two_readings_is_the_persons_own_choice(client: Client) -> None:
    address = new_from(read_scan("Permit No. A-1\nDate of issue: 05/06/2024"))
    page = client.get(address)
    told = page.content.decode()
    assert "Can be meant as 5 June 2024 or 6 May 2024." in told
    assert ">5 June 2024</button>" in told
    assert ">6 May 2024</button>" in told
    assert value_in(take(client, address, key_of(page, "issued_on", choice=1)), "issued_on") == "2024-05-06"
    assert value_in(take(client, address, key_of(page, "issued_on", choice=0)), "issued_on") == "2024-06-05"


@pytest.mark.parametrize(
    ("text", "words"),
    [("Date of issue: 25/06/24", "The century is not written."), ("Date of issue: l5 June 2024", "A letter stands"),
     ("Valid until 31 April 2024", "not in the calendar")],
)  # fmt: skip
def test_what_is_not_offered_has_no_button_and_says_why(client: Client, text: str, words: str) -> None:
    page = client.get(new_from(read_scan(text)))
    (row,) = [row for group in page.context["offers"] for row in group.rows]
    assert row.choices == []
    assert words in page.content.decode()
    assert 'name="take"' not in page.content.decode()


def test_how_sure_the_recognition_was_is_shown(client: Client) -> None:
    page = client.get(new_from(read_scan("Permit No. A-1", sure=71)))
    assert "71 % sure" in page.content.decode()


@pytest.mark.parametrize("key", ["nonsense", "all-reference", "all-nonsense", ""])
def test_a_key_of_no_offer_changes_nothing(client: Client, key: str) -> None:
    page = take(client, new_from(read_scan(FACE)), key, holder="J. Ek")
    assert page.status_code == 200
    assert value_in(page, "reference") == ""


def test_showing_words_keeps_what_was_typed(client: Client) -> None:
    page = client.post(
        new_from(read_scan(FACE)) + "&mark=0.1,0.1,0.2,0.2", the_form(show_words="1", holder="K. Lagermo")
    )
    assert page.status_code == 200
    assert value_in(page, "holder") == "K. Lagermo"
    assert 'data-mark="0.1,0.1,0.2,0.2"' in page.content.decode()


# What is kept on saving


def save(client: Client, address: str, **fields: Any) -> Any:
    answer = client.post(address, the_form(**fields))
    assert answer.status_code == 302, answer.context["all_forms"] and [f.errors for f in answer.context["all_forms"]]
    return answer


def test_saving_keeps_what_was_taken_files_the_scan_and_notes_the_pages(client: Client) -> None:
    scan = read_scan("Permit No. OTHER", FACE, TERMS)
    address = new_from(scan, "2-3")
    offers = client.get(address)
    keys = [key_of(offers, name) for name in ("reference", "in_force_to", "taxa")]
    save(
        client, address, taken=keys, reference="COL-2024-077", in_force_to="2024-06-15", taxa="Unio crassus\nOdonata",
        page_valid="1", page_taxa="2",
    )  # fmt: skip
    paper = Paper.objects.get()
    filed = PaperScan.objects.get()
    assert (filed.paper, filed.scan, filed.first_page, filed.last_page) == (paper, scan, 2, 3)
    kept = {offer.field: offer for offer in AcceptedOffer.objects.select_related("version")}
    assert set(kept) == {"reference", "in_force_to", "taxa"}
    assert (kept["reference"].value, kept["reference"].read_from) == ("COL-2024-077", "Permit No. COL-2024-077")
    assert (kept["reference"].page, kept["taxa"].page) == (2, 3), "pages of the scan"
    assert kept["reference"].version is None
    assert kept["taxa"].version == paper.versions.get()
    assert kept["taxa"].accepted_by == r.person(Role.REGISTRAR)
    assert dict(ReadingPage.objects.values_list("subject", "page")) == {"valid": 1, "taxa": 2}
    assert ReadingPage.history.count() == 2


def test_a_value_changed_by_hand_after_taking_it_is_not_said_to_be_taken(client: Client) -> None:
    address = new_from(read_scan(FACE, TERMS))
    offers = client.get(address)
    keys = [key_of(offers, name) for name in ("reference", "issued_on", "taxa", "conditions")]
    save(
        client, address, taken=keys, reference="COL-2024-078", issued_on="2024-05-06", taxa="Unio",
        conditions="p. 1: Large mussels are to be returned.",
    )  # fmt: skip
    assert [offer.field for offer in AcceptedOffer.objects.all()] == ["issued_on"]


def test_what_was_not_clicked_is_not_said_to_be_taken(client: Client) -> None:
    """Also where a person types the very value that was offered."""
    save(client, new_from(read_scan(FACE)), reference="COL-2024-077", taken="nonsense")
    assert not AcceptedOffer.objects.exists()


def test_the_chosen_reading_of_a_day_is_what_is_kept(client: Client) -> None:
    address = new_from(read_scan("Date of issue: 05/06/2024"))
    key = key_of(client.get(address), "issued_on", choice=1)
    save(client, address, taken=key, reference="A-1", issued_on="2024-05-06")
    kept = AcceptedOffer.objects.get()
    assert (kept.value, kept.read_from) == ("2024-05-06", "Date of issue: 05/06/2024")


def test_a_refused_form_keeps_nothing_and_forgets_nothing(client: Client) -> None:
    address = new_from(read_scan(FACE))
    key = key_of(client.get(address), "reference")
    page = client.post(address, the_form(taken=key, reference="COL-2024-077", in_force_from="2024-06-02",
                                         in_force_to="2024-06-01"))  # fmt: skip
    assert page.status_code == 422
    assert not Paper.objects.exists()
    assert not PaperScan.objects.exists()
    assert f'name="taken" value="{key}"' in page.content.decode()


def test_a_correction_of_a_version_keeps_its_offers_and_its_pages(client: Client) -> None:
    by = r.person(Role.REGISTRAR)
    paper = actions.register(data=paper_object(), by=by, why="read")
    scan = read_scan(FACE, TERMS)
    file_scan(paper=paper, scan=scan, by=by)
    version = paper.versions.get()
    set_pages(version=version, pages={"valid": 4, "places": 2}, by=by, why="read")
    address = reverse("papers:version-edit", args=[paper.pk, version.pk])
    page = client.get(address)
    assert page.context["beside"].scan == scan, "the scan of the paper stands beside the form"
    assert (value_in(page, "page_valid"), value_in(page, "page_places")) == ("4", "2")
    save(
        client, address, taken=key_of(page, "in_force_to"), seen=value_in(page, "seen"), why="misread",
        in_force_from="2024-05-01", in_force_to="2024-06-15", page_valid="1",
    )  # fmt: skip
    version.refresh_from_db()
    assert version.in_force_to == date(2024, 6, 15)
    assert AcceptedOffer.objects.get().version == version
    assert dict(version.reading_pages.values_list("subject", "page")) == {"valid": 1}
    assert PaperScan.objects.count() == 1, "it was filed already"


def test_other_pages_of_a_scan_that_is_filed_already_are_not_filed_again(client: Client) -> None:
    """The ranges overlap, which two filings of one paper may not; the form offers what was asked for all the same."""
    by = r.person(Role.REGISTRAR)
    paper = actions.register(data=paper_object(), by=by, why="read")
    scan = read_scan(FACE, TERMS, "the rest")
    file_scan(paper=paper, scan=scan, first_page=1, last_page=2, by=by)
    address = f"{reverse('papers:version-new', args=[paper.pk])}?scan={scan.pk}&pages=2-3"
    page = client.get(address)
    assert page.context["beside"].pages == (2, 3)
    save(client, address, seen=value_in(page, "seen"), why="amended", in_force_from="2024-07-01")
    assert [(one.first_page, one.last_page) for one in PaperScan.objects.all()] == [(1, 2)]


def test_a_new_version_gets_its_own_pages(client: Client) -> None:
    by = r.person(Role.REGISTRAR)
    paper = actions.register(data=paper_object(), by=by, why="read")
    file_scan(paper=paper, scan=read_scan(FACE, TERMS), by=by)
    address = reverse("papers:version-new", args=[paper.pk])
    page = client.get(address)
    save(client, address, seen=value_in(page, "seen"), why="amended", in_force_from="2024-07-01", page_caps="3")
    assert ReadingPage.objects.get().version.in_force_from == date(2024, 7, 1)


def test_what_was_taken_survives_a_look_at_what_would_change(client: Client) -> None:
    """The look sends on what was typed, and nothing of it is kept before the last button."""
    by = r.person(Role.REGISTRAR)
    paper = actions.register(data=paper_object(), by=by, why="read")
    file_scan(paper=paper, scan=read_scan("Permit No. OTHER", FACE, TERMS), first_page=2, last_page=3, by=by)
    address = reverse("papers:version-new", args=[paper.pk])
    page = client.get(address)
    typed = the_form(
        scan=page.context["beside"].scan.pk, pages="2-3", taken=key_of(page, "in_force_from"),
        seen=value_in(page, "seen"), why="amended", in_force_from="2024-05-20", page_valid="1",
    )  # fmt: skip
    look = client.post(reverse("verdicts:changes-version-new", args=[paper.pk]), typed)
    assert look.status_code == 200
    assert not AcceptedOffer.objects.exists()
    sent: dict[str, list[str]] = {}
    for name, value in look.context["sent"]:
        sent.setdefault(name, []).append(value)
    assert client.post(address, sent).status_code == 302
    kept = AcceptedOffer.objects.get()
    assert (kept.field, kept.page) == ("in_force_from", 2)
    assert kept.version is not None
    assert kept.version.in_force_from == date(2024, 5, 20)
    assert ReadingPage.objects.get().page == 1
    assert PaperScan.objects.count() == 1


def test_the_page_of_the_paper_says_where_it_was_read_and_who_took_it_over(client: Client) -> None:
    by = r.person(Role.REGISTRAR)
    scan = read_scan("Permit No. OTHER", FACE, TERMS)
    address = new_from(scan, "2-3")
    page = client.get(address)
    keys = [key_of(page, name) for name in ("reference", "in_force_to", "conditions")]
    save(
        client, address, taken=keys, reference="COL-2024-077", in_force_to="2024-06-15", page_valid="1", page_caps="2",
        conditions="p. 2: Large mussels are to be returned.",
    )  # fmt: skip
    paper = Paper.objects.get()
    told = " ".join(
        re.sub(r"<[^>]+>", "", client.get(reverse("papers:paper", args=[paper.pk])).content.decode()).split()
    )
    who = f"read from the scan, taken over by {by.shown_name} on"
    assert told.count(who) == 3
    assert "p. 1 of the scan, " + who in told
    assert "page 2 of the scan, " + who in told
    links = client.get(reverse("papers:paper", args=[paper.pk])).content.decode()
    assert f'data-pane-page="2" data-pane-scan="{scan.pk}"' in links, "page 1 of the paper is page 2 of the scan"
    actions.edit_face(paper=paper, data={"reference": "COL-2024-078"}, by=by, why="misread")
    after = client.get(reverse("papers:paper", args=[paper.pk])).content.decode()
    assert after.count("taken over by") == 2, "what was corrected by hand since is not said to be taken over"


@pytest.mark.parametrize("page", ["0", "-1", "x", "10000", "1.5"])
def test_a_page_that_is_none_is_refused_beside_its_box(client: Client, page: str) -> None:
    answer = client.post(reverse("papers:paper-new"), the_form(reference="A-1", page_taxa=page))
    assert answer.status_code == 422
    assert answer.context["terms"].pages.errors["page_taxa"]
    assert not Paper.objects.exists()


# Who may, and what cannot be


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_register_papers_takes_nothing_over(role: str) -> None:
    client = Client()
    client.force_login(r.person(role))
    assert client.get(new_from(read_scan(FACE))).status_code == 403
    with pytest.raises(NotAllowedError):
        saved_from_scan(save=lambda: pytest.fail("never reached"), read=ReadFrom(), by=r.person(role), why="")
    version = actions.register(data=paper_object(), by=r.person(Role.REGISTRAR), why="").versions.get()
    with pytest.raises(NotAllowedError):
        set_pages(version=version, pages={"valid": 1}, by=r.person(role), why="")


def test_setting_the_same_pages_again_writes_nothing() -> None:
    by = r.person(Role.REGISTRAR)
    version = actions.register(data=paper_object(), by=by, why="").versions.get()
    assert set_pages(version=version, pages={"valid": 1, "taxa": 2}, by=by, why="read") == 2
    assert set_pages(version=version, pages={"valid": 1, "taxa": 2}, by=by, why="read") == 0
    assert set_pages(version=version, pages={"valid": 3}, by=by, why="misread") == 2
    assert [row.history_type for row in ReadingPage.history.order_by("history_id")] == ["+", "+", "-", "~"]


def test_queries_of_the_form_with_a_scan(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """As many for thirty pages as for two."""
    few, many = read_scan(FACE, TERMS), read_scan(*[FACE, TERMS] * 15)
    client.get(new_from(few))
    for scan in (few, many):
        # session, person, scan, pages, names as written, taxa, words of the pages; marks and printed pages of the
        # pane; three lists to pick from
        with django_assert_num_queries(12):
            client.get(new_from(scan))
