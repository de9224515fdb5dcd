"""What changed in the register since a day: by kind of record and person, and each change of one kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final
from urllib.parse import urlencode

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.history import CHANGED, CREATED, DELETED
from accessions.people.models import User
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Parameter,
    ParameterKind,
    QueriedRows,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.queries.changed import NOBODY, Shown, Tally, Wanted, changes, kinds_that_change, shown, tallies
from governance.audit.questions.records.overruled import people_named
from governance.audit.resolving import day_of

_KEY: Final = "changed-since"
_USUAL: Final = timedelta(days=30)
_DID: Final = {CREATED: gettext_lazy("added"), CHANGED: gettext_lazy("changed"), DELETED: gettext_lazy("removed")}

_COLUMNS: Final = (
    Column("kind", gettext_lazy("Kind of record")), Column("by", gettext_lazy("By whom")),
    Column("changes", gettext_lazy("Changes"), ColumnKind.NUMBER),
    Column("added", gettext_lazy("Added"), ColumnKind.NUMBER),
    Column("changed", gettext_lazy("Changed"), ColumnKind.NUMBER),
    Column("removed", gettext_lazy("Removed"), ColumnKind.NUMBER),
    Column("last", gettext_lazy("Newest"), ColumnKind.MOMENT),
)  # fmt: skip

_EACH_COLUMNS: Final = (
    Column("at", gettext_lazy("When"), ColumnKind.MOMENT), Column("did", gettext_lazy("What was done")),
    Column("record", gettext_lazy("Record")), Column("of", gettext_lazy("Of")), Column("by", gettext_lazy("By whom")),
    Column("why", gettext_lazy("Why")),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    wanted = _wanted(asked)
    return _each(asked, wanted) if wanted.kind else _summary(asked, wanted)


def _wanted(asked: Asked) -> Wanted:
    since = day_of(asked, "since") or asked.on - _USUAL
    if asked["kind"] and asked["kind"] not in kinds_that_change():
        words = _("“%(text)s” is no kind of record; choose one of the list.")
        raise UnknownValueError("kind", words % {"text": asked["kind"]})
    people = None
    if asked["by"]:
        people = () if asked["by"] == NOBODY else tuple(people_named(asked, "by").values_list("pk", flat=True))
    return Wanted(since, asked.known_at, asked["kind"], people)


def _summary(asked: Asked, wanted: Wanted) -> Answer:
    found = tallies(wanted)
    names = _names({one.user for one in found})
    rows = [_tally(one, names, wanted.since) for one in sorted(found, key=lambda one: (-one.total, one.kind))]
    total, people = sum(one.total for one in found), len({one.user for one in found} - {None})
    words = ngettext("%(n)s change since %(day)s, by %(people)s.", "%(n)s changes since %(day)s, by %(people)s.", total)
    by = ngettext("%(n)d person", "%(n)d people", people) % {"n": people}
    told = {"n": intcomma(total), "day": _day(wanted.since), "people": by}
    sentence = words % told if total else _("Nothing changed since %(day)s.") % told
    return Answer(sentence, _COLUMNS, ListedRows(rows), notes=_notes(), total=total)


def _names(users: set[int | None]) -> dict[int | None, tuple[str, str]]:
    """What people are called, and what they sign in with."""
    found = User.objects.filter(pk__in=[user for user in users if user is not None]).only(
        "username", "first_name", "last_name"
    )
    return {user.pk: (user.shown_name, user.username) for user in found} | {None: (_("the register"), NOBODY)}


def _tally(one: Tally, names: dict[int | None, tuple[str, str]], since: date) -> Row:
    name, username = names.get(one.user, (_("somebody who is gone"), ""))
    query = {"since": since.isoformat(), "kind": one.kind, "by": username}
    changes: Cell = (
        Linked(one.total, f"{reverse('audit:ask', args=[_KEY])}?{urlencode(query)}") if username else one.total
    )
    return Row(f"{one.kind}:{one.user or 0}", (
        kinds_that_change()[one.kind], name, changes, one.of[CREATED], one.of[CHANGED], one.of[DELETED], one.last,
    ))  # fmt: skip


def _each(asked: Asked, wanted: Wanted) -> Answer:
    found: QuerySet[Any] = changes(wanted)
    count = found.count()
    words = ngettext("%(n)s change of the kind “%(kind)s” since %(day)s.",
                     "%(n)s changes of the kind “%(kind)s” since %(day)s.", count)  # fmt: skip
    told = {"n": intcomma(count), "kind": kinds_that_change()[wanted.kind], "day": _day(wanted.since)}
    rows = _Made(wanted.kind, asked.reader)
    return Answer(words % told, _EACH_COLUMNS, QueriedRows(found, rows, count), notes=_notes())


@dataclass(frozen=True)
class _Made:
    """Makes rows of the changes of one kind for a reader."""

    kind: str
    reader: Any

    def __call__(self, found: Sequence[Any]) -> Sequence[Row]:
        return [self._row(one) for one in shown(self.kind, found, self.reader)]

    def _row(self, one: Shown) -> Row:
        address = reverse("audit:history", args=[self.kind, one.record]) if one.has_history else ""
        record: Cell = Linked(one.name, address) if address and one.is_open else one.name
        of: Cell = Linked(one.owner, one.owner_address) if one.owner_address else one.owner
        why = one.why if one.is_open else _("not open to you")
        return Row(one.key, (one.at, str(_DID[one.did]), record, of, one.by or _("the register"), why))


def _day(day: date) -> str:
    return date_format(day, "j F Y")


def _notes() -> tuple[str, ...]:
    return (
        _("Counted are the entries of the histories of all kinds of records, and links and filings as they were made "
          "and ended; not the verdicts of assessments, which stand under Assessments."),
        _("Of records whose paper or scan is not open to you, only that they changed is told."),
    )  # fmt: skip


QUESTION: Final = Question(
    _KEY, Group.RECORDS, gettext_lazy("What changed in the register since a day, and by whom?"),
    gettext_lazy("How many changes of each kind of record each person made; each number leads to the changes "
                 "themselves, and they to the history of the record."),
    _answer,
    (
        Parameter("since", ParameterKind.DAY, gettext_lazy("Since"),
                  help=gettext_lazy("Blank: thirty days back. That day counts.")),
        Parameter("kind", ParameterKind.CHOICE, gettext_lazy("Kind of record"),
                  choices=tuple(kinds_that_change().items())),
        Parameter("by", ParameterKind.AGENT, gettext_lazy("By whom"),
                  help=gettext_lazy("A name; 0: by nobody, such as a timer.")),
    ),
)  # fmt: skip
