"""Stored sentences filled in: with the words of the event and the name that were judged."""

from __future__ import annotations

from accessions.material.models import SamplingEvent
from accessions.names.models import WrittenName
from accessions.values import split_list, split_people
from governance.engine.areas import Shapes
from governance.engine.explain import Words, day_words, fill, name_word, place_words
from governance.engine.tables import HouseRules
from governance.verdicts.material import NAME, PLACE, DateTable, Rows, places_of, taxa_of
from governance.verdicts.models import OutcomeFinding


def filled(finding: OutcomeFinding, event: SamplingEvent, name: WrittenName, house: HouseRules | None = None) -> str:
    """The sentence of a finding for one specimen.

    Args:
        event, name: those that were judged: they stand in the result.
        house: the house rules of the run (``feed.rules.house_of(run.house)``); None for the defaults. They decide how
            well a position is known.
    """
    return fill(finding.sentence, words_of(event, name, house))


def words_of(event: SamplingEvent, name: WrittenName, house: HouseRules | None = None) -> Words:
    """The words for all sentences of a specimen, made once: ``fill(finding.sentence, words)``."""
    return event_words(event, house) | name_words(name)


def event_words(event: SamplingEvent, house: HouseRules | None = None) -> Words:
    """The words of when, where, how and by whom; reading the event anew takes about a millisecond."""
    rows = Rows({term: [getattr(event, column)] for term, column in SamplingEvent.COLUMN_OF_TERM.items()}, 1)
    dates = DateTable()
    dates.add_collected(rows)
    places = places_of(rows.distinct(PLACE)[1])
    return {
        **day_words(dates.dates(), 0),
        **place_words(places, 0, float(Shapes(places, house or HouseRules()).reach_m[0])),
        "methods": ", ".join(split_list(event.sampling_protocol)),
        "people": ", ".join(split_people(event.recorded_by)),
    }


def name_words(name: WrittenName) -> Words:
    """The word of what it is."""
    taxa = taxa_of([tuple(getattr(name, WrittenName.COLUMN_OF_TERM[term]) for term in NAME)])
    return {"name": name_word(taxa, 0)}
