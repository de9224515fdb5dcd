"""Specimens whose verdict changed in an assessment that found another name on them than the one before it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any, Final

from django.db.models import Count, F, Model, OuterRef, QuerySet, Subquery
from django.urls import reverse
from django.utils import timezone
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
    QueriedRows,
    Question,
    Row,
)
from governance.audit.questions.addresses import specimen_link
from governance.audit.resolving import day_of
from governance.verdicts.models import Result, Run
from governance.verdicts.queries.history import changed_layers

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
    found = changed_with_name(asked)
    count = found.count()
    specimens = found.order_by().aggregate(n=Count("specimen", distinct=True))["n"] if count else 0
    words = ngettext("%(n)s specimen changed verdict after it was determined anew.",
                     "%(n)s specimens changed verdict after they were determined anew.", specimens)  # fmt: skip
    return Answer(
        words % {"n": f"{specimens:,}"} if specimens else _("No verdict changed after a determination."),
        _COLUMNS, QueriedRows(found.select_related("specimen", "ruling", "run", "name"), _rows, count), total=specimens,
        notes=(_("An assessment and the one before it for the same specimen are held against each other: the name that "
                 "was judged differs, and so do the verdicts. Other facts may have changed in between as well."),),
    )  # fmt: skip


def changed_with_name(asked: Asked) -> QuerySet[Any]:
    """Results that differ from the one before them in name and verdicts: with ``name_before``, ``strip_before``.

    Only specimens with more than one result are looked at: their count is one walk of the index of specimens.
    """
    done = Result.objects.filter(run__state=Run.State.DONE)
    several = Result.objects.order_by().values("specimen").annotate(n=Count("pk")).filter(n__gt=1).values("specimen")
    earlier = done.filter(specimen=OuterRef("specimen"), run__lt=OuterRef("run")).order_by("-run")
    found = done.filter(specimen__in=several, **_period(asked)).annotate(
        name_before=Subquery(earlier.values("name")[:1]), strip_before=Subquery(earlier.values("ruling__strip")[:1]),
        called_before=Subquery(earlier.values("name__shown")[:1]),
    )  # fmt: skip
    changed = found.exclude(name_before=F("name")).exclude(strip_before=F("ruling__strip"))
    return changed.filter(name_before__isnull=False).order_by("-run", "-pk")


def _period(asked: Asked) -> dict[str, Any]:
    period: dict[str, Any] = {}
    if first := day_of(asked, "from"):
        period["run__finished_at__gte"] = timezone.make_aware(datetime.combine(first, time.min))
    if last := day_of(asked, "to"):
        period["run__finished_at__lt"] = timezone.make_aware(datetime.combine(last + timedelta(days=1), time.min))
    return period


def _rows(found: Sequence[Any]) -> list[Row]:
    determined = _determinations(found)
    return [_row(one, determined.get((one.specimen_id, one.name_id))) for one in found]


def _determinations(found: Sequence[Any]) -> dict[tuple[int, int], tuple[Model, Any]]:
    """The determination by which each specimen came to its name, with the entry that added it: two queries."""
    specimens = {one.specimen_id for one in found}
    rows = {row.pk: row for row in Determination.objects.filter(specimen__in=specimens).order_by("pk")}
    history: Any = Determination.history  # type: ignore[attr-defined]
    entries = history.filter(id__in=rows).select_related("history_user").order_by("-history_date", "-history_id")
    added = {entry.id: entry for entry in entries}  # the oldest entry stays
    return {(row.specimen_id, row.name_id): (row, added.get(key)) for key, row in rows.items()}


def _row(one: Any, determined: tuple[Any, Any] | None) -> Row:
    determination, entry = determined or (None, None)
    user = entry.history_user if entry else None
    changes = changed_layers(one.strip_before, one.ruling.strip)
    told = "; ".join(f"{change.after.layer_name}: {change.before.word} → {change.after.word}" for change in changes)
    return Row(f"result:{one.pk}", (
        specimen_link(one.specimen), one.called_before, one.name.shown,
        determination.identified_by if determination else "", determination.date_identified if determination else "",
        user.shown_name if user else "", entry.history_date if entry else None, one.strip_before, one.ruling.strip,
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
