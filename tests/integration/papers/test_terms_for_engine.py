"""Terms on file, as the engine of answers takes them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from governance.engine.tables import NONE
from governance.engine.uses import Ended, Ownership, PaperTerms, RecipientKind, Said, Term, Use
from governance.engine.uses.clauses import version_on
from governance.papers.lifetimes import Standing, lifetime
from governance.papers.models import Paper, PaperStatus, TermsReading
from governance.papers.queries.terms import engine_terms
from tests.factories.register import paper, person, version
from tests.factories.usedesk import use_term

pytestmark = pytest.mark.django_db

DAYS = [date(2024, 4, 30), date(2024, 5, 1), date(2024, 5, 9), date(2024, 5, 10), date(2024, 5, 12), date(2024, 5, 13),
        date(2024, 7, 31), date(2024, 8, 1), date(2026, 11, 26)]  # fmt: skip
TURNS = {
    "nothing": (),
    "suspended": (("suspended", "2024-05-10", "2024-05-12"),),
    "suspended, open": (("suspended", "2024-05-10", None),),
    "revoked": (("revoked", "2024-08-01", None),),
    "withdrawn": (("withdrawn", "2024-08-01", None),),
    "surrendered, after a pause": (("suspended", "2024-05-10", "2024-05-12"), ("surrendered", "2024-08-01", None)),
    "applied": (("applied", "2024-05-10", None),),
    "refused": (("applied", "2024-05-10", None), ("refused", "2024-08-01", None)),
    "granted after all": (("refused", "2024-05-10", None), ("granted", "2024-08-01", None)),
    "granted on the day of applying": (("applied", "2024-05-10", None), ("granted", "2024-05-10", None)),
    "refused, and revoked": (("refused", "2024-05-10", None), ("revoked", "2024-08-01", None)),
}


def _standing(terms: PaperTerms, day: date) -> Standing:
    """How the paper stands by what the engine was given; written here once more, for the comparison."""
    number = day.toordinal()
    if terms.ended and terms.ended[1] <= number:
        return Standing(terms.ended[0].code)
    if version_on(terms, number) == NONE:
        return Standing.NOT_YET
    if any(first <= number and (last is None or number <= last) for first, last in terms.suspensions):
        return Standing.SUSPENDED
    return Standing.IN_FORCE


@pytest.mark.parametrize("turns", TURNS.values(), ids=TURNS)
def test_a_paper_stands_for_the_desk_as_it_stands_on_its_page(turns: tuple[tuple[str, str, str | None], ...]) -> None:
    one = paper()
    version(one, "2024-05-01", None)
    for state, first, last in turns:
        PaperStatus.objects.create(paper=one, state=state, from_on=first, to_on=last)
    read = Paper.objects.prefetch_related("statuses", "versions").get()

    (terms,) = engine_terms([one.pk]).papers

    assert [_standing(terms, day) for day in DAYS] == [lifetime(read, day).standing for day in DAYS]


def test_what_a_clause_asks_for_reaches_the_engine() -> None:
    one = version(paper("MAT-1"), "2024-05-01", None)
    use_term(
        one, Use.SEQUENCING, Said.ALLOWED, clause="Clause 7.", page=3, recipients=0b101, only_countries="IS SE",
        not_countries="XK", non_commercial_only=True, identification_only=True, most_specimens=0,
        parts=" Left  Leg,wing, ", not_before=date(2027, 1, 1), otherwise=int(Said.ASK_FIRST),
    )  # fmt: skip
    TermsReading.objects.update(ownership=int(Ownership.STATE_KEEPS_TITLE))

    (terms,) = engine_terms([one.paper_id]).papers[0].versions

    assert terms.from_day == date(2024, 5, 1).toordinal()
    assert terms.ownership == Ownership.STATE_KEEPS_TITLE
    assert terms.terms == {
        Use.SEQUENCING: Term(
            Said.ALLOWED, "Clause 7.", 3, frozenset({RecipientKind.PUBLIC_RESEARCH, RecipientKind.COMPANY}),
            frozenset({"IS", "SE"}), frozenset({"XK"}), True, True, 0, frozenset({"left leg", "wing"}),
            date(2027, 1, 1).toordinal(), False, Said.ASK_FIRST,
        )
    }  # fmt: skip


@pytest.mark.parametrize("fields", [{"duties": "Send a copy."}, {"other_condition": "By me."}, {"amount": "1 leg"}])
def test_whatever_must_be_done_or_checked_by_a_person_makes_duties(fields: dict[str, str]) -> None:
    one = version(paper())
    use_term(one, Use.IMAGING, Said.ALLOWED, **fields)

    (terms,) = engine_terms([one.paper_id]).papers[0].versions

    assert terms.terms[Use.IMAGING].duties


def test_words_of_acknowledgement_are_a_duty_of_every_use() -> None:
    one = version(paper())
    use_term(one, Use.IMAGING, Said.ALLOWED)
    use_term(one, Use.SEQUENCING, Said.ALLOWED)
    TermsReading.objects.update(acknowledgement="By courtesy of the Directorate.")

    (terms,) = engine_terms([one.paper_id]).papers[0].versions

    assert [term.duties for term in terms.terms.values()] == [True, True]


def test_papers_and_versions_are_found_again_by_row() -> None:
    """Papers by key, versions by first day with the unknown start first, keys that are none passed over."""
    earlier, later = paper("B"), paper("A")
    second = version(later, "2025-01-01", None)
    first = version(later, None, None)

    terms = engine_terms({later.pk, earlier.pk, later.pk + 99})

    assert terms.keys == (earlier.pk, later.pk)
    assert [one.reference for one in terms.papers] == ["B", "A"]
    assert terms.versions == ((), (first.pk, second.pk))
    assert [len(one.versions) for one in terms.papers] == [0, 2]
    assert terms.row_of == {earlier.pk: 0, later.pk: 1}


def test_many_papers_take_four_queries(django_assert_num_queries: Callable[[int], Any]) -> None:
    person("registrar")
    versions = [version(paper(f"P-{number}")) for number in range(5)]
    for one in versions[1:]:
        use_term(one, Use.LOAN_ABROAD, Said.ASK_FIRST)

    with django_assert_num_queries(4):
        terms = engine_terms([one.paper_id for one in versions])

    assert [list(one.versions[0].terms) for one in terms.papers] == [[], *[[Use.LOAN_ABROAD]] * 4]


def test_a_paper_that_was_never_given_is_so_on_every_day() -> None:
    one = paper()
    PaperStatus.objects.create(paper=one, state="applied", from_on=date(2024, 5, 10))

    (terms,) = engine_terms([one.pk]).papers

    assert terms.ended == (Ended.APPLIED, 1)
