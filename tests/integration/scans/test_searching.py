"""The search over the words of scans: the same answers on both databases, and with and without the index."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from accessions.people.access import EVERY_ROLE, role_bits
from accessions.people.models import Role
from governance.audit.models import Opening
from governance.papers.models import PaperScan
from governance.scans import words_index
from governance.scans.models import Filing, Scan, ScanPage
from governance.scans.queries.searching import boxes, matching, unread
from governance.scans.reading.folding import folded_words
from governance.scans.reading.wanted import hits, phrases
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

PAGES = {
    1: "Autorización para la recolección NC/2024/117 en la finca",
    2: "Ministry of Forests: permit LND-2024-117 for the upper bridge of the river Nazvri",
    3: "The bridge is the upper one. Permit LND-2024-1178. Straße, ﬁeld, Œuvre",
    4: "the the the collec-\ntion of Ærø, 5 % of O'Brien's \"land\" & more | less * : <-> NOT",
    5: "",
}


@pytest.fixture(params=["with the index", "without it"])
def index(request: pytest.FixtureRequest) -> Iterator[None]:
    make_index()
    if request.param == "without it":
        words_index.drop(connection)
    yield
    make_index()


def make_index() -> None:
    connection.check_constraints()  # PostgreSQL makes no index while foreign keys of a transaction wait to be checked
    words_index.make(connection)


def page(of: Scan, number: int, text: str, **more: Any) -> ScanPage:
    return ScanPage.objects.create(scan=of, number=number, text=text, folded=folded_words(text), source="file", **more)


@pytest.fixture
def scan() -> Scan:
    made = scans.scan(b"the pages", stored=False, page_count=5, text_state=Scan.TextState.READ)
    for number, text in PAGES.items():
        page(made, number, text)
    return made


def found(typed: str) -> list[int]:
    return sorted(matching(phrases(typed)).values_list("number", flat=True))


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("autorizacion", [1]),
        ("AUTORIZACIÓN ", [1]),
        ("autoriz", [1]),  # the last word may be a beginning
        ("autoriz ", []),  # a blank ends it
        ("autoriz finca", []),  # and only the last
        ("finca recoleccion", [1]),  # in any order
        ("permit", [2, 3]),
        ("permit nazvri", [2]),
        ('"upper bridge"', [2]),
        ("upper bridge", [2, 3]),
        ('"bridge upper"', []),
        ("lnd-2024-117", [2, 3]),  # 117 is a beginning of 1178
        ("lnd-2024-117 ", [2]),
        ('"LND 2024 117"', [2]),
        ("nc/2024/117", [1]),
        ("2024", [1, 2, 3]),
        ("strasse", [3]),
        ("STRASSE field oeuvre", [3]),
        ("collection", [4]),
        ("aero", [4]),
        ("o'brien", [4]),
        ('"the the the"', [4]),
        ("land & more", [4]),
        ("% | * : <-> NOT", [4]),
        ("not zebra", []),
        ("zebra OR permit", []),  # no word of any query language means anything but itself
        ("per*", [2, 3]),  # but a star at the end says what is so without it
        ("", []),
        ("-- ' \" --", []),
        ("permit permit permit", [2, 3]),
    ],
)
def test_what_is_found(typed: str, expected: list[int], scan: Scan, index: None) -> None:
    assert found(typed) == expected


def test_the_index_follows_the_pages(scan: Scan, index: None) -> None:
    """Written, changed, removed, whoever does it and however."""
    ScanPage.objects.filter(scan=scan, number=1).update(text="zebra", folded=" zebra ")
    assert (found("zebra"), found("finca")) == ([1], [])
    ScanPage.objects.bulk_create([ScanPage(scan=scan, number=6, text="zebras", folded=" zebras ")])
    assert found("zebra") == [1, 6]
    ScanPage.objects.filter(number=1).delete()
    assert found("zebra") == [6]
    scan.delete()
    assert found("zebra") == []


def test_a_page_of_very_many_words(scan: Scan, index: None) -> None:
    """Phrases far behind are found, too: PostgreSQL counts places in a text to 16383 only."""
    page(scan, 7, " ".join(f"word{number}" for number in range(30_000)) + " the last zebra")
    assert found('"last zebra"') == [7]
    assert found('"word29999 the last"') == [7]


def test_a_word_of_very_many_letters(scan: Scan, index: None) -> None:
    page(scan, 7, "x" * 5000)
    assert found("x" * 5000) == [7]


def test_migrations_make_the_index() -> None:
    """Whatever a later migration does to the table: SQLite drops the triggers with it when it rebuilds one."""
    from importlib import import_module

    made = import_module("governance.scans.migrations.0002_words_index")
    connection.check_constraints()
    words_index.drop(connection)
    made.make(None, type("Editor", (), {"connection": connection}))
    with connection.cursor() as cursor:
        names = set(connection.introspection.table_names(cursor))
        if connection.vendor == "postgresql":
            cursor.execute("SELECT count(*) FROM pg_indexes WHERE indexname = %s", [words_index.TABLE])
        else:
            cursor.execute("SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'scans_words_%%'")
        count = cursor.fetchone()[0]
    assert count == (1 if connection.vendor == "postgresql" else 3)
    assert "scans_scanpage" in names


class TestPage:
    @pytest.fixture
    def client(self, client: Client) -> Client:
        client.force_login(register.person())
        return client

    def look(self, client: Client, **asked: Any) -> str:
        answer = client.get(reverse("scans:search"), asked)
        assert answer.status_code == 200
        return str(answer.content.decode())

    def test_a_hit_opens_in_its_page_with_the_words_marked(self, scan: Scan, client: Client) -> None:
        text = "of Nazvri"
        page(scan, 8, text, words=[[0, 2, 0.1, 0.2, 0.15, 0.22, None], [3, 9, 0.16, 0.2, 0.3, 0.22, None]])
        shown = self.look(client, q='"of nazvri"')
        assert "<mark>of Nazvri</mark>" in shown
        assert f'href="{reverse("scans:scan", args=[scan.pk])}?page=8&amp;mark=0.1,0.2,0.3,0.22#pane"' in shown

    def test_where_it_is_filed(self, scan: Scan, client: Client) -> None:
        user, accession, site, paper = register.person(), register.accession(), register.site(), register.paper()
        filed = {"scan": scan, "name": "a.pdf", "filed_by": user}
        Filing.objects.create(accession=accession, **filed)
        Filing.objects.create(site=site, **filed)
        PaperScan.objects.create(paper=paper, first_page=2, last_page=4, **filed)
        shown = self.look(client, q="finca")
        for address in (reverse("material:accession", args=[accession.pk]), reverse("sites:site", args=[site.pk]),
                        reverse("papers:paper", args=[paper.pk])):  # fmt: skip
            assert f'href="{address}"' in shown
        assert "pages 2 to 4" in shown

    def test_text_of_a_page_is_escaped(self, scan: Scan, client: Client) -> None:
        page(scan, 8, "<script>alert('zebra')</script>")
        shown = self.look(client, q="zebra")
        assert "<script>alert" not in shown
        assert "&lt;script&gt;" in shown

    def test_a_scan_with_many_hits_shows_some_and_leads_to_all(self, client: Client) -> None:
        scan = scans.scan(b"many", stored=False, page_count=9)
        for number in range(1, 10):
            page(scan, number, f"zebra {number}")
        shown = self.look(client, q="zebra")
        assert shown.count("<mark>") == 3
        assert "6 more pages of this scan" in shown
        assert "1 scan holds that." in shown
        of_one = self.look(client, q="zebra", scan=scan.pk)
        assert of_one.count("<mark>") == 9
        assert "9 pages of this scan hold that." in of_one

    def test_number_of_queries_does_not_grow(self, scan: Scan, client: Client, django_assert_num_queries: Any) -> None:
        """Session, user; the index, the count and the rows; scans, the index, the pages, their text, filings, papers;
        what is not read. SQLite is asked whether the index is there."""
        make_index()
        on_sqlite = 2 if connection.vendor == "sqlite" else 0
        with django_assert_num_queries(10 + on_sqlite):
            self.look(client, q="permit")
        for number in range(6):
            page(scans.scan(b"%d" % number, stored=False), 1, "one more permit")
        with django_assert_num_queries(10 + on_sqlite):
            shown = self.look(client, q="permit")
        assert "7 scans hold that." in shown

    def test_nothing_found_says_what_is_not_read(self, client: Client) -> None:
        scans.scan(b"waits", stored=False)
        scans.scan(b"not", stored=False, text_state=Scan.TextState.NO_READER)
        shown = self.look(client, q="zebra")
        assert "No page holds that." in shown
        assert "1 scan waits to be read." in shown
        assert "1 holds pages that could not be read." in shown

    @pytest.mark.parametrize(
        "asked", [{}, {"q": "''"}, {"q": "x" * 500}, {"scan": "none", "q": "a"}, {"scan": "9" * 30}]
    )
    def test_what_makes_no_sense_is_no_error(self, asked: dict[str, str], scan: Scan, client: Client) -> None:
        assert "<mark>" not in self.look(client, **asked) or asked == {"scan": "none", "q": "a"}


def without_token(text: str) -> str:
    """A page without the token of its forms, which is drawn by chance."""
    return re.sub(r'(name="csrfmiddlewaretoken" value=")[^"]*', r"\1", text)


class TestRestriction:
    """Words of what a person may not open are not found, not counted, and cannot be guessed from anything else."""

    @pytest.mark.parametrize("column", ["restricted_to", "papers_restricted_to"])
    def test_words_of_a_closed_scan(self, column: str, client: Client, index: None) -> None:
        bits = EVERY_ROLE & ~role_bits([Role.VOLUNTEER])
        closed = scans.scan(b"closed", stored=False, original_name="secret price.pdf", **{column: bits})
        page(closed, 1, "the price is 40 zebras")
        address = reverse("scans:search")

        client.force_login(register.person(Role.VOLUNTEER))
        for of_one in ({}, {"scan": str(closed.pk)}):
            shown = client.get(address, {"q": "zebras", **of_one}).content.decode()
            assert "No page holds that." in shown
            elsewhere = client.get(address, {"q": "okapis", **of_one}).content.decode()
            alike = [without_token(text) for text in (shown.replace("zebras", "okapis"), elsewhere)]
            assert alike[0] == alike[1], "it tells nothing but what a word of no page does"

        client.force_login(register.person(Role.CURATOR))
        assert "secret price.pdf" in client.get(address, {"q": "zebras"}).content.decode()

    @pytest.mark.parametrize("column", ["restricted_to", "papers_restricted_to"])
    def test_words_of_it_are_shown_where_it_is_opened(self, column: str, client: Client) -> None:
        """Whoever may open it finds the page; what stands around the words would be read, and nobody would know."""
        bits = EVERY_ROLE & ~role_bits([Role.VOLUNTEER])
        closed = scans.scan(b"closed", stored=False, original_name="agreement.pdf", **{column: bits})
        page(closed, 2, "the price is 40 zebras")
        page(scans.scan(b"open", stored=False), 1, "a lake of zebras")
        client.force_login(register.person(Role.CURATOR))
        for place in ("scans:search", "search:search"):
            shown = client.get(reverse(place), {"q": "zebras"}).content.decode()
            assert "a lake of <mark>zebras</mark>" in shown
            assert "agreement.pdf" in shown
            assert "its words are not shown here" in shown
            assert "price" not in shown, place
            assert f'href="{reverse("scans:scan", args=[closed.pk])}?page=2#pane"' in shown
        assert not Opening.objects.exists()

        client.get(reverse("scans:scan", args=[closed.pk]), {"page": 2})
        assert [one.scan for one in Opening.objects.all()] == [closed]

    def test_both_must_allow(self) -> None:
        """Open to volunteers by hand and to curators by its papers: to nobody."""
        scans.scan(b"x", stored=False, restricted_to=role_bits([Role.VOLUNTEER]),
                   papers_restricted_to=role_bits([Role.CURATOR]))  # fmt: skip
        assert [unread(register.person(role)).waiting for role in (Role.VOLUNTEER, Role.CURATOR)] == [0, 0]


def test_boxes_of_a_phrase_over_two_lines() -> None:
    """Two boxes: the end of one line and the beginning of the next."""
    text = "of the upper bridge here"
    words = [
        [0, 2, 0.6, 0.10, 0.65, 0.12, None], [3, 6, 0.66, 0.10, 0.70, 0.12, None],
        [7, 12, 0.1, 0.13, 0.2, 0.15, None], [13, 19, 0.21, 0.13, 0.3, 0.15, None],
    ]  # fmt: skip
    found = hits(text, phrases('"of the upper bridge"'))
    assert boxes(words, found) == [(0.6, 0.10, 0.70, 0.12), (0.1, 0.13, 0.3, 0.15)]
