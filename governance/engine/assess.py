"""From answers to verdicts: distinct events, papers and kinds are judged once, then gathered for every specimen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from governance.engine.columns import MoreFindings
from governance.engine.dates import years_of
from governance.engine.distinct import distinct
from governance.engine.grounds import Grounds
from governance.engine.kinds import Kinds, KindTests
from governance.engine.layer import judge_layer
from governance.engine.layer_case import LayerCase, Shared, Units
from governance.engine.outcomes import Assessment
from governance.engine.pairs import Events, PaperTests
from governance.engine.tables import (
    NONE,
    FloatColumn,
    HouseRules,
    IntColumn,
    Layer,
    Material,
    Outlines,
    Paper,
    Requirements,
    SearchState,
    Words,
)
from governance.engine.taxa import Classification

ENGINE_VERSION = "2"
"""Grows with every change that can change a verdict."""

_DATE_OF = {Layer.EXPORT: "exported", Layer.IMPORT: "imported", Layer.TRANSFER: "transferred"}


def assess(
    material: Material,
    papers: Sequence[Paper],
    requirements: Requirements,
    outlines: Outlines = Outlines(),  # noqa: B008  (frozen)
    house: HouseRules = HouseRules(),  # noqa: B008  (frozen)
    search_state: SearchState = SearchState.NOT_SEARCHED,
    classification: Classification | None = None,
) -> Assessment:
    """The verdict of every specimen on every layer of the requirements (VERDICTS sections 2 to 7).

    Pure: the same input gives the same verdicts. Cost grows with the distinct values; a specimen costs one gather.

    Args:
        material: the specimens and the distinct values they point at.
        papers: the papers, in the order of the file.
        requirements: the layers to judge, and the rules that say where each is required.
        outlines: outlines of countries and subdivisions.
        house: what is assumed where a radius or a datum is not known.
        search_state: what is said where a layer has no paper.
        classification: that of the material's taxa, if the caller has it already.

    Returns:
        verdict (uint8) and outcome (int32), shape (n_specimens, n_layers), and the distinct outcomes of each layer.
        No specimens: shape (0, n_layers). No layers: shape (n_specimens, 0).

    Raises:
        EngineError: two versions of a paper start on one day, or a version ends before it starts.
    """
    combined, shared = prepared(material, papers, requirements, outlines, house, search_state, classification)
    return _judge_layers(combined, shared)


def prepared(
    material: Material,
    papers: Sequence[Paper],
    requirements: Requirements,
    outlines: Outlines,
    house: HouseRules,
    search_state: SearchState = SearchState.NOT_SEARCHED,
    classification: Classification | None = None,
) -> tuple[Combined, Shared]:
    """The specimens as combinations, and what all layers share, before anything is judged; arguments as ``assess``."""
    combined = Combined(material, papers, frozenset(accession for _, accession in requirements.decided))
    more = MoreFindings()
    grounds = Grounds(material.places, outlines, house, more)
    classification = classification or Classification(material.taxa)
    shared = Shared(
        material=material,
        papers=papers,
        requirements=requirements,
        search_state=search_state,
        classification=classification,
        more=more,
        grounds=grounds,
        paper_tests=PaperTests(material, papers, grounds, more, years_of(material.dates)),
        kind_tests=KindTests(material, classification, combined.kinds, more),
    )
    return combined, shared


def _judge_layers(combined: Combined, shared: Shared) -> Assessment:
    """Layer by layer: units are judged, specimens gather."""
    layers = shared.requirements.layers
    shape = (len(shared.material.specimens), len(layers))
    verdict, outcome = np.zeros(shape, np.uint8), np.zeros(shape, np.int32)
    tables = []
    for column, layer in enumerate(layers):
        case, units = layer_case(combined, shared, layer)
        table, unit_outcome = judge_layer(case)
        outcome[:, column] = unit_outcome[units.of_specimen]
        verdict[:, column] = table.verdict[unit_outcome][units.of_specimen]
        tables.append(table)
    return Assessment(layers, verdict, outcome, tuple(tables), shared.papers)


def layer_case(combined: Combined, shared: Shared, layer: Layer) -> tuple[LayerCase, Units]:
    """One layer, ready to be judged."""
    units = combined.units(layer)
    return LayerCase(shared, layer, units, combined.counts(units.of_specimen)), units


class Combined:
    """The specimens as combinations: kinds, events, and units (an event with a kind), each distinct.

    A column that no paper asks about tells nothing apart: it is left out, so that what is the same to all papers is
    judged once. (In such a column every specimen points at row 0, or at nothing.)
    decided: accessions that decisions name.
    """

    def __init__(self, material: Material, papers: Sequence[Paper], decided: frozenset[str]) -> None:
        self.specimens = s = material.specimens
        versions = [version for paper in papers for version in paper.versions]
        covers = [paper.covers for paper in papers]
        has_caps = any(v.caps for v in versions)
        self._assumed = s.count_assumed.astype(np.int32) if has_caps else np.zeros(len(s), np.int32)
        self._sexes = _if_asked(s.sexes, any(v.sexes != Words() for v in versions))
        self._stages = _if_asked(s.life_stages, any(v.life_stages != Words() for v in versions))
        self._methods = _if_asked(s.methods, any(v.methods != Words() for v in versions))
        self._people = _if_asked(s.people, any(v.people for v in versions))
        self._event = s.event if has_caps else _if_listed(s.event, material.events, [c.events for c in covers])
        self._accession = _if_listed(s.accession, material.accessions, [decided, *(c.accessions for c in covers)])
        self._catalog = _if_listed(s.catalog, material.catalog_numbers, [c.specimens for c in covers])
        example, self.kind_of = distinct([s.taxon, self._sexes, self._stages, self._assumed])
        self.kinds = Kinds(
            taxon=s.taxon[example],
            sexes=self._sexes[example],
            life_stages=self._stages[example],
            count_assumed=self._assumed[example].astype(bool),
        )
        self._units: dict[tuple[str, ...], Units] = {}

    @cached_property
    def _base_of(self) -> IntColumn:
        """The events but for their dates, which differ by layer: the number of each specimen's."""
        return distinct(
            [self.specimens.place, self._methods, self._people, self._event, self._accession, self._catalog]
        )[1]

    def units(self, layer: Layer) -> Units:
        """The layer's units; layers that test the same day share them."""
        days = ("exported", "imported") if layer == Layer.CITES else (_DATE_OF.get(layer, "date"),) * 2
        if days not in self._units:
            self._units[days] = self._make_units(*(getattr(self.specimens, name) for name in days))
        return self._units[days]

    def _make_units(self, date: IntColumn, arrival: IntColumn) -> Units:
        """Events told apart by one date column, or by two where papers of two kinds test different days."""
        days = [date] if arrival is date else [date, arrival]
        example, event_of = distinct([self._base_of, *days])
        events = Events(
            date=date[example],
            arrival=arrival[example],
            place=self.specimens.place[example],
            methods=self._methods[example],
            people=self._people[example],
            event=self._event[example],
            accession=self._accession[example],
            catalog=self._catalog[example],
        )
        unit_example, unit_of = distinct([event_of, self.kind_of])
        return Units(events, event_of[unit_example], self.kind_of[unit_example], unit_of)

    def counts(self, unit_of: IntColumn) -> tuple[FloatColumn, FloatColumn]:
        """Individuals of each unit, certain and possible, as floats so that sums without bound stay finite."""
        s = self.specimens
        low = np.bincount(unit_of, weights=s.count_low).astype(np.float64, copy=False)
        high = np.bincount(unit_of, weights=s.count_high).astype(np.float64, copy=False)
        return low, high


def _if_asked(column: IntColumn, asked: bool) -> IntColumn:
    """The column, or row 0 for all where no paper asks."""
    return column if asked else np.zeros(len(column), np.int32)


def _if_listed(column: IntColumn, texts: Sequence[str], listed: Sequence[frozenset[str]]) -> IntColumn:
    """The column where its text is listed, and blank elsewhere."""
    every = frozenset().union(*listed)
    keep = np.array([text in every for text in texts] + [False], bool)
    return np.where(keep[column], column, NONE).astype(np.int32)
