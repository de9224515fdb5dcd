"""A plan carried out: the rows of the register that a file makes or changes. Called inside one transaction."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from operator import itemgetter
from typing import Any, Final

from accessions.intake.holders import place_accessions, place_deliveries, place_parts
from accessions.intake.kept import (
    COUNT_TERMS,
    DELIVERY_TERMS,
    DETERMINATION_COLUMN_OF_TERM,
    KEPT,
    SPECIMEN_COLUMN_OF_TERM,
)
from accessions.intake.places import Sites
from accessions.intake.plan import Plan, RowState, statements
from accessions.intake.register import Known
from accessions.intake.rows import FileRows
from accessions.material.events import known_events, place_events
from accessions.material.models import Determination, Specimen
from accessions.material.reading import EVENT_TERMS, event_digest
from accessions.material.touches import Scope, touch
from accessions.names.placing import NAME_TERMS, known_names, name_digest, place_names
from accessions.people.bulk import insert, reserve_keys, update
from accessions.values import read_count

_FEW: Final = 500
"""Up to so many specimens are marked one by one; more by their accessions."""

_SPECIMEN_FIELDS: Final = (
    "accession_id", "part_id", "delivery_id", "event_id", "name_id", "parent_id", "kind", "count_low", "count_high",
    "count_assumed", "digest", *SPECIMEN_COLUMN_OF_TERM.values(),
)  # fmt: skip
_NAME_AT: Final = _SPECIMEN_FIELDS.index("name_id")
_DETERMINATION_FIELDS: Final = ("specimen_id", "name_id", *DETERMINATION_COLUMN_OF_TERM.values())


class Writer:
    """Writes what a plan found, set by set.

    counts: how many rows of each kind were made or changed, for the summary of the batch.
    """

    def __init__(self, plan: Plan, *, by: Any, why: str) -> None:
        self._plan, self._by, self._why = plan, by, why
        self._sites = Sites()
        self._touched: list[int] = []
        self._accessions: dict[str, int] = {}
        self.counts: Counter[str] = Counter()

    @property
    def accessions(self) -> list[tuple[int, str]]:
        """Primary key and number of every accession that was written to, by number."""
        return sorted(((key, number) for number, key in self._accessions.items()), key=itemgetter(1))

    def write(self, taken: Collection[int] = ()) -> None:
        """Write the new rows, and of the changed rows those that a person wants taken (indexes)."""
        new = self._plan.rows_in(RowState.NEW)
        if new:
            self._write_new(new)
        if taken:
            self._write_changed([row for row in self._plan.rows_in(RowState.CHANGED) if row in frozenset(taken)])
        self._leave_marks()

    def _write_new(self, new: list[int]) -> None:
        plan = self._plan
        rows = plan.rows if len(new) == len(plan.rows) else plan.rows.subset(new)
        keys = reserve_keys(Specimen, len(new))
        own = dict(zip(rows.column("catalogNumber"), keys, strict=True))
        specimens = self._specimen_rows(rows, new, own)
        insert(Specimen, _SPECIMEN_FIELDS, specimens, keys, by=self._by, why=self._why)
        named = zip(keys, (row[_NAME_AT] for row in specimens), *map(rows.column, DETERMINATION_COLUMN_OF_TERM),
                    strict=True)  # fmt: skip
        determinations = reserve_keys(Determination, len(new))
        insert(Determination, _DETERMINATION_FIELDS, named, determinations, by=self._by, why=self._why)
        self.counts["specimens"] += len(new)
        self._touched += keys

    def _write_changed(self, changed: list[int]) -> None:
        plan = self._plan
        keys = [plan.recorded[row].pk for row in changed]
        recorded = Known().written(keys)
        merged = [
            recorded[key] | {term: cells[row] for term, cells in plan.rows.columns.items()}
            for row, key in zip(changed, keys, strict=True)
        ]
        rows = plan.rows.with_columns({term: [cells.get(term, "") for cells in merged] for term in KEPT}, changed)
        specimens = self._specimen_rows(rows, changed, {})
        before = dict(Specimen.objects.filter(pk__in=keys).values_list("pk", "name_id"))
        update(Specimen, _SPECIMEN_FIELDS, specimens, keys, by=self._by, why=self._why)
        names = [row[_NAME_AT] for row in specimens]
        self._redetermine(rows, changed, keys, names, [before[key] for key in keys])
        self.counts["changed"] += len(changed)
        self._touched += keys

    def _redetermine(
        self, rows: FileRows, changed: Sequence[int], keys: Sequence[int], names: Sequence[int], before: Sequence[int]
    ) -> None:
        """A new name is a new determination, and the earlier one stays; other cells correct the current one."""
        current = dict(
            Determination.objects.filter(specimen__in=keys, is_current=True).values_list("specimen_id", "pk")
        )
        renamed = [n for n, (name, old) in enumerate(zip(names, before, strict=True)) if name != old]
        ended = [current[keys[n]] for n in renamed if keys[n] in current]
        update(Determination, ("is_current",), [(False,)] * len(ended), ended, by=self._by, why=self._why)
        stated = [
            (keys[n], names[n], *(self._stated(term, changed[n]) for term in DETERMINATION_COLUMN_OF_TERM))
            for n in renamed
        ]
        insert(Determination, _DETERMINATION_FIELDS, stated, reserve_keys(Determination, len(stated)), by=self._by,
               why=self._why)  # fmt: skip
        kept = [n for n in range(len(keys)) if names[n] == before[n] and keys[n] in current]
        kept = [n for n in kept if self._plan.differs(changed[n], DETERMINATION_COLUMN_OF_TERM)]
        cells = [tuple(rows.column(term)[n] for term in DETERMINATION_COLUMN_OF_TERM) for n in kept]
        update(Determination, tuple(DETERMINATION_COLUMN_OF_TERM.values()), cells, [current[keys[n]] for n in kept],
               by=self._by, why=self._why)  # fmt: skip
        self.counts["determinations"] += len(renamed)

    def _stated(self, term: str, row: int) -> str:
        """A cell of the file alone: who named it before did not name it now."""
        return self._plan.rows.columns[term][row] if term in self._plan.rows.columns else ""

    def _specimen_rows(self, rows: FileRows, at: Sequence[int], own: Mapping[str, int]) -> list[tuple[Any, ...]]:
        """The rows of ``_SPECIMEN_FIELDS``. own: keys of catalogue numbers that are made with them."""
        plan = self._plan
        accessions = self._accession_keys([plan.accession_of[row] for row in at])
        return list(
            zip(
                accessions,
                self._part_keys(accessions, rows),
                self._delivery_keys(accessions, rows),
                self._event_keys(rows),
                self._name_keys(rows),
                self._parent_keys(rows, own),
                self._kinds(rows),
                *_counts(rows),
                [plan.digests[row] for row in at],
                *map(rows.column, SPECIMEN_COLUMN_OF_TERM),
                strict=True,
            )
        )

    def _accession_keys(self, numbers: Sequence[str]) -> list[int]:
        keys, made = place_accessions(numbers, by=self._by, why=self._why)
        self._accessions |= keys
        self.counts["accessions"] += made
        return [keys[number] for number in numbers]

    def _part_keys(self, accessions: Sequence[int], rows: FileRows) -> list[int | None]:
        pairs = list(zip(accessions, rows.column("accessionPart"), strict=True))
        keys = place_parts(pairs, by=self._by, why=self._why)
        return [keys.get(pair) for pair in pairs]

    def _delivery_keys(self, accessions: Sequence[int], rows: FileRows) -> list[int | None]:
        days = zip(*map(rows.column, DELIVERY_TERMS), strict=True)
        pairs = list(zip(accessions, days, strict=True))
        keys, made = place_deliveries(pairs, by=self._by, why=self._why)
        self.counts["deliveries"] += made
        return [keys.get(pair) for pair in pairs]

    def _event_keys(self, rows: FileRows) -> list[int]:
        events = statements(rows, EVENT_TERMS, event_digest)
        stated = events.by_digest()
        known = known_events(list(stated))
        new = [written for digest, written in stated.items() if digest not in known]
        self.counts["sites"] += self._sites.make(new, by=self._by, why=self._why)
        sites = {digest: self._sites.find(written) for digest, written in stated.items() if digest not in known}
        keys, made = place_events(stated, sites, by=self._by, why=self._why)
        self.counts["events"] += made
        return events.spread(keys)

    def _name_keys(self, rows: FileRows) -> list[int]:
        names = statements(rows, NAME_TERMS, name_digest)
        stated = names.by_digest()
        self.counts["names"] += len(stated) - len(known_names(list(stated)))
        return names.spread(place_names(stated, by=self._by, why=self._why))

    def _parent_keys(self, rows: FileRows, own: Mapping[str, int]) -> list[int | None]:
        parents = rows.column("takenFrom")
        stated = set(parents) - {""} - own.keys()
        known = {number: record.pk for number, record in Known().by_catalog_number(stated).items()}
        return [own.get(parent) or known.get(parent) if parent else None for parent in parents]

    def _kinds(self, rows: FileRows) -> list[str]:
        kind_of = {"lot": Specimen.Kind.LOT.value, "bulk": Specimen.Kind.BULK.value}
        part, specimen = Specimen.Kind.PART.value, Specimen.Kind.SPECIMEN.value
        units = zip(rows.column("unit"), rows.column("takenFrom"), strict=True)
        return [part if parent else kind_of.get(unit.casefold(), specimen) for unit, parent in units]

    def _leave_marks(self) -> None:
        if len(self._touched) <= _FEW:
            touch(Scope.SPECIMEN, self._touched, by=self._by, why=self._why)
        else:
            touch(Scope.ACCESSION, sorted(self._accessions.values()), by=self._by, why=self._why)
        if self.counts["names"]:
            touch(Scope.NAMES, by=self._by, why=self._why)


def _counts(rows: FileRows) -> tuple[list[int], list[int | None], list[bool]]:
    cells = list(zip(*map(rows.column, COUNT_TERMS), strict=True))
    read = {texts: read_count(*texts) for texts in set(cells)}
    lows, highs, assumed = [], [], []
    for texts in cells:
        count = read[texts]
        lows.append(count.low)
        highs.append(count.high)
        assumed.append(count.assumed)
    return lows, highs, assumed
