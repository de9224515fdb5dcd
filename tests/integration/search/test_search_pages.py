"""The pages of the search: where a number leads, what is shown, to whom, and with how many queries."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.models import Opening
from governance.search.asked import LONGEST, Asked
from governance.search.queries import kinds as contract
from governance.search.queries.kinds import Hit, Kind, Matches, add_kind
from governance.search.queries.searching import search
from tests.factories import duties, plans, register, reports, scans, usedesk

pytestmark = pytest.mark.django_db

PAGE = "/search/"


@pytest.fixture
def client() -> Client:
    return signed_in(Role.CURATOR)


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def titles(answer: Any) -> dict[str, list[str]]:
    """What is shown of each kind."""
    return {one.kind.key: [hit.title for hit in one.hits] for one in answer.context["results"].found}


def test_specimen_at_once(client: Client, django_assert_num_queries: Any) -> None:
    """Four queries, two of them for the session and the person: a reader of labels does not wait for the search."""
    specimen = register.specimen("LMN-FW-0000001")
    for typed in ("LMN-FW-0000001", "lmn-fw-0000001", " LMN-FW-0000001 "):
        with django_assert_num_queries(4):
            answer = client.get(PAGE, {"q": typed})
        assert answer["Location"] == reverse("verdicts:specimen", args=[specimen.pk])


@pytest.mark.parametrize(
    "typed",
    [
        "]C1LMN-FW-0000001",  # symbology identifier of Code 128 (ISO/IEC 15424)
        "*LMN-FW-0000001*",  # start and stop signs of Code 39; common practice, no source
        "https://id.lindmark.example/LMN-FW-0000001",
        "http://testserver/specimens/{key}/",
    ],
)
def test_what_a_reader_sends_around_the_number(client: Client, typed: str) -> None:
    """A label that the use desk understands leads from the head of every page, too."""
    specimen = register.specimen("LMN-FW-0000001")
    answer = client.get(PAGE, {"q": typed.format(key=specimen.pk)})
    assert answer["Location"] == reverse("verdicts:specimen", args=[specimen.pk])


def test_a_code_of_nothing_leads_nowhere(client: Client) -> None:
    register.specimen("LMN-FW-0000001")
    answer = client.get(PAGE, {"q": "]C1LMN-FW-0000002"})
    assert (answer.status_code, titles(answer)) == (200, {})


def test_a_number_of_two_things_leads_to_neither(client: Client) -> None:
    register.specimen("1990.12")
    register.accession("1990.12")
    assert titles(client.get(PAGE, {"q": "1990.12"})) == {"specimens": ["1990.12"], "accessions": ["1990.12"]}


def test_a_number_that_is_parted_otherwise_is_another_number(client: Client) -> None:
    """Marks may be left out; those that are typed count."""
    paper = register.paper("PA-11/2")
    assert client.get(PAGE, {"q": "pa 112"})["Location"] == reverse("papers:paper", args=[paper.pk])
    assert titles(client.get(PAGE, {"q": "PA-1/12"})) == {"papers": ["PA-11/2"]}


def test_a_number_with_the_dash_of_a_word_processor_may_be_of_something_else(client: Client) -> None:
    register.specimen("A-1")
    register.paper("A-1")
    found = titles(client.get(PAGE, {"q": "A\N{EN DASH}1"}))
    assert found == {"specimens": ["A-1"], "papers": ["A-1"]}


def test_a_site_with_the_number_of_a_specimen(client: Client) -> None:
    register.specimen("GE-7")
    register.site("GE-7")
    found = titles(client.get(PAGE, {"q": "GE-7"}))
    assert found.keys() == {"specimens", "sites"}


def test_whole_numbers_lead_straight(client: Client) -> None:
    made = {
        "material:accession": register.accession("LMN-2024-700"), "papers:paper": register.paper("COL-2024-700"),
        "plans:plan": plans.field_plan(reference="FP-2024-700"), "material:arrival": register.arrival("E-2024-700"),
        "usedesk:request": usedesk.use_request(reference="UR-2024-700"),
        "reports:report": reports.draft(reference="RP-2024-700"), "sites:site": register.site("GE-SEVEN-7"),
    }  # fmt: skip
    for name, row in made.items():
        number = next(getattr(row, c) for c in ("reference", "entry_number", "number", "code") if getattr(row, c, ""))
        answer = client.get(PAGE, {"q": number.lower().replace("-", " ")})
        assert answer["Location"] == reverse(name, args=[row.pk])


def test_what_else_was_found_is_a_link_away(client: Client) -> None:
    register.accession("LMN-2024-700")
    duties.duty(label="LMN-2024-700", what="Send a photograph")
    page = client.get(PAGE, {"q": "LMN-2024-700"}, follow=True)
    assert "1 other thing was found by that." in page.content.decode()
    assert "/search/?q=LMN-2024-700&amp;all=1" in page.content.decode()
    found = titles(client.get(PAGE, {"q": "LMN-2024-700", "all": "1"}))
    assert found == {"accessions": ["LMN-2024-700"], "duties": ["Send a photograph"]}


def test_all_of_a_kind_stand_in_the_list_of_its_room_or_here(client: Client) -> None:
    """A room's own list knows nothing of accents: where it would show fewer, the search shows all itself."""
    for n in range(10):
        register.accession(f"LMN-2024-{n:03}", title="Hällsjön and bridge")
    [found] = client.get(PAGE, {"q": "bridge"}).context["results"].found
    assert (found.count, len(found.hits), found.all_address) == (10, 8, "/accessions/?q=bridge")
    assert client.get(found.all_address).context["page"].paginator.count == 10
    [found] = client.get(PAGE, {"q": "hallsjon"}).context["results"].found
    assert found.all_address == "/search/?q=hallsjon&kind=accessions"
    page = client.get(found.all_address)
    assert [hit.title for hit in page.context["hits"]] == [f"LMN-2024-{n:03}" for n in range(10)]
    assert "10 found by “hallsjon”." in page.content.decode()


