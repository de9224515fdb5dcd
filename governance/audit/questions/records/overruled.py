"""Who put a decision beside a computed verdict, why, what the system said then and what it says now."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.models import User
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    Parameter,
    ParameterKind,
    QueriedRows,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.questions.addresses import specimen_link
from governance.audit.resolving import day_of, specimen_of
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.verdicts.models import COUNTING, Override

_COLUMNS: Final = (
    Column("specimen", gettext_lazy("Specimen"), ColumnKind.CODE), Column("layer", gettext_lazy("Layer")),
    Column("computed", gettext_lazy("The register said"), ColumnKind.VERDICT),
    Column("decided", gettext_lazy("Decided"), ColumnKind.VERDICT), Column("reason", gettext_lazy("Why")),
    Column("by", gettext_lazy("By whom")), Column("at", gettext_lazy("When"), ColumnKind.MOMENT),
    Column("now", gettext_lazy("It says now"), ColumnKind.VERDICT),
    Column("review", gettext_lazy("Second person")),
    Column("withdrawn", gettext_lazy("Withdrawn"), ColumnKind.MOMENT),
    Column("withdrawn_by", gettext_lazy("Withdrawn by")), Column("withdrawn_why", gettext_lazy("Withdrawn because")),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    found = Override.objects.filter(_wanted(asked))
    count, standing = found.count(), found.filter(COUNTING).count()
    shown = found.select_related("specimen__standing__ruling", "decided_by", "withdrawn_by", "reviewed_by")
    return Answer(
        _sentence(count, standing), _COLUMNS, QueriedRows(shown.order_by("-decided_at", "-pk"), _rows, count),
        notes=(_("A decision stands beside the computed verdict, which is kept and worked out again with every "
                 "assessment: “it says now” is what the newest one found."),),
    )  # fmt: skip


def _wanted(asked: Asked) -> Q:
    wanted = Q(specimen=specimen_of(asked)) if asked["specimen"] else Q()
    if asked["layer"]:
        wanted &= Q(layer=_layer(asked["layer"]))
    if first := day_of(asked, "from"):
        wanted &= Q(decided_at__gte=_midnight(first))
    if last := day_of(asked, "to"):
        wanted &= Q(decided_at__lt=_midnight(last + timedelta(days=1)))
    return wanted & Q(decided_by__in=people_named(asked, "by")) if asked["by"] else wanted


def _layer(code: str) -> int:
    if code not in {str(int(layer)) for layer in Layer}:
        raise UnknownValueError("layer", _("“%(text)s” is no layer; choose one of the list.") % {"text": code})
    return int(code)


def _midnight(day: Any) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def people_named(asked: Asked, key: str) -> QuerySet[User]:
    """The people who sign in and are recorded as an agent (by its key or name), or sign in under a name.

    Raises:
        UnknownValueError: nobody is.
    """
    text = asked[key]
    agent = Q(agent__name=text) | (Q(agent=int(text)) if text.isascii() and text.isdigit() and len(text) < 19 else Q())
    first, _space, rest = text.partition(" ")
    found = User.objects.filter(agent | Q(username=text) | Q(first_name=first, last_name=rest))
    if not found:
        words = _("Nobody who signs in is called “%(text)s”: write a name to sign in with, a full name, or the key of "
                  "the agent that a person is recorded as.")  # fmt: skip
        raise UnknownValueError(key, words % {"text": text})
    return found


def _sentence(count: int, standing: int) -> str:
    if not count:
        return _("Nobody overruled a verdict here.")
    words = ngettext("%(n)s decision was put beside a computed verdict; still standing: %(standing)s.",
                     "%(n)s decisions were put beside computed verdicts; still standing: %(standing)s.",
                     count)  # fmt: skip
    return words % {"n": intcomma(count), "standing": intcomma(standing)}


def _rows(found: Sequence[Override]) -> list[Row]:
    return [_row(one) for one in found]


def _row(one: Override) -> Row:
    standing = getattr(one.specimen, "standing", None)
    now = int(standing.ruling.strip[one.layer]) if standing else None
    gone = one.withdrawn_by.shown_name if one.withdrawn_by else ""
    return Row(f"override:{one.pk}", (
        specimen_link(one.specimen), str(LAYER_NAMES[Layer(one.layer)]), one.computed, one.decided, one.reason,
        one.decided_by.shown_name, one.decided_at, now, _review(one), one.withdrawn_at, gone, one.withdrawn_reason,
    ))  # fmt: skip


def _review(one: Override) -> str:
    if one.reviewed_by is not None:
        return _("%(who)s agreed: %(note)s") % {"who": one.reviewed_by.shown_name, "note": one.review_note}
    return _("waits: it does not count yet") if one.waits else ""


QUESTION: Final = Question(
    "overruled", Group.RECORDS, gettext_lazy("Who overruled a verdict, why, and what did the register say before?"),
    gettext_lazy("Every decision beside a computed verdict, with the reason, what was computed on that day and what is "
                 "computed now; also those that were withdrawn."),
    _answer,
    (
        Parameter("specimen", ParameterKind.SPECIMEN, gettext_lazy("Specimen")),
        Parameter("layer", ParameterKind.CHOICE, gettext_lazy("Layer"),
                  choices=tuple((str(int(layer)), name) for layer, name in LAYER_NAMES.items())),
        Parameter("by", ParameterKind.AGENT, gettext_lazy("By whom"), help=gettext_lazy("A name")),
        Parameter("from", ParameterKind.DAY, gettext_lazy("Decided from")),
        Parameter("to", ParameterKind.DAY, gettext_lazy("Decided up to")),
    ),
)  # fmt: skip
