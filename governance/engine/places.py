"""Where: the answer of a version of a paper to every place statement (VERDICTS section 4, row by row)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from governance.engine.answers import NO, UNKNOWN, YES
from governance.engine.areas import Area, Relation, signed_all
from governance.engine.columns import REMARK_BIT, Column, yes
from governance.engine.grounds import SEA_REACH_M, Grounds
from governance.engine.open_rows import OpenRows
from governance.engine.tables import (
    CODE,
    BoolColumn,
    ByteColumn,
    FloatColumn,
    PlaceItem,
    Rows,
    Version,
)


@dataclass(frozen=True)
class PlaceTerms:
    """The places of a version as they are tested: included, excluded, and what stands in.

    everywhere: exclusions alone on a layer that asks for no place. no_terms: nothing of the place is tested.
    stands_in: the jurisdiction stands in for the places. nowhere: neither places nor jurisdiction.
    """

    include: tuple[PlaceItem, ...]
    exclude: tuple[PlaceItem, ...]
    everywhere: bool = False
    no_terms: bool = False
    stands_in: bool = False
    nowhere: bool = False

    @classmethod
    def of(cls, version: Version, jurisdiction: str, *, place_optional: bool) -> PlaceTerms:
        """The terms of a version.

        jurisdiction: of the issuer, ISO 3166-1 or 3166-2, "" where it is not known. place_optional: on import, cites
        and transfer a paper that lists no place sets no limit.
        """
        include, exclude = version.include_places, version.exclude_places
        if include:
            return cls(include, exclude)
        if place_optional:
            return cls((), exclude, everywhere=bool(exclude), no_terms=not exclude)
        if not jurisdiction:
            return cls((), exclude, nowhere=True)
        item = PlaceItem(subdivision=jurisdiction) if "-" in jurisdiction else PlaceItem(country=jurisdiction)
        return cls((item,), exclude, stands_in=True)


class PlaceTest:
    """One version's places against the places of the specimens.

    included, excluded: the places with their areas, None where a place is not mapped. areas: of those included.
    """

    def __init__(self, terms: PlaceTerms, grounds: Grounds) -> None:
        self.terms = terms
        self.grounds = grounds
        self.included = [(item, grounds.area_of(item)) for item in terms.include]
        self.excluded = [(item, grounds.area_of(item)) for item in terms.exclude]
        self.areas = [area for _, area in self.included if area is not None]
        self.unmapped_include = any(area is None for _, area in self.included)

    @property
    def error_m(self) -> float:
        """The largest error of a mapped place's boundary."""
        return max((area.error_m for _, area in (*self.included, *self.excluded) if area is not None), default=0.0)

    @cached_property
    def union(self) -> Area | None:
        """The included places as one area; None where a circle about a pole cannot be drawn."""
        return self.areas[0] if len(self.areas) == 1 else Area.union(self.areas)

    def judge(self, rows: Rows) -> Column:
        """The answer for each of the given places, by the first row of the contract's table that holds.

        Returns:
            A column of shape (n_rows,); measures are metres, NaN where nobody has measured yet (``unmeasured``).
        """
        column = yes(len(rows))
        if self.terms.no_terms:
            return column
        open_rows = OpenRows(column, rows)
        self._judge_unusable(open_rows)
        if self.terms.nowhere:
            self._judge_nowhere(open_rows)
            return column
        self._judge_names(open_rows)
        self._judge_shapes(open_rows)
        self._remark(column, rows)
        return column

    def _judge_nowhere(self, open_rows: OpenRows) -> None:
        """Neither places nor jurisdiction: only an exclusion can be told."""
        self._names_excluded(open_rows)
        self._within_excluded(open_rows, open_rows.where(self.grounds.shapes.located))
        open_rows.settle(open_rows.left(), UNKNOWN, "place-not-stated")

    def _judge_unusable(self, open_rows: OpenRows) -> None:
        """Coordinates that cannot be, were coarsened, contradict the country or the site, or have no radius."""
        grounds, shapes = self.grounds, self.grounds.shapes
        open_rows.settle(open_rows.where(grounds.invalid), UNKNOWN, "coordinates-invalid")
        open_rows.settle(
            open_rows.where(shapes.located & grounds.places.generalized), UNKNOWN, "coordinates-generalized"
        )
        contradicted = open_rows.where(grounds.mismatch.answer == UNKNOWN)
        open_rows.column.put(contradicted, grounds.mismatch.take(open_rows.rows[contradicted]))
        open_rows.close(contradicted)
        if grounds.house.assumed_radius_m is None:
            open_rows.settle(open_rows.where(shapes.radius_unknown), UNKNOWN, "radius-unknown")
        for item, area in (*self.included, *self.excluded):
            if item.site and area is not None:
                self._judge_conflict(open_rows, item, area)

    def _judge_conflict(self, open_rows: OpenRows, item: PlaceItem, area: Area) -> None:
        """Places that name a mapped site and lie apart from it."""
        naming = open_rows.among(self.grounds.naming(item.site))
        places = open_rows.filter(naming, self.grounds.shapes.located)
        rows = open_rows.rows[places]
        apart = area.relate(self.grounds.shapes, rows).apart
        metres = area.signed_m(self.grounds.shapes, rows[apart])
        reach = self.grounds.shapes.reach_m[rows[apart]]
        open_rows.settle(places[apart], UNKNOWN, "place-conflict", measure=metres, against=reach, miss=metres)

    def _judge_names(self, open_rows: OpenRows) -> None:
        """What names alone can tell."""
        grounds = self.grounds
        self._names_excluded(open_rows)
        nowhere = open_rows.where(~grounds.shapes.located)
        if not self.terms.exclude:
            by_name = nowhere[self._named(open_rows.rows[nowhere])]
            open_rows.settle(by_name, YES)
            open_rows.column.remark(by_name, "by-name")
        open_rows.settle(open_rows.where(~grounds.shapes.located), UNKNOWN, "place-missing")

    def _names_excluded(self, open_rows: OpenRows) -> None:
        """Places that name a site which the paper excludes."""
        for item, _ in self.excluded:
            if item.site:
                open_rows.settle(open_rows.among(self.grounds.naming(item.site)), NO, "excluded-area")

    def _named(self, rows: Rows) -> BoolColumn:
        """The paper names the site, or includes the whole stated country or subdivision."""
        named = np.zeros(len(rows), bool)
        countries, subdivisions = self.grounds.stated_countries[rows], self.grounds.subdivisions[rows]
        for item in self.terms.include:
            if item.site:
                named |= np.isin(rows, self.grounds.naming(item.site))
            elif item.country:
                named |= countries == item.country
            elif item.subdivision:
                named |= subdivisions == item.subdivision
        return named

    def _judge_shapes(self, open_rows: OpenRows) -> None:
        """What the shapes tell: every row still open has a position."""
        touched = self._touched(open_rows)
        left = open_rows.left()
        rows = open_rows.rows[left]
        doubt = np.logical_or.reduce([np.zeros(len(rows), bool), *self._doubts(rows, by_name=True)])
        by_name = left[self._unmapped_names(rows) & ~touched.any[left] & ~doubt]
        open_rows.settle(by_name, YES)
        open_rows.column.remark(by_name, "by-name")
        self._within_excluded(open_rows, open_rows.left())
        left = open_rows.left()
        relations = [area.relate(self.grounds.shapes, open_rows.rows[left]) for area in self.areas]
        if not self.terms.everywhere:
            self._apart_from_all(open_rows, left, relations)
        edge = open_rows.keep_open(np.flatnonzero(touched.any))
        metres, reach = touched.signed_m[edge], self.grounds.shapes.reach_m[open_rows.rows[edge]]
        open_rows.settle(edge, UNKNOWN, "exclusion-edge", measure=metres, against=reach, miss=-metres)
        self._unmapped_exclusion(open_rows)
        self._within_included(open_rows, left, relations)

    def _touched(self, open_rows: OpenRows) -> _Touched:
        """The first listed exclusion that each open shape touches, over all rows of the column."""
        count = len(open_rows.rows)
        touched = _Touched(np.zeros(count, bool), np.full(count, np.nan))
        left = open_rows.left()
        for _, area in self.excluded:
            if area is not None:
                relation = area.relate(self.grounds.shapes, open_rows.rows[left])
                new = ~relation.apart & ~touched.any[left]
                touched.signed_m[left[new]] = relation.signed_m[new]
                touched.any[left[new]] = True
        return touched

    def _unmapped_names(self, rows: Rows) -> BoolColumn:
        """The place names an included site that is not mapped."""
        named = np.zeros(len(rows), bool)
        for item, area in self.included:
            if item.site and area is None:
                named |= np.isin(rows, self.grounds.naming(item.site))
        return named

    def _within_excluded(self, open_rows: OpenRows, places: Rows) -> None:
        """Wholly inside an excluded place: of several the first listed is named."""
        for _, area in self.excluded:
            if area is None:
                continue
            places = open_rows.keep_open(places)
            rows = open_rows.rows[places]
            relation = area.relate(self.grounds.shapes, rows)
            held, inside = places[relation.within], rows[relation.within]
            metres = area.signed_m(self.grounds.shapes, inside)
            reach = self.grounds.shapes.reach_m[inside]
            open_rows.settle(held, NO, "excluded-area", measure=metres, against=reach, miss=-metres)

    def _apart_from_all(self, open_rows: OpenRows, left: Rows, relations: list[Relation]) -> None:
        """Wholly outside every included place. relations: of the places left, one an area."""
        places = left[np.logical_and.reduce([np.ones(len(left), bool), *[r.apart for r in relations]])]
        if self.unmapped_include:
            open_rows.settle(places, UNKNOWN, "area-not-mapped")
            return
        places = self._judge_wide_reading(open_rows, places)
        if all(item.country or item.subdivision for item in self.terms.include):
            places = self._judge_at_sea(open_rows, places)
        open_rows.settle(places, NO, "outside-area", against=self.grounds.shapes.reach_m[open_rows.rows[places]])

    def _judge_wide_reading(self, open_rows: OpenRows, places: Rows) -> Rows:
        """Land that only the wide reading of an included country holds; the rest is returned."""
        for item in self.terms.include:
            wide = self.grounds.wide_area_of(item)
            if wide is not None and len(places):
                doubt = ~wide.relate(self.grounds.shapes, open_rows.rows[places]).apart
                open_rows.settle(places[doubt], UNKNOWN, "area-not-mapped")
                places = places[~doubt]
        return places

    def _judge_at_sea(self, open_rows: OpenRows, places: Rows) -> Rows:
        """Off the coast of an included country or province; the rest is returned."""
        rows = open_rows.rows[places]
        metres = self.signed_m(rows)
        near = metres <= SEA_REACH_M
        near[near] &= self.grounds.at_sea(rows[near])
        open_rows.settle(places[near], UNKNOWN, "at-sea", measure=metres[near], against=SEA_REACH_M, miss=metres[near])
        return places[~near]

    def _unmapped_exclusion(self, open_rows: OpenRows) -> None:
        """An excluded place that is not mapped, or only in a narrower reading, may hold what is left."""
        left = open_rows.left()
        for doubt in self._doubts(open_rows.rows[left], by_name=False):
            open_rows.settle(left[doubt], UNKNOWN, "area-not-mapped")

    def _doubts(self, rows: Rows, *, by_name: bool) -> Iterator[BoolColumn]:
        """For each excluded place the rows that it may hold for all that is mapped.

        by_name: rows that name a site of the paper; an unmapped excluded site of another name is none of theirs.
        """
        for item, area in self.excluded:
            wide = self.grounds.wide_area_of(item)
            if area is None and item.site:
                if not by_name:
                    yield ~self.grounds.names_site[rows]
            elif area is None:
                yield np.ones(len(rows), bool)
            elif wide is not None:
                yield ~wide.relate(self.grounds.shapes, rows).apart

    def _within_included(self, open_rows: OpenRows, left: Rows, relations: list[Relation]) -> None:
        """Wholly inside one place, or inside the union of several; else near an edge."""
        if self.terms.everywhere:
            open_rows.settle(open_rows.left(), YES)
            return
        for relation in relations:
            open_rows.settle(open_rows.keep_open(left[relation.within]), YES)
        left = open_rows.left()
        rows = open_rows.rows[left]
        if not len(left):
            return
        relation = self._relate_union(rows)
        open_rows.settle(left[relation.within], YES)
        edge = ~relation.within
        metres, reach = relation.signed_m[edge], self.grounds.shapes.reach_m[rows[edge]]
        open_rows.settle(left[edge], UNKNOWN, "area-edge", measure=metres, against=reach, miss=metres)

    def _relate_union(self, rows: Rows) -> Relation:
        """Against all included places as one; what cannot be drawn holds nothing."""
        if self.union is not None:
            return self.union.relate(self.grounds.shapes, rows)
        never = np.zeros(len(rows), bool)
        return Relation(never, never, self.signed_m(rows))

    def signed_m(self, rows: Rows) -> FloatColumn:
        """Metres from each centre to the nearest edge of the included places, negative inside."""
        return measure_all([(self, rows)], self.grounds)[0]

    def at_least_m(self, rows: Rows) -> FloatColumn:
        """A cheap lower bound of the metres outside the included places."""
        bounds = [area.at_least_m(self.grounds.shapes, rows) for area in self.areas]
        return np.asarray(np.min(bounds, axis=0), np.float64)

    def _remark(self, column: Column, rows: Rows) -> None:
        """The weaknesses on which a yes stands."""
        by_name = column.remarks & REMARK_BIT["by-name"]
        weak = self.weaknesses(rows)
        weak = np.where(by_name > 0, weak & REMARK_BIT["place-not-stated"], weak)
        column.remarks[:] = np.where(column.answer == YES, column.remarks | weak, 0)

    def weaknesses(self, rows: Rows) -> ByteColumn:
        """Remarks, as bits, that stand on a yes by a mapped place."""
        shapes = self.grounds.shapes
        bits = np.zeros(len(rows), np.uint8)
        if self.terms.stands_in:
            bits |= REMARK_BIT["place-not-stated"]
        if any(area is not None for _, area in (*self.included, *self.excluded)):
            bits[shapes.radius_unknown[rows]] |= REMARK_BIT["radius-assumed"]
            bits[shapes.datum_assumed[rows]] |= REMARK_BIT["datum-assumed"]
        return bits


@dataclass(frozen=True)
class _Touched:
    """Which shapes touch an exclusion, and their metres to it."""

    any: BoolColumn
    signed_m: FloatColumn


def unmeasured(column: Column) -> Rows:
    """Rows whose metres nobody has asked for yet: far outside an area."""
    return np.flatnonzero((column.code == CODE["outside-area"]) & np.isnan(column.measure))


def measure_all(requests: Sequence[tuple[PlaceTest, Rows]], grounds: Grounds) -> list[FloatColumn]:
    """Signed metres to the nearest edge of the included places, for many papers in one go."""
    areas = [(test.areas if test.union is None else [test.union], rows) for test, rows in requests]
    flat = [(area, rows) for own, rows in areas for area in own]
    metres = iter(signed_all(flat, grounds.shapes))
    return [np.min([next(metres) for _ in own], axis=0) for own, _ in areas]