def test_queries_do_not_grow_with_what_is_found(django_assert_num_queries: Any) -> None:
    def fill(n: int) -> None:
        accession = register.accession(f"BRIDGE-{n}", title="bridge", source=register.agent(f"Bridge {n}"))
        register.part(accession, title="bridge")
        register.specimen(f"BRIDGE-FW-{n}", event=register.event(locality=f"bridge {n}"), accession=accession)
        scan = scans.scan(f"bridge {n}".encode(), stored=False, text_state="read", original_name=f"bridge {n}.pdf")
        scan.pages.create(number=1, text="bridge", folded=" bridge ", source="file")
        register.paper(f"BRIDGE-P-{n}")
        register.site(f"BRIDGE-S-{n}")
        plans.stop(plans.field_plan(title="bridge"), name="bridge")
        usedesk.use_request(title="bridge", recipient=usedesk.recipient())
        usedesk.made_use(title="bridge", recipient=usedesk.recipient())
        duties.duty(what="bridge")
        reports.draft(title="bridge")

    fill(1)
    user, asked = register.person(Role.REGISTRAR), Asked.of("bridge")
    queries = 47 if connection.vendor == "sqlite" else 44  # SQLite is asked three times whether an index is there
    with django_assert_num_queries(queries):
        found = [one.kind.key for one in search(asked, user).found]
    assert len(found) == 14, found
    for n in range(2, 8):
        fill(n)
    with django_assert_num_queries(queries):
        search(asked, user)


def test_nothing_found_says_what_was_looked_through(client: Client) -> None:
    page = client.get(PAGE, {"q": "zzzz"}).content.decode()
    for words in ("Nothing holds that.", "all forms of their names", "all words of all pages that were read",
                  reverse("audit:compose")):  # fmt: skip
        assert words in page
    assert "Looks for numbers, names, places and words" in client.get(PAGE).content.decode()


@pytest.mark.parametrize(
    "typed",
    [
        "\0",
        "a\0b",
        '"',
        '" * OR NEAR(',
        "%",
        "_",
        "\\",
        "'; --",
        "<b>x</b>",
        "*",
        "a" * 5000,
        "日本",
        "…",
        "a\N{NEW TAI LUE VOWEL SIGN AA}b",
    ],
)
def test_whatever_is_typed_is_answered(typed: str, client: Client) -> None:
    register.event(locality="a b 日本 x")
    page = client.get(PAGE, {"q": typed})
    assert page.status_code == 200
    assert "<b>x</b>" not in page.content.decode()
    assert len(page.context["asked"].text) <= LONGEST
    assert client.get(PAGE, {"q": typed, "kind": "accessions"}).status_code == 200
    assert client.get("/search/suggest/", {"q": typed}).status_code == 200


