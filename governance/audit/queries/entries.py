"""The history of any record, and of any write: who changed what, when, why, from which page or command."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import cache
from typing import Any, Final

from django.apps import apps
from django.db import models
from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.changes import Change, FieldChange, changes_between
from accessions.people.models import Seal, SealHead, SealShape, Write
from governance.audit.queries.gates import open_entries

MOST_ENTRIES: Final = 500
"""The newest so many of a record are read; the page says so where there are more."""


@dataclass(frozen=True)
class Entry:
    """One entry of a history. change: None where it is not open to the reader. number: its place in the chain, None
    where it has no seal. record: key of the kind and key of the row, for the address of the record's history."""

    model: type[models.Model]
    record: int
    change: Change | None
    number: int | None
    write: Write | None

    @property
    def kind(self) -> str:
        return kind_of(self.model)

    @property
    def what(self) -> str:
        return str(self.model._meta.verbose_name)


@dataclass(frozen=True)
class RecordHistory:
    """The entries of a record, newest first. more: how many older ones are not shown. name: what it is called."""

    kind: str
    what: str
    name: str
    is_gone: bool
    entries: Sequence[Entry]
    more: int

    @property
    def closed(self) -> int:
        return sum(entry.change is None for entry in self.entries)


@cache
def kinds() -> Mapping[str, type[models.Model]]:
    """The kinds of records whose history is kept, by their key in addresses, such as ``papers.paper``."""
    found = [model for model in apps.get_models() if hasattr(model, "history")]
    return {kind_of(model): model for model in sorted(found, key=lambda model: str(model._meta.verbose_name))}


def kind_of(model: type[models.Model]) -> str:
    return str(model._meta.label_lower)


@cache
def _by_table() -> Mapping[str, type[models.Model]]:
    return {model.history.model._meta.db_table: model for model in kinds().values()}  # type: ignore[attr-defined]


def record_history(kind: str, pk: int, reader: Any) -> RecordHistory | None:
    """All that happened to a record; None where nothing is known of it."""
    model = kinds()[kind]
    entries = model.history.filter(id=pk)  # type: ignore[attr-defined]
    rows = list(_newest_first(entries)[: MOST_ENTRIES + 1])
    if not rows:
        return None
    pairs = [(row, before) for row, before in zip(rows, [*rows[1:], None], strict=True)][:MOST_ENTRIES]
    more = entries.count() - len(pairs) if len(rows) > MOST_ENTRIES else 0
    shown = _entries(model, pairs, reader)
    record = model._default_manager.filter(pk=pk).first()
    name = _name(record) if record is not None and shown and shown[0].change is not None else ""
    return RecordHistory(kind, str(model._meta.verbose_name), name, record is None, shown, more)


@dataclass(frozen=True)
class Belonging:
    """Records of a kind that hang on another: the keys of the first, and how many more there are."""

    kind: str
    what: str
    keys: Sequence[int]
    more: int


_SHOWN_OF_A_KIND: Final = 12


def belonging(kind: str, pk: int) -> list[Belonging]:
    """What ever hung on a record by a key of its own, such as the versions of a paper: one query for each such key."""
    of, found = kinds()[kind], []
    for other, model in kinds().items():
        for field in model._meta.concrete_fields:
            if field.related_model is of:
                rows = model.history.filter(**{field.attname: pk}).order_by("id").values_list("id", flat=True)  # type: ignore[attr-defined]
                keys = list(rows.distinct()[: _SHOWN_OF_A_KIND + 1])
                if keys:
                    more = rows.distinct().count() - _SHOWN_OF_A_KIND if len(keys) > _SHOWN_OF_A_KIND else 0
                    what = str(model._meta.verbose_name_plural)
                    found.append(Belonging(other, what, keys[:_SHOWN_OF_A_KIND], more))
    return found


def _newest_first(entries: Any) -> Any:
    return entries.select_related("history_user").order_by("-history_date", "-history_id")


def _name(record: models.Model) -> str:
    text = str(record)
    return "" if " object (" in text else text


def _entries(model: type[models.Model], pairs: list[tuple[Any, Any]], reader: Any) -> list[Entry]:
    """A few queries for one kind of record, however many pairs."""
    rows = [row for row, _before in pairs]
    opened = open_entries(model, rows, reader)
    readable = [pair for pair in pairs if pair[0].history_id in opened]
    changes = dict(zip((row.history_id for row, _before in readable), changes_told(model, readable), strict=True))
    numbers = _numbers(model, rows)
    writes = writes_of(numbers.values())
    return [
        Entry(model, row.id, changes.get(row.history_id), number, writes.get(number) if number else None)
        for row in rows
        for number in [numbers.get(row.history_id)]
    ]


_REPEATS: Final = {"usedesk.requestdecision": "reasons", "reports.report": "texts"}
"""Columns that may repeat what papers say, of records that belong to no paper: that they changed is told, not how."""


def changes_told(model: type[models.Model], pairs: list[tuple[Any, Any]]) -> list[Change]:
    """What entries changed, without what a column repeats of papers."""
    found = changes_between(model, pairs, str(model._meta.verbose_name))
    column = _REPEATS.get(kind_of(model))
    if column is None:
        return found
    label = next(str(field.verbose_name) for field in model._meta.concrete_fields if field.name == column)
    return [replace(one, fields=tuple(_unsaid(field, label) for field in one.fields)) for one in found]


