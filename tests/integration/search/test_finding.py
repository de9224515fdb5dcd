"""The search finds what a reading of all rows finds, and nothing else.

Expected values are worked out here by a reading of our own: letters in small, accents taken off by canonical
decomposition (Unicode Standard Annex #15, NFD without the characters of category Mn), and every word held against every
row. The texts use only letters for which that is the whole of folding; that the words of scans are folded so is tested
in tests/unit/governance/scans.
"""

from __future__ import annotations

import random
import unicodedata
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from django.urls import reverse

from accessions.people.models import AgentName, Role
from governance.search import places_index
from governance.search.asked import Asked
from governance.search.queries import material, names, papers, places, work
from governance.search.queries.searching import search
from tests.factories import plans, register, reports, scans, usedesk

pytestmark = pytest.mark.django_db

WORDS = (
    "Hällsjön", "hallsjon", "Åsarp", "RÍO", "Verde", "bridge", "Bridge-end", "brook", "NE", "ñandú", "São", "II", "12",
    "2024", "upper", "Éclair", "Nazvri", "nazvri-2",
)  # fmt: skip


def plain(text: str) -> str:
    """Small letters and digits without accents; blanks stay, everything else is closed up."""
    taken = "".join(sign for sign in unicodedata.normalize("NFD", text.lower()) if unicodedata.category(sign) != "Mn")
    return "".join(sign for sign in taken if sign.isalnum() or sign == " ")


def holds(asked: str, number: str, words: str) -> bool:
    """Whether somebody who reads the row finds what was asked in it."""
    closed = plain(asked).replace(" ", "")
    return closed in plain(number).replace(" ", "") or all(
        w in plain(f"{number} {words}") for w in plain(asked).split()
    )


def some_words(chance: random.Random) -> str:
    return " ".join(chance.choice(WORDS) for _ in range(chance.randint(1, 4)))


def questions(chance: random.Random) -> Iterator[str]:
    """Whole words, pieces of words, two words, numbers with and without dashes."""
    for _ in range(20):
        word = chance.choice(WORDS)
        start = chance.randint(0, 2)
        yield chance.choice([word, word.upper(), word[start : start + 4] or word, f"{word} {chance.choice(WORDS)[:3]}"])
    yield from ("lmn-2024-01", "LMN 2024", "lmn202401", "2024-0", "col2024", "col 2024")


def keys(matches: Any) -> set[int]:
    assert matches.count == len(matches.rows)
    return set(matches.rows)


def test_rows_are_those_that_a_reader_of_all_rows_finds() -> None:
    """Accessions, papers, sites, plans, requests: 18 of each, 26 questions."""
    chance = random.Random(20261126)
    user = register.person(Role.REGISTRAR)
    told: dict[str, dict[int, tuple[str, str]]] = {
        kind: {} for kind in ("accessions", "papers", "sites", "plans", "requests")
    }
    for n in range(18):
        text = [some_words(chance) for _ in range(5)]
        accession = register.accession(f"LMN-2024-{n:03}", title=text[0])
        told["accessions"][accession.pk] = (accession.number, text[0])
        paper = register.paper(f"COL-2024-{n:03}", issuer=text[1], holder=text[2])
        told["papers"][paper.pk] = (paper.reference, f"{text[1]} {text[2]}")
        site = register.site(f"GE-{n}", name=text[2])
        told["sites"][site.pk] = (site.code, text[2])
        plan = plans.field_plan(reference=f"FP-2024-{n:03}", title=text[3])
        told["plans"][plan.pk] = (plan.reference, text[3])
        request = usedesk.use_request(reference=f"UR-2024-{n:03}", title=text[4])
        told["requests"][request.pk] = (request.reference, text[4])
    find = {
        "accessions": material.find_accessions, "papers": papers.find_papers, "sites": places.find_sites,
        "plans": work.find_plans, "requests": work.find_requests,
    }  # fmt: skip
    found_something = 0
    for question in questions(chance):
        for kind, rows in told.items():
            expected = {pk for pk, (number, words) in rows.items() if holds(question, number, words)}
            assert keys(find[kind](Asked.of(question), user)) == expected, (kind, question)
            found_something += bool(expected)
    assert found_something > 60  # of 130 pairs; else the comparison would prove little


@pytest.fixture
def localities() -> dict[str, int]:
    """Sampling events by locality: how many there are of each."""
    chance = random.Random(7)
    written = {some_words(chance): chance.randint(1, 3) for _ in range(25)}
    for text, times in written.items():
        for _ in range(times):
            register.event(locality=text)
    return written