def test_suggestions_begin_as_typed(client: Client, django_assert_num_queries: Any) -> None:
    register.specimen("LMN-FW-0000001", accession=register.accession("LMN-2024-001"))
    register.paper("LMN-P-1")
    register.agent("Lm. Nord")
    with django_assert_num_queries(8):
        answer = client.get("/search/suggest/", {"q": "lmn"}).json()["options"]
    assert answer == [
        ["LMN-2024-001", "accession"], ["LMN-P-1", "paper"], ["LMN-FW-0000001", "specimen"], ["Lm. Nord", "agent"]
    ]  # fmt: skip
    assert client.get("/search/suggest/", {"q": "l"}).json()["options"] == []


def test_a_room_above_adds_a_kind(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(contract._KINDS, "added", [])
    kind = Kind(
        "topics", "Topics", "titles", lambda asked, user: Matches(["?"], 1, lambda rows: [Hit("A topic", "/x/")])
    )
    add_kind(kind)
    add_kind(kind)
    assert titles(client.get(PAGE, {"q": "zzzz"})) == {"topics": ["A topic"]}


# What is not open to a role -------------------------------------------------------------------------------------------

READERS = (Role.REGISTRAR, Role.COMPLIANCE)
HIDDEN = ("Zzissuer", "Zzholder", "Zzsecond", "Zzremarks", "Zzduty", "Zzwhom", "Zznote", "Zzscan", "Zzwords", "Zztitle")


@pytest.fixture
def closed() -> None:
    """A paper, its duty, its scan and a report on it, all open to two roles."""
    paper = register.paper(
        "COL-2024-052", issuer="Zzissuer", holder="Zzholder", second_number="Zzsecond", remarks="Zzremarks",
        restricted_to=role_bits(READERS), restricted_why="a dispute",
    )  # fmt: skip
    duties.duty(paper=paper, what="Zzduty", to_whom="Zzwhom", note="Zznote", due_on=date(2027, 1, 31))
    reports.draft(paper=paper, title="Zztitle")
    scan = scans.scan(
        b"closed", stored=False, text_state="read", original_name="Zzscan.pdf", restricted_to=role_bits(READERS)
    )
    scan.pages.create(number=1, text="Zzwords", folded=" zzwords ", source="file")


@pytest.mark.parametrize("role", Role)
def test_hidden_words_find_for_readers_alone(role: str, closed: None) -> None:
    reader = register.person(role)
    for word in HIDDEN:
        found = search(Asked.of(word), reader).found
        assert bool(found) == (role in READERS), (word, found)


def test_what_is_shown_of_a_closed_paper_is_written_down(closed: None) -> None:
    """Its number alone opens nothing, the words of its face do; once an hour."""
    client = signed_in(Role.COMPLIANCE)
    client.get(PAGE, {"q": "COL-2024-05", "kind": "papers"})
    assert not Opening.objects.exists()
    for _ in range(2):
        client.get(PAGE, {"q": "Zzremarks"})
    assert [one.paper.reference for one in Opening.objects.all() if one.paper] == ["COL-2024-052"]


@pytest.mark.parametrize("role", [role for role in Role if role not in READERS])
def test_others_find_that_it_is_there(role: str, closed: None) -> None:
    """Its reference and its kind, and to whom it is open; nothing of its text, on no page of the search."""
    client = signed_in(role)
    page = client.get(PAGE, {"q": "COL-2024-052", "all": "1"})
    told = page.content.decode() + client.get(PAGE, {"q": "COL-2024", "kind": "duties"}).content.decode()
    told += client.get("/search/suggest/", {"q": "COL"}).content.decode()
    assert titles(page) == {"papers": ["COL-2024-052"], "duties": ["Send a report"]}
    assert "Restricted: open to registrars and compliance officers. Ask one of them." in told
    assert [word for word in HIDDEN if word.lower() in told.lower()] == []
