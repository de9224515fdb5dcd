"""Words of the pages of a plan: common practice of the trade, no source; numbers by hand."""

from __future__ import annotations

from datetime import date

import pytest

from governance.engine.tables import CODES, Layer
from governance.papers.models import PaperKind
from governance.plans.queries.cap_use import CapUse, Individuals
from governance.plans.queries.matrix import margin_words
from governance.plans.queries.plan_words import (
    THINGS,
    USUAL_KINDS,
    days_away,
    period_words,
    stops_words,
    usual_kinds,
)
from governance.plans.queries.settle_words import settle_words
from governance.plans.templatetags.plans import cap_words, individuals
from governance.verdicts.settling import is_remark


@pytest.mark.parametrize(
    ("numbers", "of", "said"),
    [
        ([1, 2, 3], 3, "all stops"),
        ([1], 1, "stop 1"),
        ([3], 4, "stop 3"),
        ([4, 2], 5, "stops 2 and 4"),
        ([1, 2, 3, 4, 5, 8], 9, "stops 1 to 5 and 8"),
        ([1, 2, 4], 9, "stops 1, 2 and 4"),
        ([], 4, ""),
    ],
)
def test_stops_in_a_sentence(numbers: list[int], of: int, said: str) -> None:
    assert stops_words(numbers, of) == said


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 11, 27), "1 day left"), (date(2027, 1, 12), "47 days left"), (date(2026, 11, 26), "today"),
        (date(2026, 11, 25), "1 day late"), (date(2026, 11, 14), "12 days late"),
    ],
)  # fmt: skip
def test_days_from_the_26th_of_november(day: date, said: str) -> None:
    """To 12 January: 4 days of November, 31 of December, 12 of January are 47."""
    assert days_away(day, date(2026, 11, 26)) == said


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (None, None, "days not fixed"),
        (date(2027, 6, 3), None, "from 3 Jun 2027, end not fixed"),
        (None, date(2027, 6, 5), "until 5 Jun 2027, start not fixed"),
        (date(2027, 6, 3), date(2027, 6, 5), "3–5 Jun 2027"),
    ],
)
def test_days_that_are_not_fixed_are_said(first: date | None, last: date | None, said: str) -> None:
    assert period_words(first, last) == said


@pytest.mark.parametrize(
    ("days", "most", "said"),
    [
        (None, None, ""), (0, None, "ends on the last day"), (1, None, "ends 1 day after the last day"),
        (60, 60, "ends 60 days after the last day"), (61, 60, ""), (-1, None, ""),
    ],
)  # fmt: skip
def test_margin(days: int | None, most: int | None, said: str) -> None:
    assert margin_words(days, most=most) == said


def test_every_layer_has_its_usual_kinds_and_a_name() -> None:
    assert set(USUAL_KINDS) == set(THINGS) == set(Layer)
    assert all(USUAL_KINDS.values())
    assert PaperKind.OTHER not in {kind for kinds in USUAL_KINDS.values() for kind in kinds}
    assert usual_kinds(Layer.EXPORT) == "export permit"
    assert usual_kinds(Layer.COLLECTING) == "collecting permit or research permit"
    assert usual_kinds(Layer.CITES).startswith("CITES export permit, CITES import permit or ")


@pytest.mark.parametrize("code", sorted(code for code in CODES if code))
def test_every_finding_has_what_would_settle_it_before_the_trip(code: str) -> None:
    """What is planned can be changed; nobody is told to prove that a record is wrong."""
    said = settle_words(code)
    if is_remark(code):
        assert said == ""
    else:
        assert said.endswith(".")
        assert not any(word in said for word in ("recorded", "label", "determination", "specimen"))


def _cap(state: str, total: Individuals) -> CapUse:
    return CapUse(
        paper=1, reference="COL-1", layer=Layer.COLLECTING, taxon="Unio", each_species=False, per="paper", one="",
        limit=10, taken=Individuals(), others=Individuals(), expected=total, total=total, state=state,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("state", "low", "high", "said"),
    [
        ("safe", 4, 4, "Within the limit; 6 left."),
        ("possible", 4, 12, "May go above the limit: up to 12."),
        ("possible", 4, None, "May go above the limit: not every number is known."),
        ("breached", 12, 14, "Above the limit: at least 12."),
    ],
)
def test_what_a_limit_of_ten_means(state: str, low: int, high: int | None, said: str) -> None:
    assert cap_words(_cap(state, Individuals(low, high))).startswith(said)


@pytest.mark.parametrize(
    ("low", "high", "said"), [(4, 4, "4"), (4, 12, "4 to 12"), (4, None, "4 or more"), (0, None, "not known")]
)
def test_numbers_of_individuals(low: int, high: int | None, said: str) -> None:
    assert individuals(Individuals(low, high)) == said
