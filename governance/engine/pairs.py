"""Every linked pair of an event and a paper: which versions decide, and the answers that do not depend on the kind.

An *event* here is one combination of date, place, methods, people and links. An *edition* is what a paper says to one
kind of date: the version, or versions, that it touches.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from governance.engine.areas import Area, relate_all
from governance.engine.columns import Column, MoreFindings, join_versions, yes
from governance.engine.dates import DateTest, Interval, Validity, judge_dates
from governance.engine.grounds import Grounds
from governance.engine.people import judge_people
from governance.engine.places import PlaceTerms, PlaceTest, unmeasured
from governance.engine.tables import (
    CODES,
    BoolColumn,
    Dates,
    IntColumn,
    Layer,
    Material,
    Paper,
    Rows,
    Version,
    Words,
)
from governance.engine.words import judge_words

_KEPT_AT_MOST = 20_000_000
"""Relations of places to areas that are kept in memory; beyond it each edition asks for itself."""
PLACE_OPTIONAL = frozenset({Layer.IMPORT, Layer.CITES, Layer.TRANSFER})
"""Layers on which a paper that lists no place sets no limit."""


Judge = Callable[[Rows], Sequence[Column]]
"""From rows of a table to the answers of every version to them."""


@dataclass(frozen=True)
class Edition:
    """The versions of one paper that a date touches, by start; none for a paper that nobody has read.

    paper: row into the papers. is_run: the least favourable version decides; else all must agree.
    """

    paper: int
    versions: tuple[Version, ...]
    is_run: bool


@dataclass(frozen=True)
class Events:
    """Distinct events, shape (n_events,) each, int32: rows of the tables that the specimens point at.

    date: the one the layer tests; arrival: the one that a CITES import permit tests instead. event, accession, catalog:
    -1 where blank, or where no paper asks.
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
    """Linked pairs, by paper and then by event, shape (n_pairs,) each.

    event, paper, edition: int32 rows of the events, of the papers and of ``editions``. date, place, methods, people:
    the answers. validities: the valid days of each paper that somebody has read.
    """

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


def linked(papers: Sequence[Paper], events: Events, material: Material) -> BoolColumn:
    """Which events each paper is linked to, bool, shape (n_papers, n_events) (VERDICTS section 7.2)."""
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

    def __init__(
        self,
        material: Material,
        papers: Sequence[Paper],
        grounds: Grounds,
        more: MoreFindings,
        years: Interval,
    ) -> None:
        """years: first and last that the dates touch, for the closed seasons."""
        self.material = material
        self.papers = papers
        self.grounds = grounds
        self.more = more
        self.validities = {n: Validity(paper, years) for n, paper in enumerate(papers) if paper.versions}
        self._place_tests: dict[tuple[int, int, bool], PlaceTest] = {}
        self._dates: dict[int, DateTest] = {}

    def judge(self, layer: Layer, events: Events, dates: Dates) -> Pairs:
        """All linked pairs of the layer's papers, with the answers of date, place, methods and people."""
        serving = [n for n, paper in enumerate(self.papers) if layer in paper.layers]
        links = linked([self.papers[n] for n in serving], events, self.material)
        row, event = np.nonzero(links)
        paper = np.array(serving, np.int32)[row] if serving else np.zeros(0, np.int32)
        count = len(event)
        pairs = Pairs(
            event=event.astype(np.int32),
            paper=paper,
            edition=np.zeros(count, np.int32),
            date=yes(count),
            place=yes(count),
            methods=yes(count),
            people=yes(count),
            editions=[],
            validities=self.validities,
        )
        ends = np.searchsorted(row, np.arange(len(serving) + 1)).tolist()
        by_edition: list[tuple[Edition, Rows]] = []
        for number, (first, last) in zip(serving, pairwise(ends), strict=True):
            if first < last:
                by_edition += self._editions(number, np.arange(first, last), pairs, events, dates)
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
        test = self._date_test(number, dates)
        first, last, is_run = test.first_version, test.last_version, test.is_run
        date = events.date_for(paper.kind)[pairs.event[rows]]
        pairs.date.put(rows, test.column.take(date))
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

    def _date_test(self, number: int, dates: Dates) -> DateTest:
        """All dates against one paper, once for all layers."""
        if number not in self._dates:
            self._dates[number] = judge_dates(self.validities[number], dates)
        return self._dates[number]

    def _judge_edition(self, edition: Edition, rows: Rows, pairs: Pairs, events: Events, layer: Layer) -> None:
        """Place, methods and people of an edition's pairs; a test without limits stays yes."""
        own, versions = pairs.event[rows], edition.versions

        def put(column: Column, table: IntColumn, judge: Judge) -> None:
            asked, back = np.unique(table[own], return_inverse=True)
            joined = join_versions(judge(asked), is_run=edition.is_run, more=self.more, codes=CODES)
            column.put(rows, joined.take(back.reshape(-1)))

        put(pairs.place, events.place, lambda asked: self._judge_places(edition, asked, layer))
        if any(v.methods != Words() for v in versions):
            listed = self.material.methods
            put(
                pairs.methods, events.methods, lambda x: [judge_words(x, listed, v.methods, "method") for v in versions]
            )
        if any(v.people for v in versions):
            people, holder = self.material.people, self.papers[edition.paper].holder
            put(pairs.people, events.people, lambda asked: [judge_people(asked, people, v, holder) for v in versions])

    def _judge_places(self, edition: Edition, places: Rows, layer: Layer) -> list[Column]:
        """The answers of each version to some places."""
        optional = layer in PLACE_OPTIONAL
        tests = [self.place_test(edition.paper, version, place_optional=optional) for version in edition.versions]
        answers = [test.judge(places) for test in tests]
        if len(answers) > 1:
            self._measure(edition, answers, places, place_optional=optional)
        return answers

    def _measure(self, edition: Edition, answers: Sequence[Column], places: Rows, *, place_optional: bool) -> None:
        """Metres that could wait, were it not that versions are about to be compared."""
        for version, column in zip(edition.versions, answers, strict=True):
            rows = unmeasured(column)
            test = self.place_test(edition.paper, version, place_optional=place_optional)
            if len(rows):
                column.measure[rows] = column.miss[rows] = test.signed_m(places[rows])

    def place_test(self, paper: int, version: Version, *, place_optional: bool) -> PlaceTest:
        """The place test of a version of a paper, made once."""
        key = (paper, id(version), place_optional)
        if key not in self._place_tests:
            terms = PlaceTerms.of(version, self.papers[paper].jurisdiction, place_optional=place_optional)
            self._place_tests[key] = PlaceTest(terms, self.grounds)
        return self._place_tests[key]
