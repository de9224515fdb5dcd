"""What was destroyed, consumed or lost, and whether the provider was told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    Missing,
    Parameter,
    ParameterKind,
    QueriedRows,
    Question,
    Row,
)
from governance.audit.questions.addresses import accession_link, duty_link, report_link, specimen_link, use_link
from governance.audit.questions.material_asked import ACCESSION, COUNTRY, PAPER, material_asked
from governance.audit.questions.telling import counted, day_words, sentences
from governance.audit.resolving import day_of
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import DutyLine, lines, with_state
from governance.reports.composing.uses import LOSES
from governance.reports.models import ReportKind, ReportSending
from governance.reports.queries.listing import visible
from governance.usedesk.deeds import Deed
from governance.usedesk.models import UseItem

_COLUMNS: Final = (
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
    Column("specimen", gettext_lazy("Specimen")),
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON),
    Column("accession", gettext_lazy("Accession")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("what", gettext_lazy("What became of it")),
    Column("amount", gettext_lazy("Taken")),
    Column("left", gettext_lazy("Left")),
    Column("entry", gettext_lazy("Entry")),
    Column("told", gettext_lazy("Was the provider told?")),
    Column("duty", gettext_lazy("Duty")),
    Column("report", gettext_lazy("Report")),
)

_LOST: Final = ngettext_lazy(
    "%(n)s specimen or part is on record as destroyed, used up, lost or damaged.",
    "%(n)s specimens and parts are on record as destroyed, used up, lost or damaged.", "count",
)  # fmt: skip
_TOLD: Final = ngettext_lazy(
    "Of %(n)s a notice or report to the provider was sent.", "Of %(n)s a notice or report to the provider was sent.",
    "count",
)  # fmt: skip
_COVERED: Final = ngettext_lazy(
    "Of %(n)s a report about its country and time was sent.",
    "Of %(n)s a report about their country and time was sent.", "count",
)  # fmt: skip
_OWED: Final = ngettext_lazy("Of %(n)s it is still to be told.", "Of %(n)s it is still to be told.", "count")
_NOT: Final = ngettext_lazy(
    "Of %(n)s no record says that the provider was told.", "Of %(n)s no record says that the provider was told.",
    "count",
)  # fmt: skip
_NO_RECORD: Final = ngettext_lazy(
    "For %(n)s specimen neither a notice nor a report to the provider is on file.",
    "For %(n)s specimens neither a notice nor a report to the provider is on file.", "count",
)  # fmt: skip
_UNSEEN: Final = ngettext_lazy(
    "%(n)s report to a provider that was sent is not open to you: whether it tells of it is not said here.",
    "%(n)s reports to providers that were sent are not open to you: whether they tell of it is not said here.", "count",
)  # fmt: skip
_TELLS: Final = frozenset({DutyKind.NOTICE, DutyKind.REPORT})
"""Duties by which somebody is told: who paid, or deposited what was left, told nobody yet."""

_KEPT: Final = ngettext_lazy(
    "Of %(n)s duty the words are for readers of its paper.",
    "Of %(n)s duties the words are for readers of their papers.", "count",
)  # fmt: skip


@dataclass(frozen=True)
class _Said:
    """What the provider was told of an entry, of material of one country. word: "told", "covered", "owed", "not"."""

    word: str
    words: str
    duty: DutyLine | None = None
    report: Any = None


@dataclass(frozen=True)
class _Telling:
    """Duties that follow from entries, and reports to providers that were sent. unseen: such reports that are not open
    to the reader."""

    duties: Mapping[int, Sequence[DutyLine]] = field(default_factory=dict)
    sendings: Sequence[ReportSending] = ()
    unseen: int = 0

    def of(self, use: int, on: date, country: str) -> _Said:
        """What is entered as done for this very entry comes first, then a report that covers its time."""
        own = self.duties.get(use, ())
        done = next((one for one in own if one.duty.kind in _TELLS and one.duty.done_on is not None), None)
        if done is not None and done.duty.done_on is not None:
            return _Said("told", _("Yes, on %(day)s") % {"day": day_words(done.duty.done_on)}, done)
        later = (one for one in self.sendings if one.sent_on >= on)  # what was sent before it cannot tell of it
        sent = next((one for one in later if _covers(one.report, on, country)), None)
        if sent is not None:
            told = {"day": day_words(sent.sent_on)}
            words = _("By a report about its country and time, sent on %(day)s") % told
            return _Said("covered", words, next(iter(own), None), sent.report)
        owed = next((one for one in own if one.duty.kind in _TELLS and one.is_open), None)
        if owed is not None:
            return _Said("owed", str(owed.state_name), owed)
        return _Said("not", _("No record says so"), next(iter(own), None))


def _covers(report: Any, on: date, country: str) -> bool:
    """Whether a report is about the country and a time with this day, and has its part on losses."""
    of = report.country or (report.paper.jurisdiction[:2] if report.paper else "")
    starts, ends = report.period_from or date.min, report.period_to or date.max
    return bool(country) and of == country and starts <= on <= ends and "losses" not in report.left_out


def answer(asked: Asked) -> Answer:
    """Specimens of entries that destroy, lose or use up, the newest first: a fixed number of queries."""
    first, last = day_of(asked, "from"), day_of(asked, "to")
    told = material_asked(asked)
    items = _items(told.material.items, first, last)
    telling = _telling(items, asked)
    counts = _counts(items, telling)
    total = sum(counts.values())
    hidden = sum(1 for own in telling.duties.values() for one in own if one.hidden)
    kept_back = [counted(words, n) for words, n in ((_KEPT, hidden), (_UNSEEN, telling.unseen if total else 0)) if n]
    return Answer(
        sentence=_sentence(total, counts, told.words), columns=_COLUMNS,
        rows=QueriedRows(_ordered(items), lambda found: [_row(one, telling, asked.reader) for one in found], total),
        missing=tuple(_missing(counts)), kept_back=tuple(kept_back),
        notes=(
            _("Told: a duty to give notice or report that follows from the entry is entered as done. A report counts "
              "if it was sent since that day, is about the country of the material and a time with that day, and has "
              "its part on what was used up and lost; whether it names the specimen is shown by its rows. What was "
              "lost or damaged and is still there counts, too."),
        ),
    )  # fmt: skip


def _items(items: QuerySet[UseItem], first: date | None, last: date | None) -> QuerySet[UseItem]:
    rows = items.filter(Q(use__deed__in=LOSES) | Q(is_used_up=True), use__voided_at__isnull=True)
    rows = rows.filter(use__on__gte=first) if first else rows
    return rows.filter(use__on__lte=last) if last else rows


def _ordered(items: QuerySet[UseItem]) -> QuerySet[UseItem]:
    rows = items.select_related("use", "specimen__name", "specimen__accession", "specimen__event")
    return rows.order_by("-use__on", "-use_id", "specimen__catalog_number", "pk")


def _telling(items: QuerySet[UseItem], asked: Asked) -> _Telling:
    """Four queries."""
    duties = with_state(Duty.objects.filter(use__in=items.order_by().values("use"), dropped_on__isnull=True), asked.on)
    own: dict[int, list[DutyLine]] = defaultdict(list)
    for one in lines(
        list(duties.select_related("paper", "promise", "assignee").order_by("due_on", "pk")), asked.reader
    ):
        own[one.duty.use_id or 0].append(one)
    kinds = (ReportKind.PROVIDER, ReportKind.BENEFITS)
    sent = ReportSending.objects.filter(
        voided_at__isnull=True, report__kind__in=kinds, report__withdrawn_at__isnull=True, sent_on__lte=asked.on,
    )  # fmt: skip
    ours = sent.filter(report__in=visible(asked.reader).values("pk"))
    found = list(ours.select_related("report__paper").defer("report__contents").order_by("sent_on", "pk"))
    unseen = sent.exclude(pk__in=ours.values("pk")).order_by().values("report").distinct().count()
    return _Telling(own, found, unseen)


def _counts(items: QuerySet[UseItem], telling: _Telling) -> dict[str, int]:
    """By what was told, how many specimens: one query, a row an entry and country."""
    found = dict.fromkeys(("told", "covered", "owed", "not"), 0)
    rows = items.order_by().values_list("use", "use__on", "specimen__event__country").annotate(n=Count("pk"))
    for use, on, country, number in rows:
        found[telling.of(use, on, country).word] += number
    return found


def _row(item: Any, telling: _Telling, reader: Any) -> Row:
    made, specimen = item.use, item.specimen
    said = telling.of(made.pk, made.on, specimen.event.country)
    return Row(
        f"use:{made.pk}:specimen:{specimen.pk}",
        (
            made.on, specimen_link(specimen), specimen.name.shown, accession_link(specimen.accession),
            specimen.event.country, _what(item), item.amount, item.left, use_link(made), said.words,
            duty_link(said.duty.duty, said.duty.what) if said.duty else None,
            report_link(said.report) if said.report else None,
        ),
    )  # fmt: skip


def _what(item: Any) -> str:
    if item.use.deed in LOSES and not (item.use.deed == Deed.LOSS and item.is_used_up):
        return str(Deed(item.use.deed).label)
    return _("Lost") if item.use.deed == Deed.LOSS else _("Used up")


def _sentence(total: int, counts: Mapping[str, int], words: str) -> str:
    if not total:
        nothing = _("Nothing is on record as destroyed, used up or lost of material %(words)s.") % {"words": words}
        return nothing if words else _("Nothing is on record as destroyed, used up or lost.")
    told = {"told": _TOLD, "covered": _COVERED, "owed": _OWED, "not": _NOT}
    return sentences(counted(_LOST, total), *(counted(told[key], number) for key, number in counts.items() if number))


def _missing(counts: Mapping[str, int]) -> Iterator[Missing]:
    if counts["not"]:
        yield Missing(counted(_NO_RECORD, counts["not"]), counts["not"])


QUESTION: Final = Question(
    "lost-or-consumed", Group.WHEREABOUTS,
    gettext_lazy("What was destroyed, consumed or lost, and was the provider told?"),
    gettext_lazy("Specimens and parts that are there no longer or were damaged, with the duty or the report by which "
                 "the provider was told."), answer,
    (
        COUNTRY, PAPER, ACCESSION,
        Parameter("from", ParameterKind.DAY, gettext_lazy("From"), help=gettext_lazy("Blank: from the first")),
        Parameter("to", ParameterKind.DAY, gettext_lazy("To"), help=gettext_lazy("Blank: up to the last")),
    ),
)  # fmt: skip
