"""Sentences of thousands of findings are those that one page shows: both ways are held against each other."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from governance.reports.composing.finding_words import FindingWords
from governance.verdicts.feed.rules import house_of
from governance.verdicts.models import Run
from governance.verdicts.sentences import words_of
from tests.factories import register
from tests.factories.verdicts import run

pytestmark = pytest.mark.django_db

SENTENCE = "{name}: {when}{hint}, {where} in {country}, {reach}, by {methods}, {people}. {{braces}}"


class Judged(NamedTuple):
    event: int
    name: int
    run: int


@pytest.mark.parametrize("house", [{}, {"assumed_radius_m": 50.0, "datum_allowance_m": 10.0}])
def test_the_same_words_as_one_by_one(house: dict[str, float]) -> None:
    """Two house rules, an unreadable day, no coordinates, an unknown radius, no datum, several people."""
    Run.objects.filter(pk=run().pk).update(house=house)
    events = [
        register.event(),
        register.event(day="2025-03-02", coordinate_uncertainty_m="", geodetic_datum=""),
        register.event(event_date="in spring", reading="unreadable", earliest_on=None, latest_on=None),
        register.event(decimal_latitude="", decimal_longitude="", recorded_by="J. Ek | N. Ek", sampling_protocol=""),
    ]
    names = [register.written_name("Calopteryx splendens"), register.written_name("")]
    asked = [(event, names[place % 2]) for place, event in enumerate(events)]
    judged = [Judged(event.pk, name.pk, run().pk) for event, name in asked]
    words = FindingWords((one, SENTENCE) for one in judged)
    rules = house_of(house) if house else None
    one_by_one = [SENTENCE.format_map(words_of(event, name, rules)) for event, name in asked]
    assert [words.filled(SENTENCE, one) for one in judged] == one_by_one
    assert "{braces}" in one_by_one[0]


def test_a_sentence_without_blanks_needs_nothing() -> None:
    one = Judged(0, 0, 0)
    words = FindingWords([(one, "As it stands."), (one, None)])
    assert words.filled("As it stands.", one) == "As it stands."