def test_localities_by_the_beginnings_of_their_words(localities: dict[str, int]) -> None:
    """As the database indexes them; a hyphen parts words here."""
    user = register.person()
    for question in (
        "hallsjon",
        "HÄLL",
        "brid",
        "asarp 12",
        "rio ver",
        "NAZVRI 2",
        "ecl",
        "nandu",
        "sjon",
        "bridge-end",
    ):
        asked = plain(question.replace("-", " ")).split()
        expected = {
            (text, n) for text, n in localities.items()
            if all(any(word.startswith(one) for word in plain(text.replace("-", " ")).split()) for one in asked)
        }  # fmt: skip
        matches = places.find_localities(Asked.of(question), user)
        assert {(one.written, one.events) for one in matches.rows} == expected, question


def test_localities_follow_what_is_written(localities: dict[str, int]) -> None:
    """The database itself keeps the index in step; and without the index the rows are read."""
    event = register.event(locality="Tba lake outlet")
    user, asked = register.person(), Asked.of("tba outlet")
    assert places.find_localities(asked, user).count == 1
    event.locality = "Chkara springs"
    event.save()
    assert places.find_localities(asked, user).count == 0
    event.delete()
    assert places.find_localities(Asked.of("chkara"), user).count == 0
    register.event(locality="Tba lake outlet")
    connection.check_constraints()  # PostgreSQL drops no index while foreign keys of a transaction wait
    places_index.drop(connection)
    assert places.find_localities(asked, user).count == 1
    places_index.make(connection)
    assert places.find_localities(asked, user).count == 1


def test_agents_in_all_forms() -> None:
    """Initials with and without blanks, family name first, accents left out; the form that was meant is shown."""
    person = register.agent("Ana Rodríguez")
    AgentName.objects.create(agent=person, form="Rodríguez, A. M.", key="amrodríguez")
    register.agent("J. Ek")
    user = register.person(first_name="Rodriguez")
    for question in ("rodriguez", "A.M. Rodríguez", "Rodriguez, A.M.", "A. M. Rodriguez", "RODRÍGUEZ ana"):
        matches = names.find_agents(Asked.of(question), user)
        assert list(matches.rows) == [person.pk], question
    [hit] = names.find_agents(Asked.of("a.m. rodriguez"), user).show([person.pk])
    assert [(one.label, "".join(piece.text for piece in one.pieces)) for one in hit.why] == [
        ("Also written", "Rodríguez, A. M.")
    ]


def test_nearest_first() -> None:
    """The whole number, numbers that begin so, numbers that hold it, words that begin so, other words."""
    for number, title in (
        ("X-2", "of 1990-1"),
        ("X-3", "1990-1 and more"),
        ("A1990-1", ""),
        ("1990-12", ""),
        ("1990-1", ""),
    ):
        register.accession(number, title=title)
    matches = material.find_accessions(Asked.of("1990 1"), register.person())
    shown = [hit.title for hit in matches.show(matches.rows)]
    assert shown == ["1990-1", "1990-12", "A1990-1", "X-3", "X-2"]
    assert [hit.title for hit in matches.show(matches.exact)] == ["1990-1"]


def test_kinds_with_whole_numbers_first_and_the_one_that_has_it() -> None:
    user = register.person(Role.REGISTRAR)
    register.accession("LMN-2024-001", title="for RP-2026-001")
    report = reports.draft(reference="RP-2026-001")
    results = search(Asked.of("rp 2026/001"), user)
    assert [one.kind.key for one in results.found] == ["reports", "accessions"]
    assert results.straight is not None
    assert results.straight.address == reverse("reports:report", args=[report.pk])
    plans.field_plan(reference="RP-2026-001", title="another thing with this number")
    assert search(Asked.of("RP-2026-001"), user).straight is None


def test_parts_by_number_and_letter() -> None:
    """The number of the accession alone means the accession."""
    accession = register.accession("LMN-2024-038")
    part = register.part(accession, "B", title="Lake outlet")
    register.part(accession, "A")
    user = register.person()
    for question in ("LMN-2024-038 B", "lmn2024038b", "outlet", "lmn-2024-038 outlet"):
        assert keys(material.find_parts(Asked.of(question), user)) == {part.pk}, question
    assert keys(material.find_parts(Asked.of("LMN-2024-038"), user)) == set()


def test_words_in_scans_are_marked() -> None:
    scan = scans.scan(b"pages", stored=False, text_state="read", original_name="letter.pdf")
    scan.pages.create(
        number=3, text="Consent for the Hällsjön shore", folded=" consent for the hallsjon shore ", source="file"
    )
    [hit] = (matches := papers.find_words(Asked.of("hallsjon"), register.person())).show(matches.rows)
    assert hit.title == "letter.pdf"
    assert [(piece.text, piece.is_hit) for piece in hit.why[0].pieces] == [
        ("Consent for the ", False), ("Hällsjön", True), (" shore", False)
    ]  # fmt: skip
