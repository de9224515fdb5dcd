"""Every linked pair of an event and a paper: which versions decide, and the answers that do not depend on the name.

An *event* here is one combination of date, place, methods, people and links. An *edition* is what a paper says to one
kind of date: the version, or versions, that it touches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from governance.engine.areas import Area, relate_all
from governance.engine.columns import Column, MoreFindings, join_versions, yes
from governance.engine.dates import Validity, judge_dates
from governance.engine.people import judge_people
from governance.engine.places import Grounds, PlaceTerms, PlaceTest, unmeasured
from governance.engine.tables import (
    CODES,
    BoolColumn,
    Dates,
    IntColumn,
    Layer,
    Material,
    Paper,
    Version,
    Words,
)
from governance.engine.words import judge_words

Rows = npt.NDArray[np.int64]
_KEPT_AT_MOST = 20_000_000
"""Relations of places to areas that are kept in memory; beyond it each edition asks for itself."""
PLACE_OPTIONAL = frozenset({Layer.IMPORT, Layer.CITES, Layer.TRANSFER})
"""Layers on which a paper that lists no place sets no limit."""


@dataclass(frozen=True)
class Edition:
    """The versions of one paper that a date touches, by start; none for a paper that nobody has read."""

    paper: int
    versions: tuple[Version, ...]
    is_run: bool


@dataclass(frozen=True)
class Events:
    """Distinct events, shape (n_events,) each: rows of the tables that the specimens point at.

    date: the one the layer tests; arrival: the one that a CITES import permit tests instead.
    """

    date: IntColumn
    arrival: IntColumn
    place: IntColumn
    methods: IntColumn
    people: IntColumn
    event: IntColumn
    accession: IntColumn
    catalog: IntColumn

    def __len__(self) -> int:
        return len(self.date)

    def date_for(self, paper_kind: str) -> IntColumn:
        """The date that a paper of a kind is held against (VERDICTS section 2)."""
        return self.arrival if paper_kind == "cites-import-permit" else self.date


@dataclass
class Pairs:
    """Linked pairs, by paper and then by event, shape (n_pairs,) each; edition points into editions."""

    event: IntColumn
    paper: IntColumn
    edition: IntColumn
    date: Column
    place: Column
    methods: Column
    people: Column
    editions: list[Edition]
    validities: dict[int, Validity] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.event)


def linked(papers: Sequence[Paper], events: Events, material: Material) -> npt.NDArray[np.bool_]:
    """Which events each paper is linked to, shape (n_papers, n_events)."""
    links = np.zeros((len(papers), len(events)), bool)
    for number, paper in enumerate(papers):
        covers = paper.covers
        links[number] |= covers.all_accessions
        for listed, texts, column in (
            (covers.accessions, material.accessions, events.accession),
            (covers.events, material.events, events.event),
            (covers.specimens, material.catalog_numbers, events.catalog),
        ):
            if listed:
                links[number] |= _holds(listed, texts)[column]
        if covers.sites:
            named = np.array([not covers.sites.isdisjoint(keys) for keys in material.places.sites], bool)
            links[number] |= named[events.place]
    return links


def _holds(listed: frozenset[str], texts: Sequence[str]) -> BoolColumn:
    """For each text whether it is listed, and at the end (row -1) False for a blank one."""
    return np.array([text in listed for text in texts] + [False], bool)


class PaperTests:
    """Judges papers against events; keeps the tests of a version for the layers that ask again."""

    def __init__(self, material: Material, papers: Sequence[Paper], grounds: Grounds, more: MoreFindings,
                 years: tuple[int, int]) -> None:  # fmt: skip
        self.material = material
        self.papers = papers
        self.grounds = grounds
        self.more = more
        self.validities = {n: Validity(paper, years) for n, paper in enumerate(papers) if paper.versions}
        self._place_tests: dict[tuple[int, int, bool], PlaceTest] = {}
        self._dates: dict[int, tuple[Column, npt.NDArray[np.int64], npt.NDArray[np.int64], BoolColumn]] = {}

    def judge(self, layer: Layer, events: Events, dates: Dates) -> Pairs:
        """All linked pairs of the layer's papers, with the answers of date, place, methods and people."""
        serving = [n for n, paper in enumerate(self.papers) if layer in paper.layers]
        links = linked([self.papers[n] for n in serving], events, self.material)
        row, event = np.nonzero(links)
        paper = np.array(serving, np.int32)[row] if serving else np.zeros(0, np.int32)
        count = len(event)
        pairs = Pairs(event.astype(np.int32), paper, np.zeros(count, np.int32), yes(count), yes(count), yes(count),
                      yes(count), [], self.validities)  # fmt: skip
        ends = np.searchsorted(row, np.arange(len(serving) + 1))
        parts = list(zip(serving, zip(ends, ends[1:], strict=False), strict=True))
        by_edition = [
            e for n, (a, b) in parts if a < b for e in self._editions(n, np.arange(a, b), pairs, events, dates)
        ]
        self._relate_places(by_edition, pairs, events, layer)
        for edition, rows in by_edition:
            self._judge_edition(edition, rows, pairs, events, layer)
        return pairs

    def _editions(
        self, number: int, rows: Rows, pairs: Pairs, events: Events, dates: Dates
    ) -> list[tuple[Edition, Rows]]:
        """Judge the dates of one paper's pairs, and tell them apart by the versions that they touch."""
        paper = self.papers[number]
        if not paper.versions:
            pairs.edition[rows] = len(pairs.editions)
            pairs.editions.append(Edition(number, (), True))
            return []
        column, first, last, is_run = self._date_test(number, dates)
        date = events.date_for(paper.kind)[pairs.event[rows]]
        pairs.date.put(rows, column.take(date))
        versions = self.validities[number].versions
        kind = ((first * (len(versions) + 1) + last) * 2 + (is_run | (first == last)))[date]
        found = []
        for value in np.unique(kind).tolist():
            start, end = divmod(value // 2, len(versions) + 1)
            own = rows[kind == value]
            pairs.edition[own] = len(pairs.editions)
            pairs.editions.append(Edition(number, versions[start : end + 1], bool(value % 2)))
            found.append((pairs.editions[-1], own))
        return found

    def _relate_places(
        self, by_edition: Sequence[tuple[Edition, Rows]], pairs: Pairs, events: Events, layer: Layer
    ) -> None:
        """Hold the places against the areas of all editions at once; single questions would cost more than answers."""
        asked: dict[int, tuple[Area, list[IntColumn]]] = {}
        for edition, rows in by_edition:
            places = np.unique(events.place[pairs.event[rows]])
            places = places[self.grounds.usable[places]]
            for version in edition.versions:
                test = self.place_test(edition.paper, version, place_optional=layer in PLACE_OPTIONAL)
                for area in test.areas:
                    asked.setdefault(id(area), (area, []))[1].append(places)
        count = len(self.grounds.places)
        if len(asked) * count > _KEPT_AT_MOST:
            return
        requests = [(area, np.unique(np.concatenate(rows))) for area, rows in asked.values()]
        for (area, rows), relation in zip(requests, relate_all(requests, self.grounds.shapes), strict=True):
            area.keep(rows, relation, count)

    def _date_test(
        self, number: int, dates: Dates
    ) -> tuple[Column, npt.NDArray[np.int64], npt.NDArray[np.int64], BoolColumn]:
        if number not in self._dates:
            test = judge_dates(self.validities[number], dates)
            self._dates[number] = (test.column, test.first_version, test.last_version, test.is_run)
        return self._dates[number]

    def _judge_edition(self, edition: Edition, rows: Rows, pairs: Pairs, events: Events,
                       layer: Layer) -> None:  # fmt: skip
        own = pairs.event[rows]
        holder = self.papers[edition.paper].holder
        optional = layer in PLACE_OPTIONAL
        versions = edition.versions
        tests = (
            (True, pairs.place, events.place,
             lambda v, x: self.place_test(edition.paper, v, place_optional=optional).judge(x)),
            (any(v.methods != Words() for v in versions), pairs.methods, events.methods,
             lambda v, x: judge_words(x, self.material.methods, v.methods, "method")),
            (any(v.people for v in versions), pairs.people, events.people,
             lambda v, x: judge_people(x, self.material.people, v, holder)),
        )  # fmt: skip
        for has_limit, column, table, judge in tests:
            if not has_limit:
                continue
            asked, back = np.unique(table[own], return_inverse=True)
            answers = [judge(version, asked) for version in edition.versions]
            if column is pairs.place and len(answers) > 1:
                self._measure(edition, answers, asked, place_optional=optional)
            joined = join_versions(answers, is_run=edition.is_run, more=self.more, codes=CODES)
            column.put(rows, joined.take(back.reshape(-1)))

    def _measure(self, edition: Edition, answers: Sequence[Column], places: IntColumn, *, place_optional: bool) -> None:
        """Metres that could wait, were it not that versions are about to be compared."""
        for version, column in zip(edition.versions, answers, strict=True):
            rows = unmeasured(column)
            test = self.place_test(edition.paper, version, place_optional=place_optional)
            if len(rows):
                column.measure[rows] = column.miss[rows] = test.signed_m(places[rows])

    def place_test(self, paper: int, version: Version, *, place_optional: bool) -> PlaceTest:
        key = (paper, id(version), place_optional)
        if key not in self._place_tests:
            terms = PlaceTerms.of(version, self.papers[paper].jurisdiction, place_optional=place_optional)
            self._place_tests[key] = PlaceTest(terms, self.grounds)
        return self._place_tests[key]
