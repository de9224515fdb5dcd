"""One layer of the material: its events, kinds and papers, with the answers that all further steps share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from governance.engine.answers import NO, YES, and_
from governance.engine.columns import REMARK_BIT, MoreFindings
from governance.engine.counting import CapBook
from governance.engine.failing import DATE, METHODS, PEOPLE, PLACE, UNREAD, Failing
from governance.engine.grounds import Grounds
from governance.engine.kinds import KindTable, KindTests
from governance.engine.outcomes import OutcomeColumns
from governance.engine.pairs import PLACE_OPTIONAL, Edition, Events, Pairs, PaperTests
from governance.engine.places import PlaceTest
from governance.engine.tables import (
    CODE,
    BoolColumn,
    ByteColumn,
    FloatColumn,
    IntColumn,
    Layer,
    Material,
    Paper,
    Requirements,
    Rows,
    SearchState,
)
from governance.engine.taxa import Classification


@dataclass(frozen=True)
class Shared:
    """What all layers share: the input, and the tests, which keep what they were asked before."""

    material: Material
    papers: Sequence[Paper]
    requirements: Requirements
    search_state: SearchState
    classification: Classification
    more: MoreFindings
    grounds: Grounds
    paper_tests: PaperTests
    kind_tests: KindTests


@dataclass(frozen=True)
class Units:
    """What one layer tells apart. A *unit* is an event with a kind: all its specimens get one outcome.

    event, kind: int32, shape (n_units,), rows of the events and of the kinds, events ascending. of_specimen: int32,
    shape (n_specimens,), the unit of each specimen.
    """

    events: Events
    event: IntColumn
    kind: IntColumn
    of_specimen: IntColumn


class LayerCase:
    """Units of one layer, and the pairs of their events with the papers that serve it.

    unit_event, unit_kind: shape (n_units,), as in ``Units``. low, high: individuals of each unit, certain and possible,
    float64.
    """

    def __init__(self, shared: Shared, layer: Layer, units: Units, counts: tuple[FloatColumn, FloatColumn]) -> None:
        self.shared = shared
        self.layer = layer
        self.events = events = units.events
        self.unit_event = units.event
        self.unit_kind = units.kind
        self.low, self.high = counts
        self.pairs: Pairs = shared.paper_tests.judge(layer, events, shared.material.dates)
        self.kind_answers = [shared.kind_tests.judge(edition) for edition in self.pairs.editions]
        self.kind_table = KindTable.of(self.kind_answers, len(shared.kind_tests.kinds))
        self.outcomes = OutcomeColumns(self.pairs.editions, events, shared.kind_tests.kinds)
        self.caps = CapBook(self)

    @cached_property
    def by_event(self) -> IntColumn:
        """Pair numbers by event and, within it, by paper."""
        return np.argsort(self.pairs.event, kind="stable").astype(np.int32)

    @cached_property
    def starts(self) -> IntColumn:
        """Where the pairs of each event begin in ``by_event``, shape (n_events + 1,)."""
        return np.searchsorted(self.pairs.event[self.by_event], np.arange(len(self.events) + 1))

    @cached_property
    def is_unread(self) -> BoolColumn:
        """Pairs with a paper that nobody has read, shape (n_pairs,)."""
        unread = np.array([not edition.versions for edition in self.pairs.editions], bool)
        return unread[self.pairs.edition]

    @cached_property
    def pair_failing(self) -> Failing:
        """The tests of each pair that are not yes, so far as they do not depend on the kind."""
        pairs = self.pairs
        failing: Failing = self.is_unread.astype(np.uint16) << np.uint16(UNREAD)
        for test, column in (
            (DATE, pairs.date),
            (PLACE, pairs.place),
            (METHODS, pairs.methods),
            (PEOPLE, pairs.people),
        ):
            failing |= (column.answer != YES).astype(np.uint16) << np.uint16(test)
        return failing

    @cached_property
    def pair_no(self) -> BoolColumn:
        """Pairs with a no, so far as that does not depend on the kind."""
        pairs = self.pairs
        answers = and_(pairs.date.answer, pairs.place.answer, pairs.methods.answer, pairs.people.answer)
        return np.asarray(answers == NO)

    @cached_property
    def pair_straddles(self) -> BoolColumn:
        """The only no is a straddling date."""
        pairs = self.pairs
        others = and_(pairs.place.answer, pairs.methods.answer, pairs.people.answer)
        return np.asarray((pairs.date.code == CODE["straddles"]) & (others != NO))

    @cached_property
    def is_capped(self) -> BoolColumn:
        """Editions with a cap in some version."""
        return np.array([any(v.caps for v in e.versions) for e in self.pairs.editions], bool)

    def units_of(self, pair: Rows) -> tuple[Rows, Rows]:
        """Units of the events of some pairs of one paper, ascending, and the pair of each."""
        pair_of_event = np.full(len(self.events), -1, np.int64)
        pair_of_event[self.pairs.event[pair]] = pair
        units = np.flatnonzero(pair_of_event[self.unit_event] >= 0)
        return units, pair_of_event[self.unit_event[units]]

    def remarks(self, unit: Rows, pair: Rows) -> ByteColumn:
        """The remarks of each unit under a paper that covers it, bits of ``REMARK_BIT``."""
        remarks = self.pairs.place.remarks[pair] | self.pairs.people.remarks[pair]
        assumed = self.shared.kind_tests.kinds.count_assumed[self.unit_kind[unit]]
        for answers, own, row in self.caps.rows_of(unit, pair):
            blank = own[answers.tested[row] & assumed[own]]
            remarks[blank] |= REMARK_BIT["count-assumed"]
        return remarks

    def place_test(self, edition: Edition) -> PlaceTest:
        """The place test of an edition of one version, or of several that list the same places."""
        optional = self.layer in PLACE_OPTIONAL
        return self.shared.paper_tests.place_test(edition.paper, edition.versions[0], place_optional=optional)
