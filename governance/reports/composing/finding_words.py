"""The words of many events and names at once, for the sentences of findings: each is read once, thousands together."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from typing import Any, Final, Protocol

from accessions.material.models import SamplingEvent
from accessions.names.models import WrittenName
from accessions.values import split_list, split_people
from governance.engine.areas import Shapes
from governance.engine.explain import Words, day_words, fill, name_word, place_words
from governance.engine.tables import HouseRules
from governance.usedesk.queries.material import among
from governance.verdicts.feed.rules import house_of
from governance.verdicts.material import NAME, PLACE, DateTable, Rows, places_of, taxa_of
from governance.verdicts.models import Run

_OPEN: Final = re.compile(r"(?<!\{)\{(\w+)\}")
_SOME: Final = 10_000


class Judged(Protocol):
    """What stands for a specimen: the keys of the facts that were judged, and of the run."""

    @property
    def event(self) -> int: ...

    @property
    def name(self) -> int: ...

    @property
    def run(self) -> int: ...


class FindingWords:
    """Fills sentences. Only events and names that some sentence asks about are read, each once."""

    def __init__(self, asked: Iterable[tuple[Judged, str | None]]) -> None:
        self._open: dict[str, frozenset[str]] = {}
        events: dict[int, set[int]] = defaultdict(set)
        names: set[int] = set()
        for one, sentence in asked:
            words = self._words_in(sentence) if sentence else frozenset()
            if "name" in words:
                names.add(one.name)
            if words - {"name"}:
                events[one.run].add(one.event)
        self._names = _of_names(names)
        self._events = {run: _of_events(keys, house) for run, keys, house in _with_house(events)}
        self._filled: dict[tuple[str, int, int, int], str] = {}

    def _words_in(self, sentence: str) -> frozenset[str]:
        if sentence not in self._open:
            self._open[sentence] = frozenset(_OPEN.findall(sentence)) if "{" in sentence else frozenset()
        return self._open[sentence]

    def filled(self, sentence: str, one: Judged) -> str:
        """A sentence with the words of a specimen."""
        if "{" not in sentence:
            return sentence
        words = self._words_in(sentence)
        is_of_event = bool(words - {"name"})
        place = (
            sentence, one.run if is_of_event else 0, one.event if is_of_event else 0,
            one.name if "name" in words else 0,
        )  # fmt: skip
        if place not in self._filled:
            of_event = self._events[one.run][one.event] if is_of_event else {}
            self._filled[place] = fill(sentence, of_event | self._names.get(one.name, {}))
        return self._filled[place]

    def without_places(self, sentence: str, one: Judged) -> str | None:
        """The same; None where the sentence writes where it was."""
        return None if "where" in self._words_in(sentence) else self.filled(sentence, one)


def _with_house(events: dict[int, set[int]]) -> Iterable[tuple[int, set[int], HouseRules]]:
    houses = dict(Run.objects.filter(pk__in=list(events)).values_list("pk", "house"))
    for run, keys in events.items():
        house: dict[str, Any] = houses.get(run) or {}
        yield run, keys, house_of(house) if house else HouseRules()


def _of_names(keys: set[int]) -> dict[int, Words]:
    columns = [WrittenName.COLUMN_OF_TERM[term] for term in NAME]
    rows = list(WrittenName.objects.filter(among("pk", keys)).order_by().values_list("pk", *columns)) if keys else []
    taxa = taxa_of([tuple(row[1:]) for row in rows]) if rows else None
    return {row[0]: {"name": name_word(taxa, number)} for number, row in enumerate(rows)} if taxa else {}


def _of_events(keys: set[int], house: HouseRules) -> dict[int, Words]:
    found: dict[int, Words] = {}
    ordered = sorted(keys)
    for first in range(0, len(ordered), _SOME):
        found |= _of_some(ordered[first : first + _SOME], house)
    return found


_COLUMNS: Final = tuple(SamplingEvent.COLUMN_OF_TERM.values())


def _of_some(keys: list[int], house: HouseRules) -> dict[int, Words]:
    """As ``verdicts.sentences.event_words`` makes them of one event; a test holds both against each other."""
    rows = list(SamplingEvent.objects.filter(among("pk", keys)).order_by().values_list("pk", *_COLUMNS))
    columns = list(zip(*rows, strict=True))
    written = Rows(dict(zip(SamplingEvent.COLUMN_OF_TERM, columns[1:], strict=True)), len(rows))
    dates = DateTable()
    date_of = dates.add_collected(written)
    place_of, texts = written.distinct(PLACE)
    places = places_of(texts)
    reach_m, table = Shapes(places, house).reach_m, dates.dates()
    methods, people = _COLUMNS.index("sampling_protocol") + 1, _COLUMNS.index("recorded_by") + 1
    return {
        row[0]: {
            **day_words(table, int(date_of[number])),
            **place_words(places, int(place_of[number]), float(reach_m[place_of[number]])),
            "methods": ", ".join(split_list(row[methods])), "people": ", ".join(split_people(row[people])),
        }
        for number, row in enumerate(rows)
    }  # fmt: skip
