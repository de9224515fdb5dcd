"""One layer of the material: its events, kinds and papers, with the answers that all further steps share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from governance.engine.answers import NO, YES, and_
from governance.engine.columns import REMARK_BIT, MoreFindings
from governance.engine.counting import CapBook
from governance.engine.kinds import KindTable, KindTests
from governance.engine.outcomes import OutcomeColumns
from governance.engine.pairs import PLACE_OPTIONAL, Edition, Events, Pairs, PaperTests
from governance.engine.places import Grounds, PlaceTest
from governance.engine.tables import (
    CODE,
    BoolColumn,
    FloatColumn,
    IntColumn,
    Layer,
    Material,
    Paper,
    Requirements,
    SearchState,
)
from governance.engine.taxa import Classification
from governance.engine.tests_of_a_paper import DATE, METHODS, PEOPLE, PLACE, UNREAD


@dataclass(frozen=True)
class Shared:
    """What all layers share."""

    material: Material
    papers: Sequence[Paper]
    requirements: Requirements
    search_state: SearchState
    classification: Classification
    more: MoreFindings
    grounds: Grounds
    paper_tests: PaperTests
    kind_tests: KindTests


class LayerCase:
    """Units of one layer, and the pairs of their events with the papers that serve it.

    A *unit* is an event with a kind: all its specimens get one outcome. unit_event, unit_kind: shape (n_units,), events
    in ascending order. low, high: individuals of each unit, certain and possible.
    """

    def __init__(self, shared: Shared, layer: Layer, events: Events, unit_event: IntColumn, unit_kind: IntColumn,
                 counts: tuple[FloatColumn, FloatColumn]) -> None:  # fmt: skip
        self.shared = shared
        self.layer = layer
        self.events = events
        self.unit_event = unit_event
        self.unit_kind = unit_kind
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
    def starts(self) -> npt.NDArray[np.int64]:
        return np.searchsorted(self.pairs.event[self.by_event], np.arange(len(self.events) + 1))

    @cached_property
    def is_unread(self) -> BoolColumn:
        unread = np.array([not edition.versions for edition in self.pairs.editions], bool)
        return unread[self.pairs.edition]

    @cached_property
    def pair_failing(self) -> npt.NDArray[np.uint16]:
        pairs = self.pairs
        failing = self.is_unread.astype(np.uint16) << UNREAD
        for test, column in (
            (DATE, pairs.date),
            (PLACE, pairs.place),
            (METHODS, pairs.methods),
            (PEOPLE, pairs.people),
        ):
            failing |= (column.answer != YES).astype(np.uint16) << test
        return failing

    @cached_property
    def pair_no(self) -> BoolColumn:
        pairs = self.pairs
        return and_(pairs.date.answer, pairs.place.answer, pairs.methods.answer, pairs.people.answer) == NO

    @cached_property
    def pair_straddles(self) -> BoolColumn:
        """The only no is a straddling date."""
        pairs = self.pairs
        others = and_(pairs.place.answer, pairs.methods.answer, pairs.people.answer)
        return (pairs.date.code == CODE["straddles"]) & (others != NO)

    @cached_property
    def is_capped(self) -> BoolColumn:
        """Editions with a cap in some version."""
        return np.array([any(v.caps for v in e.versions) for e in self.pairs.editions], bool)

    def units_of(self, pair: npt.NDArray[np.intp]) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
        """Units of the events of some pairs of one paper, ascending, and the pair of each."""
        pair_of_event = np.full(len(self.events), -1, np.int64)
        pair_of_event[self.pairs.event[pair]] = pair
        units = np.flatnonzero(pair_of_event[self.unit_event] >= 0)
        return units, pair_of_event[self.unit_event[units]]

    def remarks(self, unit: npt.NDArray[np.int64], pair: npt.NDArray[np.int64]) -> npt.NDArray[np.uint8]:
        remarks = self.pairs.place.remarks[pair] | self.pairs.people.remarks[pair]
        assumed = self.shared.kind_tests.kinds.count_assumed[self.unit_kind[unit]]
        for answers, own, row in self.caps.rows_of(unit, pair):
            blank = own[answers.tested[row] & assumed[own]]
            remarks[blank] |= REMARK_BIT["count-assumed"]
        return remarks

    def place_test(self, edition: Edition) -> PlaceTest:
        """The place test of the first version of an edition: of its only one, or of several that list the same places."""
        optional = self.layer in PLACE_OPTIONAL
        return self.shared.paper_tests.place_test(edition.paper, edition.versions[0], place_optional=optional)