def _unsaid(field: FieldChange, label: str) -> FieldChange:
    if field.label != label:
        return field
    return FieldChange(label, _("not shown here"), _("not shown here: it may repeat what papers say"))


def _numbers(model: type[models.Model], rows: list[Any]) -> dict[int, int]:
    """The place in the chain of entries of a history."""
    table = model.history.model._meta.db_table  # type: ignore[attr-defined]
    keys = [row.history_id for row in rows]
    return dict(Seal.objects.filter(shape__table=table, row__in=keys).values_list("row", "number"))


def writes_of(numbers: Any) -> dict[int, Write]:
    """The write to which each entry of the chain belongs: the nearest one before it. One query."""
    wanted = sorted(set(numbers))
    if not wanted:
        return {}
    write = Write.objects.filter(number__lte=OuterRef("number")).order_by("-number").values("number")[:1]
    firsts = dict(Seal.objects.filter(number__in=wanted).annotate(first=Subquery(write)).values_list("number", "first"))
    found = Write.objects.select_related("by").in_bulk({first for first in firsts.values() if first is not None})
    return {number: found[first] for number, first in firsts.items() if first in found}


@dataclass(frozen=True)
class WritesWanted:
    """Which writes a page asks for; None, "" and False: all."""

    by: int | None = None
    first: date | None = None
    last: date | None = None
    words: str = ""
    only_late: bool = False


def writes(wanted: WritesWanted) -> QuerySet[Write]:
    """The writes, newest first, each with ``until``: the number of the next one, None of the newest."""
    following = Write.objects.filter(number__gt=OuterRef("number")).order_by("number").values("number")[:1]
    found = Write.objects.select_related("by").annotate(until=Subquery(following)).order_by("-number")
    if wanted.by is not None:
        found = found.filter(by=wanted.by)
    if wanted.first is not None:
        found = found.filter(at__gte=_midnight(wanted.first))
    if wanted.last is not None:
        found = found.filter(at__lt=_midnight(date.fromordinal(wanted.last.toordinal() + 1)))
    if wanted.words:
        found = found.filter(Q(origin__icontains=wanted.words) | Q(why__icontains=wanted.words))
    return found.filter(is_late=True) if wanted.only_late else found


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def head_number() -> int:
    """The number of the newest entry of the chain, 0 of none."""
    return SealHead.objects.values_list("number", flat=True).first() or 0


def sealed_rows(write: Write) -> QuerySet[Seal]:
    """The entries of a write, in their order."""
    after = Write.objects.filter(number__gt=write.number).order_by("number").values_list("number", flat=True).first()
    found = Seal.objects.filter(number__gt=write.number).order_by("number")
    return found if after is None else found.filter(number__lt=after)


def write_entries(seals: Sequence[Seal], write: Write, reader: Any) -> list[Entry | Stated]:
    """What some entries of one write changed, in their order. A few queries for each kind of record."""
    shapes = SealShape.objects.in_bulk({seal.shape_id for seal in seals})
    of_table: dict[str, list[Seal]] = defaultdict(list)
    for seal in seals:
        of_table[shapes[seal.shape_id].table].append(seal)
    found: dict[int, Entry | Stated] = {}
    for table, some in of_table.items():
        model = _by_table().get(table)
        stated = {seal.number: Stated(table, seal.row, seal.number) for seal in some}
        found |= stated if model is None else _told(model, some, write, reader)
    return [found[seal.number] for seal in seals if seal.number in found]


@dataclass(frozen=True)
class Stated:
    """An entry over a row that keeps no history: the table, its key and its place in the chain are all that is told."""

    table: str
    row: int
    number: int

    @property
    def what(self) -> str:
        named = (m._meta.verbose_name for m in apps.get_models() if m._meta.db_table == self.table)
        return str(next(named, self.table))


def _told(model: type[models.Model], seals: list[Seal], write: Write, reader: Any) -> dict[int, Entry | Stated]:
    rows = _with_before(model, [seal.row for seal in seals])
    pairs = [(rows[seal.row], rows[seal.row].one_before) for seal in seals if seal.row in rows]
    by_row = {seal.row: seal.number for seal in seals}
    opened = open_entries(model, [row for row, _before in pairs], reader)
    readable = [pair for pair in pairs if pair[0].history_id in opened]
    changes = dict(zip((row.history_id for row, _before in readable), changes_told(model, readable), strict=True))
    return {
        by_row[row.history_id]: Entry(model, row.id, changes.get(row.history_id), by_row[row.history_id], write)
        for row, _before in pairs
    }


def _with_before(model: type[models.Model], keys: list[int]) -> dict[int, Any]:
    """Entries of a history by key, each with the entry of its record before it as ``one_before``. Two queries."""
    history = model.history  # type: ignore[attr-defined]
    earlier = (
        history.filter(id=OuterRef("id"))
        .filter(
            Q(history_date__lt=OuterRef("history_date"))
            | Q(history_date=OuterRef("history_date"), history_id__lt=OuterRef("history_id"))
        )
        .order_by("-history_date", "-history_id")
        .values("history_id")[:1]
    )
    rows = list(history.filter(history_id__in=keys).select_related("history_user").annotate(before=Subquery(earlier)))
    befores = history.in_bulk({row.before for row in rows} - {None})
    for row in rows:
        row.one_before = befores.get(row.before)
    return {row.history_id: row for row in rows}


def sizes(page: Sequence[Any], newest: int) -> list[int]:
    """How many entries each write of a page has."""
    return [(write.until or newest + 1) - write.number - 1 for write in page]
