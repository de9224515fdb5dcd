"""Specimens whose verdict changed in an assessment that found another name on them than the one before it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Determination
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    Linked,
    Parameter,
    ParameterKind,
    Question,
    Row,
    Rows,
)
from governance.audit.queries.changed_names import Renamed, renamed
from governance.audit.questions.addresses import specimen_link
from governance.audit.resolving import day_of
from governance.verdicts.models import Result, Run
from governance.verdicts.queries.history import changed_layers

_AT_ONCE: Final = 1_000

_COLUMNS: Final = (
    Column("specimen", gettext_lazy("Specimen"), ColumnKind.CODE),
    Column("before", gettext_lazy("Was called"), ColumnKind.TAXON),
    Column("after", gettext_lazy("Is called"), ColumnKind.TAXON),
    Column("identified_by", gettext_lazy("Determined by")), Column("identified_on", gettext_lazy("Determined on")),
    Column("entered_by", gettext_lazy("Entered by")),
    Column("entered_at", gettext_lazy("Entered"), ColumnKind.MOMENT),
    Column("strip_before", gettext_lazy("Verdicts before"), ColumnKind.STRIP),
    Column("strip_after", gettext_lazy("Verdicts after"), ColumnKind.STRIP),
    Column("layers", gettext_lazy("What changed")),
    Column("run", gettext_lazy("Assessed"), ColumnKind.MOMENT),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    found = renamed()
    if asked["from"] or asked["to"]:
        found = found.of_runs(_runs(asked))
    specimens = len(set(found.specimens))
    words = ngettext("%(n)s specimen changed verdict after it was determined anew.",
                     "%(n)s specimens changed verdict after they were determined anew.", specimens)  # fmt: skip
    return Answer(
        words % {"n": intcomma(specimens)} if specimens else _("No verdict changed after a determination."),
        _COLUMNS, _RenamedRows(found), total=specimens,
        notes=(_("An assessment and the one before it for the same specimen are held against each other: the name that "
                 "was judged differs, and so do the verdicts. Other facts may have changed in between as well."),),
    )  # fmt: skip


def _runs(asked: Asked) -> QuerySet[Run, int]:
    """The runs that ended in the period."""
    runs = Run.objects.filter(state=Run.State.DONE)
    if first := day_of(asked, "from"):
        runs = runs.filter(finished_at__gte=_midnight(first))
    if last := day_of(asked, "to"):
        runs = runs.filter(finished_at__lt=_midnight(last + timedelta(days=1)))
    return runs.values_list("pk", flat=True)


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


class _RenamedRows(Rows):
    """Rows whose keys are known: a page reads its own."""

    def __init__(self, found: Renamed) -> None:
        self._found = found

    def __len__(self) -> int:
        return len(self._found)

    def between(self, first: int, last: int) -> Sequence[Row]:
        keys, befores = self._found.results[first:last], self._found.befores[first:last]
        known: Any = Result.objects.select_related("specimen", "ruling", "run", "name").in_bulk({*keys, *befores})
        determined = _determinations([known[key] for key in keys])
        return [
            _row(one, known[before], determined.get((one.specimen_id, one.name_id)))
            for one, before in zip(map(known.get, keys), befores, strict=True)
        ]  # fmt: skip

    def __iter__(self) -> Iterator[Row]:
        for first in range(0, len(self), _AT_ONCE):
            yield from self.between(first, first + _AT_ONCE)


def _determinations(found: Sequence[Any]) -> dict[tuple[int, int], tuple[Model, Any]]:
    """The determination by which each specimen came to its name, with the entry that added it: two queries."""
    specimens = {one.specimen_id for one in found}
    rows = {row.pk: row for row in Determination.objects.filter(specimen__in=specimens).order_by("pk")}
    history: Any = Determination.history  # type: ignore[attr-defined]
    entries = history.filter(id__in=rows).select_related("history_user").order_by("-history_date", "-history_id")
    added = {entry.id: entry for entry in entries}  # the oldest entry stays
    return {(row.specimen_id, row.name_id): (row, added.get(key)) for key, row in rows.items()}


def _day_words(written: str) -> str:
    """A whole day as tables say it; what is vaguer, or no ISO 8601 date, as it was written."""
    try:
        return date_format(date.fromisoformat(written), "j M Y")
    except ValueError:
        return written


def _row(one: Any, before: Any, determined: tuple[Any, Any] | None) -> Row:
    determination, entry = determined or (None, None)
    user = entry.history_user if entry else None
    changes = changed_layers(before.ruling.strip, one.ruling.strip)
    told = "; ".join(f"{change.after.layer_name}: {change.before.word} → {change.after.word}" for change in changes)
    return Row(f"result:{one.pk}", (
        specimen_link(one.specimen), before.name.shown, one.name.shown,
        determination.identified_by if determination else "",
        _day_words(determination.date_identified) if determination else "",
        user.shown_name if user else "", entry.history_date if entry else None, before.ruling.strip, one.ruling.strip,
        told, Linked(one.run.finished_at, reverse("verdicts:run", args=[one.run_id])),
    ))  # fmt: skip


QUESTION: Final = Question(
    "changed-after-identification", Group.RECORDS,
    gettext_lazy("Which specimens changed verdict after they were determined anew?"),
    gettext_lazy("What each was called before and after, who determined it, and the verdicts of the assessments before "
                 "and after."),
    _answer,
    (Parameter("from", ParameterKind.DAY, gettext_lazy("Assessed from")),
     Parameter("to", ParameterKind.DAY, gettext_lazy("Assessed up to"))),
)  # fmt: skip
