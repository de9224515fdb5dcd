"""Histories: every change of each record, whatever moment of the register was asked for; they tell what came when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession, Removal, SamplingEvent, Specimen
from accessions.people.bulk import among
from accessions.people.models import Seal
from governance.audit.bundle.frame import AT_ONCE, Bundle, Part
from governance.audit.bundle.verdict_part import MOST_PAGES
from governance.audit.queries.entries import RecordHistory, changes_told, kinds, record_history, writes_of
from governance.audit.queries.gates import open_entries
from governance.papers.models import Paper, PaperVersion
from governance.reports.models import Report

Model = type[models.Model]

_MOST_PAGES: Final[Mapping[Model, int]] = {Paper: 500, Accession: 500, Specimen: MOST_PAGES, Report: 1}
"""Up to so many records of a kind have a page each; of more, one table holds every change."""

_MOST_BELONGING: Final = 500
"""Records of one kind that are told with the record that they belong to."""

_OWN: Final[Mapping[Model, frozenset[str]]] = {
    Paper: frozenset({"paper", "earlier", "later"}),
    Accession: frozenset({"accession"}),
    Specimen: frozenset({"specimen", "pool", "member"}),
    Report: frozenset({"report"}),
    PaperVersion: frozenset({"version"}),
}
"""By which keys a record belongs to another, so that its history is told with it."""

_NOT_WITH: Final[Mapping[Model, frozenset[Model]]] = {Accession: frozenset({Specimen})}
"""What is told by itself, and not a second time with what it belongs to."""

_HEAD: Final = (
    "record", "key", "when", "who", "did", "why", "field", "before", "after", "page or command", "entry of the seal",
)  # fmt: skip


def add_histories(bundle: Bundle) -> None:
    """``history/``: a page a record, or one table where there are many."""
    words = _("Who changed what, when, from what to what, why, and from which page or command.")
    part, subject = bundle.part(_("Histories"), words), bundle.subject
    if bundle.known_at is not None:
        part.words += " " + _("They are whole: what was entered after the moment that was asked for is marked.")
    report = (subject.report.pk,) if subject.report is not None else ()
    wanted = ((Report, report), (Paper, subject.papers), (Accession, subject.accessions), (Specimen, subject.specimens))
    for of, keys in wanted:
        if len(keys) > _MOST_PAGES[of]:
            _add_table(bundle, part, of, keys)
        else:
            for number, key in enumerate(keys):
                bundle.step(_("Histories"), number, len(keys))
                _add_page(bundle, part, of, key)
    _add_removed(bundle, part)
    if bundle.closed_entries:
        said = ngettext(
            "%(n)s entry of a history: of a record that is open to some roles only.",
            "%(n)s entries of histories: of records that are open to some roles only.", bundle.closed_entries,
        )  # fmt: skip
        bundle.left_out.append(said % {"n": intcomma(bundle.closed_entries)})


# A page a record ------------------------------------------------------------------------------------------------------


def _add_page(bundle: Bundle, part: Part, of: Model, key: int) -> None:
    told = [one for kind, pk in _records(bundle, of, key) if (one := record_history(kind, pk, bundle.reader))]
    bundle.closed_entries += sum(one.closed for one in told)
    told = [one for one in told if one.closed < len(one.entries)]
    if not told:
        return
    called = told[0].name or str(key)
    name = bundle.packed.name_for("history", f"{of._meta.model_name}-{called}.html")
    bundle.page(name, "history", {"histories": told, "known_at": bundle.known_at, "title": _heading(told[0], called)})
    part.tell(name, _heading(told[0], called))


def _heading(history: RecordHistory, called: str) -> str:
    return f"{history.what[:1].upper()}{history.what[1:]} {called}"


def _records(bundle: Bundle, of: Model, key: int) -> Iterator[tuple[str, int]]:
    """The record, and the records that belong to it: their key in addresses and their own key."""
    yield of._meta.label_lower, key
    yield from _belonging(bundle, of, [key])
    if of is Paper:
        versions = _keys_of(PaperVersion, {"paper_id": key})
        yield from _belonging(bundle, PaperVersion, versions)
    if of is Specimen:
        for event in _keys_of(Specimen, {"id": key}, "event_id"):
            yield SamplingEvent._meta.label_lower, event


def _belonging(bundle: Bundle, of: Model, keys: Sequence[int]) -> Iterator[tuple[str, int]]:
    for kind, model in kinds().items():
        for relation in model._meta.concrete_fields:
            if relation.related_model is of and relation.name in _OWN[of] and model not in _NOT_WITH.get(of, ()):
                found = _keys_of(model, {f"{relation.attname}__in": keys})
                if len(found) > _MOST_BELONGING:
                    words = _("Histories of %(n)s more %(what)s; the pages of the register have them.")
                    many = {"n": intcomma(len(found) - _MOST_BELONGING), "what": model._meta.verbose_name_plural}
                    bundle.not_known.append(words % many)
                yield from ((kind, pk) for pk in found[:_MOST_BELONGING])


def _keys_of(model: Model, where: Mapping[str, Any], column: str = "id") -> list[int]:
    """Keys of records that ever matched, those that are gone too."""
    rows = model.history.filter(**where).order_by(column)  # type: ignore[attr-defined]
    return [key for key in rows.values_list(column, flat=True).distinct() if key is not None]


# One table ------------------------------------------------------------------------------------------------------------


def _add_table(bundle: Bundle, part: Part, of: Model, keys: Sequence[int]) -> None:
    name = f"history/{of._meta.model_name}s.csv"
    bundle.csv(name, _HEAD, _rows(bundle, of, keys))
    words = _("Every change of %(n)s %(what)s, in one table")
    part.tell(name, words % {"n": intcomma(len(keys)), "what": of._meta.verbose_name_plural})
    only = _("Of %(n)s %(what)s the history is one table of their own changes; what belongs to each (determinations, "
             "uses, decisions) has its history on the pages of the register.")  # fmt: skip
    bundle.not_known.append(only % {"n": intcomma(len(keys)), "what": of._meta.verbose_name_plural})


def _add_removed(bundle: Bundle, part: Part) -> None:
    """What stood in its accessions and was removed from the register, whenever that was: who took it out, and why."""
    if bundle.subject.kind == "specimen":
        return
    removed = Removal.objects.filter(among("accession", bundle.subject.accessions)).order_by("specimen")
    keys = sorted(set(removed.values_list("specimen", flat=True)) - set(bundle.subject.specimens))
    if not keys:
        return
    bundle.csv("history/removed-specimens.csv", _HEAD, _rows(bundle, Specimen, keys))
    words = ngettext(
        "Every change of %(n)s specimen of its accessions that was removed from the register, by whom and why",
        "Every change of %(n)s specimens of its accessions that were removed from the register, by whom and why",
        len(keys),
    )
    part.tell("history/removed-specimens.csv", words % {"n": intcomma(len(keys))})


def _rows(bundle: Bundle, of: Model, keys: Sequence[int]) -> Iterator[Sequence[Any]]:
    """A row a field that changed; of an entry without one, a row. By slices of records, each with all its entries."""
    for first in range(0, len(keys), AT_ONCE):
        bundle.step(_("Histories"), first, len(keys))
        some = keys[first : first + AT_ONCE]
        entries = of.history.filter(id__in=some).select_related("history_user")  # type: ignore[attr-defined]
        pairs = _pairs(list(entries.order_by("id", "history_date", "history_id")))
        opened = open_entries(of, [row for row, _before in pairs], bundle.reader)
        readable = [pair for pair in pairs if pair[0].history_id in opened]
        bundle.closed_entries += len(pairs) - len(readable)
        yield from _told(of, readable)


def _pairs(rows: Sequence[Any]) -> list[tuple[Any, Any]]:
    """Each entry with the one before it of the same record, None for the first."""
    befores = [None, *rows[:-1]]
    return [(row, old if old and old.id == row.id else None) for row, old in zip(rows, befores, strict=False)]


def _told(of: Model, pairs: list[tuple[Any, Any]]) -> Iterator[Sequence[Any]]:
    numbers = _numbers(of, [row.history_id for row, _before in pairs])
    writes = writes_of(numbers.values())
    changes = changes_told(of, pairs)
    for (row, _before), change in zip(pairs, changes, strict=True):
        number = numbers.get(row.history_id)
        write = writes.get(number) if number else None
        head = (_name(row), row.id, _moment(change.at), change.by, change.did, change.why)
        foot = (write.origin if write else "", number or _("not sealed"))
        for field in change.fields or (None,):
            yield *head, *((field.label, field.before, field.after) if field else ("", "", "")), *foot


def _numbers(of: Model, keys: Sequence[int]) -> dict[int, int]:
    """The place in the chain of entries of a history."""
    table = of.history.model._meta.db_table  # type: ignore[attr-defined]
    return dict(Seal.objects.filter(shape__table=table, row__in=keys).values_list("row", "number"))


def _name(row: Any) -> str:
    named = (getattr(row, name, "") for name in ("catalog_number", "reference", "number"))
    return next((str(text) for text in named if text), "")


def _moment(at: datetime) -> str:
    return timezone.localtime(at).isoformat(" ", "seconds")
