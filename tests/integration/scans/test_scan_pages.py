"""The list of scans, the page of one with its reading pane, and marks."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.papers.models import PaperScan
from governance.scans.actions import marking
from governance.scans.models import Filing, Scan, ScanMark, ScanPage
from governance.scans.queries.listing import unfiled
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def named(name: str, text: str | None = None, **fields: Any) -> Scan:
    return scans.scan(scans.pdf(text=text or name), stored=False, original_name=name, **fields)


def filed(scan: Scan, **place: Any) -> Filing:
    place = place or {"accession": register.accession(f"LMN-2024-{scan.pk:03d}")}
    return Filing.objects.create(scan=scan, name=scan.original_name, filed_by=scan.received_by, **place)


def text_of(client: Client, name: str, *keys: Any, **asked: Any) -> str:
    return client.get(reverse(f"scans:{name}", args=keys), asked).content.decode()


# The list -------------------------------------------------------------------------------------------------------------


def test_empty_list_says_where_scans_are_dropped(curator: User) -> None:
    page = text_of(client_of(curator), "scans")
    assert "No scan is on file." in page
    assert reverse("material:accessions") in page
    assert "scans-filter" not in page, "nothing to narrow"


def test_own_drops_that_nobody_filed_come_first(curator: User) -> None:
    own, other, placed = named("own.pdf"), named("other.pdf", received_by=register.person()), named("placed.pdf")
    Scan.objects.filter(pk__in=[own.pk, placed.pk]).update(received_by=curator)
    Scan.objects.filter(pk=other.pk).update(received_by=register.person(Role.REGISTRAR))
    filed(placed)
    page = text_of(client_of(curator), "scans")
    group, rest = page.split("All others")
    assert "own.pdf" in group
    assert "other.pdf" not in group
    assert "placed.pdf" not in group
    assert "own.pdf" not in rest
    assert rest.index("placed.pdf") < rest.index("other.pdf")  # newest first
    assert "1 that you dropped is filed nowhere yet." in page


def test_what_is_filed_anywhere_is_not_unfiled(curator: User) -> None:
    """In the file of an accession, a site or a paper; taken off again it is unfiled once more."""
    nowhere, on_site, in_paper, taken_off = (named(f"{n}.pdf") for n in range(4))
    filed(on_site, site=register.site())
    PaperScan.objects.create(scan=in_paper, paper=register.paper(), name="a", filed_by=curator)
    filing = filed(taken_off)
    assert set(unfiled()) == {nowhere}
    Filing.objects.filter(pk=filing.pk).update(taken_off_at=taken_off.received_at, taken_off_by=curator)
    assert set(unfiled()) == {nowhere, taken_off}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"q": "cons"}, {"consent.pdf"}),
        ({"q": "nothing like it"}, set()),
        ({"type": "image"}, {"labels.png"}),
        ({"type": "pdf"}, {"consent.pdf"}),
        ({"mark": "illegible"}, {"labels.png"}),
        ({"mark": "superseded"}, set()),
        ({"words": "read"}, {"consent.pdf"}),
        ({"type": "no such type"}, {"consent.pdf", "labels.png"}),
    ],
)
def test_list_is_narrowed(curator: User, asked: dict[str, str], expected: set[str]) -> None:
    named("consent.pdf", text_state="read")
    labels = scans.scan(scans.png(), stored=False, original_name="labels.png")
    ScanMark.objects.create(scan=labels, kind="illegible", marked_by=curator)
    page = text_of(client_of(register.person(Role.AUDITOR)), "scans", **asked)
    assert {name for name in ("consent.pdf", "labels.png") if name in page} == expected
    assert ("No scan is like that" in page) == (not expected)


def test_withdrawn_mark_is_not_found(curator: User) -> None:
    mark = marking.mark(scan=named("a.pdf"), kind="illegible", by=curator, why="a")
    marking.withdraw_mark(mark=mark, by=curator, why="it can be read")
    assert "a.pdf" not in text_of(client_of(register.person(Role.AUDITOR)), "scans", mark="illegible")


@pytest.mark.parametrize(
    ("sort", "expected"),
    [("name", ["a.pdf", "b.pdf"]), ("-name", ["b.pdf", "a.pdf"]), ("pages", ["b.pdf", "a.pdf"]),
     ("received", ["b.pdf", "a.pdf"]), ("rubbish", ["a.pdf", "b.pdf"])],
)  # fmt: skip
def test_list_is_ordered(sort: str, expected: list[str]) -> None:
    named("b.pdf", page_count=2)
    named("a.pdf", page_count=9)
    page = text_of(client_of(register.person(Role.AUDITOR)), "scans", sort=sort)
    assert sorted(("a.pdf", "b.pdf"), key=page.index) == expected


CLOSED: dict[str, Any] = {"restricted_to": role_bits([Role.REGISTRAR, Role.COMPLIANCE])}


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.AUDITOR, Role.ADMINISTRATOR])
def test_restricted_scan_shows_that_it_is_there_and_no_more(role: str) -> None:
    scan = named("terms of the elders.pdf", **CLOSED)
    ScanMark.objects.create(scan=scan, kind="incomplete", note="fee left out", marked_by=scan.received_by)
    client = client_of(register.person(role))
    for page in (text_of(client, "scans"), text_of(client, "scan", scan.pk)):
        assert "Restricted: open to registrar, compliance officer" in page
        for secret in ("elders", "fee left out", "pages/1.png", scan.sha256, "Incomplete</li>"):
            assert secret not in page
    for asked in ({"q": "elders"}, {"type": "pdf"}, {"mark": "incomplete"}):
        assert "Restricted" not in text_of(client, "scans", **asked)


def test_restricted_scan_opens_to_its_roles() -> None:
    scan = named("terms of the elders.pdf", **CLOSED)
    page = text_of(client_of(register.person(Role.COMPLIANCE)), "scan", scan.pk)
    assert "terms of the elders.pdf" in page
    assert "pages/1.png" in page
    assert "Restricted: open to registrar, compliance officer" in page


def rows_of_csv(client: Client) -> list[list[str]]:
    answer = client.get(reverse("scans:scans-csv"))
    assert answer["Content-Disposition"] == 'attachment; filename="scans.csv"'
    lines = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    return list(csv.reader(io.StringIO(lines)))


def test_list_as_csv(curator: User) -> None:
    open_one, closed = named("=cmd().pdf", page_count=3), named("terms of the elders.pdf", **CLOSED)
    filed(open_one)
    ScanMark.objects.create(scan=open_one, kind="illegible", marked_by=curator)
    header, first, second = rows_of_csv(client_of(curator))
    assert header[:3] == ["number", "name", "media type"]
    assert first[0] == str(closed.pk)
    assert set(first[1:-1]) == {""}
    assert "These roles can open it: Registrar, Compliance officer" in first[-1]
    assert second[1:5] == ["'=cmd().pdf", "application/pdf", str(open_one.size_bytes), "3"]
    assert second[8:10] == [f"LMN-2024-{open_one.pk:03d}", "Illegible"]


def test_volunteer_takes_no_list_out() -> None:
    assert client_of(register.person(Role.VOLUNTEER)).get(reverse("scans:scans-csv")).status_code == 403


@pytest.mark.parametrize("count", [1, 12])
def test_queries_of_the_list(count: int, curator: User, django_assert_num_queries: Any) -> None:
    for number in range(count):
        scan = named(f"{number}.pdf", page_count=4)
        filed(scan)
        ScanMark.objects.create(scan=scan, kind="illegible", marked_by=curator)
        ScanPage.objects.create(scan=scan, number=1, printed_page=1, printed_of=4)
    client = client_of(register.person(Role.AUDITOR))
    # session and person; what the reader dropped and nobody filed; how many, and a page of the rows, their marks,
    # filings and printed pages; the size of the register; the papers in the rows
    with django_assert_num_queries(10):
        page = text_of(client, "scans")
    assert page.count("Illegible</li>") == count


# The page of a scan ---------------------------------------------------------------------------------------------------


def test_page_of_a_scan(curator: User) -> None:
    scan = named("permit <b>.pdf", page_count=60, has_scripts=True, remarks=["It asks to open a web page; it may not."])
    filing = filed(scan)
    ScanPage.objects.create(scan=scan, number=2, text="<script>alert(1)</script>", source="recognised")
    page = text_of(client_of(curator), "scan", scan.pk)
    for told in (
        "permit &lt;b&gt;.pdf", "PDF, 60 pages.", "scripts, actions or attached files; they are never run",
        "It asks to open a web page; it may not.", scan.sha256, str(filing.accession),
        "&lt;script&gt;alert(1)&lt;/script&gt;", "recognised in the picture",
        reverse("scans:scan-file", args=[scan.pk]), reverse("scans:scan-mark", args=[scan.pk]),
    ):  # fmt: skip
        assert told in page
    assert "<script>alert" not in page


def test_who_may_not_mark_is_not_asked_to() -> None:
    scan = named("a.pdf")
    page = text_of(client_of(register.person(Role.VOLUNTEER)), "scan", scan.pk)
    assert reverse("scans:scan-mark", args=[scan.pk]) not in page


def test_mail_shows_its_words_escaped(curator: User) -> None:
    mail = scans.scan(b"From: a", stored=False, page_count=None, media_type="message/rfc822", original_name="a.eml")
    ScanPage.objects.create(scan=mail, number=1, text="<b>we agree</b>")
    page = text_of(client_of(curator), "scan", mail.pk)
    assert "&lt;b&gt;we agree&lt;/b&gt;" in page
    assert "/pages/" not in page


def test_pane_without_script_goes_by_links(curator: User) -> None:
    scan = named("a.pdf", page_count=60)
    page = text_of(client_of(curator), "scan", scan.pk, page=14, turn=90, size=150, mark="0.1,0.2,0.3,0.25")
    assert 'alt="Page 14 of 60"' in page
    assert f"{reverse('scans:page-image', args=[scan.pk, 14])}?width=1600&amp;turn=90" in page
    assert 'href="?page=15&amp;turn=90&amp;size=150#pane"' in page
    # turned by a quarter: x is 1 - 0.25, y is 0.1; width and height change places
    assert '<rect x="75.00%" y="10.00%" width="5.00%" height="20.00%"/>' in page
    assert page.count("data-thumb=") == 60


@pytest.mark.parametrize("count", [1, 60])
def test_queries_of_a_page(count: int, curator: User, django_assert_num_queries: Any) -> None:
    scan = named("a.pdf", page_count=count)
    for number in range(1, count + 1):
        ScanPage.objects.create(scan=scan, number=number, text="a", printed_page=number, printed_of=count)
    client = client_of(curator)
    # session and person, the scan and its marks, its filings, its words, its printed page numbers, two histories, the
    # papers in it (asked by the answer and by their own panel), how far its words are read
    with django_assert_num_queries(12):
        text_of(client, "scan", scan.pk)


def test_pages_missed_by_their_printed_numbers_are_told(curator: User) -> None:
    scan = named("a.pdf", page_count=3)
    for number, printed in ((1, 1), (2, 2), (3, 4)):
        ScanPage.objects.create(scan=scan, number=number, printed_page=printed, printed_of=4)
    told = "Page 3 of 4 is missing, by the page numbers printed on the others."
    assert told in text_of(client_of(curator), "scan", scan.pk)
    assert told in text_of(client_of(curator), "scans")


# Marks ----------------------------------------------------------------------------------------------------------------


def test_mark_is_added_shown_and_withdrawn(curator: User) -> None:
    scan, client = named("a.pdf"), client_of(curator)
    add = reverse("scans:scan-mark", args=[scan.pk])
    answer = client.post(add, {"kind": "illegible", "note": "coffee"}, follow=True)
    assert "Marked: Illegible." in answer.content.decode()
    mark = ScanMark.objects.get()
    assert (mark.scan, mark.note, mark.marked_by) == (scan, "coffee", curator)
    assert "Illegible" in text_of(client, "scans")

    assert "Reason" in text_of(client, "scan-mark-withdraw", mark.pk)
    withdraw = reverse("scans:scan-mark-withdraw", args=[mark.pk])
    assert client.post(withdraw, {"why": ""}).status_code == 422
    answer = client.post(withdraw, {"why": "a better copy came"}, follow=True)
    assert "The mark was withdrawn" in answer.content.decode()
    mark.refresh_from_db()
    assert mark.withdrawn_by == curator
    assert mark.withdrawn_at is not None
    assert [row.history_change_reason for row in mark.history.all()] == ["a better copy came", "coffee"]
    assert "Nobody noted" in answer.content.decode()


def test_translation_names_the_other_scan_by_number_or_name(curator: User) -> None:
    original, scan, second = named("original.pdf"), named("english.pdf"), named("deutsch.pdf")
    client = client_of(curator)
    for one, typed in ((scan, str(original.pk)), (second, "Original.PDF")):
        client.post(reverse("scans:scan-mark", args=[one.pk]), {"kind": "translation", "other": typed})
        assert ScanMark.objects.get(scan=one).other == original
    assert "Translation of original.pdf" in text_of(client, "scan", scan.pk)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "This field is required."),
        ({"kind": "translation"}, "Say which scan it is a translation of."),
        ({"kind": "illegible", "other": "b.pdf"}, "This mark speaks of no other scan"),
        ({"kind": "translation", "other": "a.pdf"}, "That is this scan itself."),
        ({"kind": "translation", "other": "nowhere.pdf"}, "is neither the number nor the name of a scan"),
        ({"kind": "translation", "other": "closed.pdf"}, "is neither the number nor the name of a scan"),
        ({"kind": "superseded", "other": "twin.pdf"}, "2 scans are named so."),
        ({"kind": "torn"}, "is not one of the available choices"),
    ],
)
def test_mark_that_makes_no_sense(curator: User, typed: dict[str, str], told: str) -> None:
    scan = named("a.pdf")
    named("b.pdf"), named("closed.pdf", **CLOSED), named("twin.pdf", "one"), named("twin.pdf", "two")
    answer = client_of(curator).post(reverse("scans:scan-mark", args=[scan.pk]), typed)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not ScanMark.objects.exists()


def test_mark_that_stands_is_not_added_twice(curator: User) -> None:
    scan = named("a.pdf")
    marking.mark(scan=scan, kind="illegible", by=curator, why="a")
    answer = client_of(curator).post(reverse("scans:scan-mark", args=[scan.pk]), {"kind": "illegible"})
    assert answer.status_code == 422
    assert "The scan has this mark already." in answer.content.decode()


def test_mark_is_not_withdrawn_twice(curator: User) -> None:
    mark = marking.mark(scan=named("a.pdf"), kind="illegible", by=curator, why="a")
    marking.withdraw_mark(mark=mark, by=curator, why="b")
    with pytest.raises(ValidationError, match="withdrawn already"):
        marking.withdraw_mark(mark=mark, by=curator, why="c")
    again = marking.mark(scan=mark.scan, kind="illegible", by=curator, why="d")
    assert again.withdrawn_at is None


def test_closed_scan_is_not_marked_nor_named(curator: User) -> None:
    closed, scan = named("closed.pdf", **CLOSED), named("a.pdf")
    for marked, kind, other in ((closed, "illegible", None), (scan, "translation", closed)):
        with pytest.raises(NotAllowedError, match="Registrar, Compliance officer"):
            marking.mark(scan=marked, kind=kind, other=other, by=curator, why="a")
    mark = marking.mark(scan=closed, kind="illegible", by=register.person(Role.REGISTRAR), why="a")
    with pytest.raises(NotAllowedError):
        marking.withdraw_mark(mark=mark, by=curator, why="b")
    client = client_of(curator)
    assert client.get(reverse("scans:scan-mark", args=[closed.pk])).status_code == 403
    assert client.get(reverse("scans:scan-mark-withdraw", args=[mark.pk])).status_code == 403


def test_name_of_a_closed_scan_does_not_show_in_a_mark(curator: User) -> None:
    scan, closed = named("a.pdf"), named("terms of the elders.pdf", **CLOSED)
    marking.mark(scan=scan, kind="superseded", other=closed, by=register.person(Role.REGISTRAR), why="a")
    page = text_of(client_of(curator), "scan", scan.pk)
    assert "Superseded by a restricted scan" in page
    assert "elders" not in page


# Filing what is here already ------------------------------------------------------------------------------------------


def test_scan_is_filed_by_the_number_of_an_accession_or_the_code_of_a_site(curator: User) -> None:
    scan, accession, site = named("a.pdf"), register.accession(), register.site()
    client, address = client_of(curator), reverse("scans:scan-place", args=[scan.pk])
    told = {"accession": accession.number.lower(), "filed_as": "letter"}
    assert "Filed." in client.post(address, told, follow=True).content.decode()
    client.post(address, {"site": site.code.lower(), "filed_as": "unsorted"})
    assert {(f.accession, f.site, f.filed_as, f.filed_by) for f in Filing.objects.all()} == {
        (accession, None, "letter", curator), (None, site, "unsorted", curator),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "Write the number of an accession or the code of a site, not both."),
        ({"accession": "LMN-2024-038", "site": "GE-NAZ-1"}, "not both."),
        ({"accession": "LMN-1"}, "No accession has the number \u201cLMN-1\u201d."),
        ({"site": "XX"}, "No site has the code \u201cXX\u201d."),
    ],
)
def test_place_that_makes_no_sense(curator: User, typed: dict[str, str], told: str) -> None:
    register.accession(), register.site()
    scan = named("a.pdf")
    answer = client_of(curator).post(reverse("scans:scan-place", args=[scan.pk]), {"filed_as": "unsorted"} | typed)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not Filing.objects.exists()


def test_closed_scan_is_not_filed(curator: User) -> None:
    scan = named("closed.pdf", **CLOSED)
    assert client_of(curator).get(reverse("scans:scan-place", args=[scan.pk])).status_code == 403
