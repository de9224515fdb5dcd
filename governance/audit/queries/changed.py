"""What changed since a day, over the histories of all kinds of records and over links that are dated by themselves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any, Final

from django.db.models import CharField, Count, F, Max, QuerySet, Value
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Accession, Delivery, Specimen
from accessions.people.history import CREATED, DELETED
from accessions.people.models import Agent, User
from accessions.sites.models import Site
from governance.audit.queries.entries import kinds
from governance.audit.queries.gates import open_entries, ways_to
from governance.papers.models import Paper, PaperLink, PaperScan
from governance.scans.models import Filing

NOBODY: Final = "0"
"""By nobody, such as a timer: as an address writes it."""

_DATED: Final[Mapping[str, tuple[Any, tuple[str, str], tuple[str, str]]]] = {
    "papers.paperlink": (PaperLink, ("linked_at", "linked_by"), ("unlinked_at", "unlinked_by")),
    "papers.paperscan": (PaperScan, ("filed_at", "filed_by"), ("taken_off_at", "taken_off_by")),
    "scans.filing": (Filing, ("filed_at", "filed_by"), ("taken_off_at", "taken_off_by")),
}  # fmt: skip
"""What keeps no history since it is dated by itself: when and by whom it was made and ended."""


@dataclass(frozen=True)
class Wanted:
    """since: its midnight on. until: as known then; None: all. kind: of ``kinds_that_change``, "" for all. people: keys
    of those who changed it; (): by nobody; None: whoever."""

    since: date
    until: datetime | None = None
    kind: str = ""
    people: tuple[int, ...] | None = None


@dataclass
class Tally:
    """How often one person changed records of one kind. user: None for nobody. of: by what was done."""

    kind: str
    user: int | None
    of: Counter[str] = field(default_factory=Counter)
    last: datetime | None = None

    @property
    def total(self) -> int:
        return sum(self.of.values())


def kinds_that_change() -> Mapping[str, str]:
    """Kinds of records by key, with what they are called in the language of the reader, in the order of these names."""
    models_of = {key: model for key, (model, *_dates) in _DATED.items()} | dict(kinds())
    named = {key: _capital(str(model._meta.verbose_name)) for key, model in models_of.items()}
    return dict(sorted(named.items(), key=lambda pair: pair[1].casefold()))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def tallies(wanted: Wanted) -> list[Tally]:
    """By kind and person: one query over all histories, each by the index of its moments."""
    parts = [part for key in kinds_that_change() for part in _entries(key, wanted)]
    grouped = [_grouped(part) for part in parts]
    found: dict[tuple[str, int | None], Tally] = {}
    for kind, user, did, n, last in grouped[0].union(*grouped[1:], all=True):
        one = found.setdefault((kind, user), Tally(kind, user))
        one.of[did] += n
        one.last = last if one.last is None else max(one.last, last)
    return list(found.values())


def _grouped(entries: QuerySet[Any]) -> QuerySet[Any]:
    by = entries.values_list("the_kind", "the_user", "the_did").order_by()
    found: QuerySet[Any] = by.annotate(n=Count("the_record"), last=Max("the_moment"))
    return found


def changes(wanted: Wanted) -> QuerySet[Any]:
    """Each change of one kind, newest first, as ``shown`` reads them."""
    first, *more = [part.order_by().values(*_COLUMNS) for part in _entries(wanted.kind, wanted)]
    found = first.union(*more, all=True) if more else first
    return found.order_by("-the_moment", "-the_entry")


_COLUMNS: Final = ("the_entry", "the_record", "the_moment", "the_did", "the_user", "the_reason")
"""Called so that none is the name of a column of some model."""


def _entries(key: str, wanted: Wanted) -> list[QuerySet[Any]]:
    """What was done to records of a kind: one query of its history, or one of what was made and one of what ended."""
    if key not in _DATED:
        history: Any = kinds()[key].history  # type: ignore[attr-defined]
        rows = history.all().annotate(
            the_entry=F("history_id"), the_record=F("id"), the_moment=F("history_date"), the_did=F("history_type"),
            the_user=F("history_user"), the_reason=F("history_change_reason"), the_kind=_text(key),
        )  # fmt: skip
        return [_within(rows, wanted, "history_date", "history_user")]
    model, *ends = _DATED[key]
    return [
        _within(_dated(model, key, at, by, did), wanted, at, by)
        for (at, by), did in zip(ends, (CREATED, DELETED), strict=True)
    ]  # fmt: skip


def _dated(model: Any, key: str, at: str, by: str, did: str) -> QuerySet[Any]:
    found: QuerySet[Any] = model.objects.annotate(
        the_entry=F("pk"), the_record=F("pk"), the_moment=F(at), the_did=_text(did), the_user=F(by),
        the_reason=_text(""), the_kind=_text(key),
    )  # fmt: skip
    return found


def _text(value: str) -> Value:
    return Value(value, output_field=CharField())


def _within(rows: Any, wanted: Wanted, at: str, by: str) -> QuerySet[Any]:
    rows = rows.filter(**{f"{at}__gte": timezone.make_aware(datetime.combine(wanted.since, time.min))})
    if wanted.until is not None:
        rows = rows.filter(**{f"{at}__lte": wanted.until})
    if wanted.people is None:
        return rows  # type: ignore[no-any-return]
    condition = {f"{by}__in": wanted.people} if wanted.people else {f"{by}__isnull": True}
    return rows.filter(**condition)  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Shown:
    """A change for a reader. is_open: whether more may be told than that it was made. owner: the record that it belongs
    to, such as the paper of a version."""

    key: str
    record: int
    at: datetime
    did: str
    by: str
    why: str
    name: str
    owner: str
    owner_address: str
    is_open: bool
    has_history: bool


_NAMING: Final = ("entry_number", "reference", "number", "letter", "catalog_number", "code", "title", "name", "form",
                  "username")  # fmt: skip
_PAGES: Final = {
    Specimen: ("catalog_number", "verdicts:specimen"), Paper: ("reference", "papers:paper"),
    Accession: ("number", "material:accession"), Site: ("code", "sites:site"), Agent: ("name", "people:agent"),
    Delivery: ("entry_number", ""),
}  # fmt: skip
"""Records to which others belong: the column by which they are called, and the page of one."""


def shown(kind: str, found: Sequence[Mapping[str, Any]], reader: Any) -> list[Shown]:
    """Changes as a reader may see them: some queries for each slice, whatever its length."""
    model: Any = _DATED[kind][0] if kind in _DATED else kinds()[kind]
    rows = _rows(model, kind, found)
    opened = open_entries(model, list(rows.values()), reader)
    names = {user.pk: user.shown_name for user in User.objects.filter(pk__in={one["the_user"] for one in found})}
    owners = _owners(model, list(rows.values()))
    return [
        _shown(kind, one, rows.get(one["the_entry"]), one["the_entry"] in opened, names.get(one["the_user"], ""),
               owners.get(one["the_entry"], ("", "")))
        for one in found
    ]  # fmt: skip


def _rows(model: Any, kind: str, found: Sequence[Mapping[str, Any]]) -> dict[int, Any]:
    keys = {one["the_entry"] for one in found}
    if kind in _DATED:
        rows = model.objects.in_bulk(keys)
        for row in rows.values():
            row.history_id = row.pk
        return dict(rows)
    return {row.history_id: row for row in model.history.filter(history_id__in=keys)}


def _shown(
    kind: str, one: Mapping[str, Any], row: Any, is_open: bool, by: str, owner: tuple[str, str]
) -> Shown:  # fmt: skip
    name = next((str(text) for column in _NAMING if (text := getattr(row, column, ""))), "") if is_open else ""
    return Shown(
        key=f"{kind}:{one['the_entry']}:{one['the_did']}", record=one["the_record"], at=one["the_moment"],
        did=one["the_did"], by=by,
        why=one["the_reason"] or "", name=name or f"#{one['the_record']}", owner=owner[0] if is_open else "",
        owner_address=owner[1] if is_open else "", is_open=is_open, has_history=kind not in _DATED,
    )  # fmt: skip


def _owners(model: Any, rows: Sequence[Any]) -> dict[int, tuple[str, str]]:
    """What each row belongs to, with its page: the first of ``_PAGES`` to which a key leads, in few steps."""
    found: dict[int, tuple[str, str]] = {}
    for owner, (column, page) in _PAGES.items():
        for way in ways_to(model, owner) if model is not owner else ():
            for key, called in _owned(model, rows, way, column).items():
                address = reverse(page, args=[called[0]]) if page else ""
                found.setdefault(key, (str(called[1]), address))
    return found


def _owned(model: Any, rows: Sequence[Any], way: str, column: str) -> dict[int, tuple[int, str]]:
    first, _, rest = way.partition("__")
    keys = {row.history_id: key for row in rows if (key := getattr(row, f"{first}_id", None)) is not None}
    holder: Any = model._meta.get_field(first).related_model
    path = f"{rest}__" if rest else ""
    wanted = holder._base_manager.filter(pk__in=set(keys.values())).values_list("pk", f"{path}pk", f"{path}{column}")
    called = {pk: (owner, text) for pk, owner, text in wanted if text} if keys else {}
    return {entry: called[key] for entry, key in keys.items() if key in called}
