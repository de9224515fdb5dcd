"""Distinct statements of the register as tables of the engine: events, deliveries and names."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from accessions.material.models import Delivery, SamplingEvent
from accessions.names.models import WrittenName
from accessions.values import split_list, split_people
from governance.engine.tables import RANKS, Dates, IntColumn, LongColumn, Places, Taxa, fold
from governance.engine.taxa import Classification
from governance.verdicts.feed.rows import positions, select, select_by_keys
from governance.verdicts.material import NAME, PLACE, DateTable, Row, Rows, places_of, taxa_of

_EVENT = SamplingEvent.COLUMN_OF_TERM
_NAME_COLUMNS = WrittenName.COLUMN_OF_TERM
_DELIVERY = {"exportedOn": "exported_on", "importedOn": "imported_on", "transferredOn": "transferred_on"}


@dataclass(frozen=True)
class Statements:
    """Sampling events and deliveries, read.

    event_ids, delivery_ids: ascending primary keys. date, place, methods, people, number: for each event its row of the
    table; number is -1 where blank. days: for each delivery, and in the last row for none, its rows of the dates:
    exported, imported, transferred.
    """

    event_ids: LongColumn
    date: IntColumn
    place: IntColumn
    methods: IntColumn
    people: IntColumn
    number: IntColumn
    delivery_ids: LongColumn
    days: tuple[IntColumn, IntColumn, IntColumn]
    dates: Dates
    places: Places
    method_lists: Sequence[Row]
    people_lists: Sequence[Row]
    numbers: Sequence[str]

    def event_rows(self, ids: LongColumn) -> LongColumn:
        return positions(self.event_ids, ids)

    def delivery_rows(self, ids: LongColumn) -> LongColumn:
        """Rows of ``days``; an id of -1 is no delivery."""
        found = positions(self.delivery_ids, ids)
        return np.where(ids < 0, len(self.delivery_ids), found)


def statements(event_ids: LongColumn | None, delivery_ids: LongColumn | None) -> Statements:
    """Read events and deliveries; None for all of them."""
    ids, sites, events = _event_columns(event_ids)
    rows = Rows(events, len(ids))
    deliveries = _columns(Delivery, _DELIVERY, delivery_ids)
    dates = DateTable()
    date = dates.add_collected(rows)
    days = _delivery_days(dates, deliveries)
    place, places = _places(rows, sites)
    methods, method_lists = rows.lists("samplingProtocol", split_list)
    people, people_lists = rows.lists("recordedBy", split_people)
    number, texts = rows.numbers("eventID")
    return Statements(
        ids, date, place, methods, people, number, deliveries.ids, days, dates.dates(), places, method_lists,
        people_lists, texts,
    )  # fmt: skip


@dataclass(frozen=True)
class _Table:
    ids: LongColumn
    columns: dict[str, list[str]]


def _columns(model: Any, column_of_term: dict[str, str], ids: LongColumn | None, more: str = "") -> _Table:
    """Rows of a model by key, their written columns by term. more: one further column, as the term "more"."""
    quoted = ", ".join(f'"{column}"' for column in ("id", *column_of_term.values(), *([more] if more else [])))
    sql = f'SELECT {quoted} FROM "{model._meta.db_table}"'
    found = (
        select(f"{sql} ORDER BY id") if ids is None else select_by_keys(f"{sql} WHERE id IN", np.unique(ids).tolist())
    )
    rows = list(found)
    rows.sort(key=lambda row: row[0])
    columns: list[Sequence[Any]] = list(zip(*rows, strict=True)) if rows else [()] * (len(column_of_term) + 2)
    named = dict(zip([*column_of_term, *(["more"] if more else [])], map(list, columns[1:]), strict=False))
    return _Table(np.array(columns[0], np.int64), named)


def _event_columns(ids: LongColumn | None) -> tuple[LongColumn, list[str], dict[str, list[str]]]:
    """Keys, the registered site of each as text, and the written columns."""
    table = _columns(SamplingEvent, _EVENT, ids, more="site_id")
    sites = ["" if site is None else str(site) for site in table.columns.pop("more", [])]
    return table.ids, sites, table.columns


def _places(rows: Rows, sites: list[str]) -> tuple[IntColumn, Places]:
    """Distinct place statements; those that stand at a registered site carry its code and name too.

    A name that several sites bear is none of them: a paper that names it may mean another one. What a record itself
    writes stays.
    """
    with_site = rows.with_column("registeredSite", sites)
    place, written = with_site.distinct((*PLACE, "registeredSite"))
    keys = unshared_site_keys()
    registered = [keys.get(int(row[-1]), ()) if row[-1] else () for row in written]
    return place, places_of([row[:-1] for row in written], registered)


def site_keys() -> dict[int, tuple[str, ...]]:
    """By key of the site, its code and name as the engine matches them."""
    rows = select("SELECT id, code_key, name_key FROM sites_site ORDER BY id")
    return {pk: tuple(dict.fromkeys(key for key in (code, name) if key)) for pk, code, name in rows}


def unshared_site_keys() -> dict[int, tuple[str, ...]]:
    """The same; a name that several sites have names none of them."""
    keys = site_keys()
    holders = Counter(key for own in keys.values() for key in own)
    return {site: tuple(key for key in own if key == own[0] or holders[key] == 1) for site, own in keys.items()}


def _delivery_days(dates: DateTable, deliveries: _Table) -> tuple[IntColumn, IntColumn, IntColumn]:
    """The rows of the three days of each delivery, with one more row for material of no delivery."""
    count = len(deliveries.ids) + 1
    columns = {term: [*deliveries.columns.get(term, []), ""] for term in _DELIVERY}
    rows = Rows(columns, count)
    exported, imported, transferred = (dates.add(rows, term) for term in _DELIVERY)
    return exported, imported, transferred


@dataclass(frozen=True)
class Names:
    """All names that records write, and after them what loaded lists say. ids: keys of the written names, ascending."""

    ids: LongColumn
    taxa: Taxa

    def rows(self, ids: LongColumn) -> IntColumn:
        return positions(self.ids, ids).astype(np.int32)

    @cached_property
    def classification(self) -> Classification:
        return Classification(self.taxa)


_kept: dict[str, Names] = {}
"""The classification by its mark. Rows of names never change, so a process reads them again only when some are added:
to look at one changed specimen must not cost the reading of all names."""


def names() -> Names:
    """The whole classification: a name that no specimen bears any more still says where others stand."""
    mark = _content_mark()
    found = _kept.get(mark)
    if found is None:
        found = _read_names()
        _kept.clear()
        _kept[mark] = found
    found.classification.forget_relations()
    return found


def _content_mark() -> str:
    digest = hashlib.sha256(lists_digest().encode())
    for row in select("SELECT id, digest FROM names_writtenname ORDER BY id"):
        digest.update(repr(row).encode())
    return digest.hexdigest()


def lists_digest() -> str:
    """Of all that loaded lists say."""
    digest = hashlib.sha256()
    for row in select("SELECT id, name, rank, parent_id FROM names_taxon WHERE taxon_list_id IS NOT NULL ORDER BY id"):
        digest.update(repr(row).encode())
    return digest.hexdigest()


def _read_names() -> Names:
    table = _columns(WrittenName, _NAME_COLUMNS, None)
    rows = list(zip(*(table.columns[term] for term in NAME), strict=True)) if len(table.ids) else []
    written = taxa_of(rows)
    listed = list(_listed_lineages())
    taxa = Taxa(
        lineage=[*written.lineage, *(lineage for lineage, _ in listed)],
        unranked=[*written.unranked, *(unranked for _, unranked in listed)],
        qualified=np.concatenate([written.qualified, np.zeros(len(listed), bool)]),
        text=[*written.text, *("" for _ in listed)],
    )
    return Names(table.ids, taxa)


def _listed_lineages() -> Iterator[tuple[Row, Row]]:
    """What loaded lists say: for each taxon its lineage by rank, and the names of no known rank above it."""
    known: dict[int, tuple[str, str, int | None]] = {}
    wanted = []
    for pk, name, rank, parent, source in select(
        "SELECT id, name, rank, parent_id, taxon_list_id FROM names_taxon ORDER BY id"
    ):
        known[pk] = (name, rank, parent)
        if source is not None:
            wanted.append(pk)
    for pk in wanted:
        yield _lineage(pk, known)


def _lineage(pk: int | None, known: dict[int, tuple[str, str, int | None]]) -> tuple[Row, Row]:
    lineage, unranked = dict.fromkeys(RANKS, ""), []
    while pk is not None:
        name, rank, pk = known[pk]
        if rank in lineage:
            lineage[rank] = lineage[rank] or fold(name)
        else:
            unranked.append(fold(name))
    return tuple(lineage.values()), tuple(reversed(unranked))
