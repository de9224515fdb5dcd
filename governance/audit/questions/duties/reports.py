"""Which reports are due, late or sent, with the proof that they were sent."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.people.access import is_open_to
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import duty_link, paper_link, report_link, scan_link
from governance.audit.questions.telling import counted, day_words, days_after, sentences
from governance.audit.resolving import country_of, day_of, paper_of
from governance.duties.models import Duty, DutyHouse
from governance.duties.queries.listing import OPEN, DutyLine, Wanted, duties, lines
from governance.duties.queries.marks import is_behind
from governance.duties.queries.one_duty import NIL_KINDS
from governance.engine.duties import State
from governance.papers.models import Paper
from governance.reports.models import Report, ReportSending
from governance.reports.queries.listing import STATE_WORDS, state_of, visible
from governance.reports.queries.listing import Wanted as WantedReports
from governance.reports.queries.listing import reports as listed_reports

_YEAR: Final = 365

_COLUMNS: Final = (
    Column("what", gettext_lazy("Report")),
    Column("paper", gettext_lazy("Paper")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("due", gettext_lazy("Due on"), ColumnKind.DAY),
    Column("state", gettext_lazy("State")),
    Column("sent", gettext_lazy("Sent on"), ColumnKind.DAY),
    Column("proof", gettext_lazy("Proof of sending")),
    Column("report", gettext_lazy("Report here")),
    Column("about_from", gettext_lazy("About the time from"), ColumnKind.DAY),
    Column("about_to", gettext_lazy("to"), ColumnKind.DAY),
    Column("accepted", gettext_lazy("Accepted on"), ColumnKind.DAY),
    Column("who", gettext_lazy("Who sees to it")),
)

_LATE: Final = ngettext_lazy("%(n)s report is late", "%(n)s reports are late", "count")
_DUE: Final = ngettext_lazy("%(n)s is due", "%(n)s are due", "count")
_COMING: Final = ngettext_lazy("%(n)s comes later", "%(n)s come later", "count")
_NO_DAY: Final = ngettext_lazy("of %(n)s the day is not known", "of %(n)s the day is not known", "count")
_SENT: Final = ngettext_lazy("%(n)s was sent", "%(n)s were sent", "count")
_WAIVED: Final = ngettext_lazy("%(n)s was waived", "%(n)s were waived", "count")
_UNSENT: Final = ngettext_lazy("%(n)s was issued and not sent", "%(n)s were issued and not sent", "count")
_UNPROVED: Final = ngettext_lazy(
    "Of %(n)s that was sent no sending and no scan is named: its proof is told in words alone.",
    "Of %(n)s that were sent no sending and no scan is named: their proof is told in words alone.", "count",
)  # fmt: skip
_KEPT_DUTIES: Final = ngettext_lazy(
    "Of %(n)s report what is asked and how it was sent is for readers of its paper.",
    "Of %(n)s reports what is asked and how they were sent is for readers of their papers.", "count",
)  # fmt: skip
_KEPT_REPORTS: Final = ngettext_lazy(
    "%(n)s report about a paper that is not open to you is left out.",
    "%(n)s reports about papers that are not open to you are left out.", "count",
)  # fmt: skip


@dataclass(frozen=True)
class _Narrowed:
    """From which day to which, of which country and paper."""

    first: date
    last: date
    country: str
    paper: Paper | None


def answer(asked: Asked) -> Answer:
    """Duties to report with a day in the period, and reports that answer no duty: at most seven queries."""
    told = _Narrowed(
        day_of(asked, "from") or days_after(asked.on, -_YEAR), day_of(asked, "to") or days_after(asked.on, _YEAR),
        country_of(asked), paper_of(asked) if asked["paper"] else None,
    )  # fmt: skip
    found = _duties(told, asked)
    sendings = _sendings([one.duty for one in found], asked.reader)
    beside = [one for one in _beside(told, asked.reader) if one.pk not in _named(sendings)]
    of_beside = _sendings_of(beside)
    rows = [_row_of_duty(one, sendings.get(one.duty.pk, ()), asked.reader) for one in found]
    rows += [_row_of_report(one, of_beside.get(one.pk, ()), asked.reader) for one in beside]
    return Answer(
        sentence=_sentence(found, beside, told), columns=_COLUMNS, rows=ListedRows(rows),
        missing=tuple(_missing(found, sendings, asked)), kept_back=tuple(_kept_back(found, told, asked.reader)),
        notes=tuple(_notes()),
    )  # fmt: skip


# What is asked for ----------------------------------------------------------------------------------------------------


def _duties(told: _Narrowed, asked: Asked) -> list[DutyLine]:
    wanted = Wanted(state="all", country=told.country, paper=str(told.paper.pk) if told.paper else "")
    rows = duties(wanted, asked.reader, asked.on).filter(kind__in=NIL_KINDS, dropped_on__isnull=True)
    rows = rows.filter(Q(due_on__range=(told.first, told.last)) | (OPEN & Q(due_on__isnull=True)))
    return lines(list(rows.select_related("done_scan")), asked.reader)


def _sendings(found: Sequence[Duty], reader: Any) -> dict[int, list[ReportSending]]:
    """By duty the sendings that answer it, of reports that the reader may see: one query."""
    keys = [one.pk for one in found]
    rows = ReportSending.objects.filter(Q(duty__in=keys) | Q(report__duty__in=keys), voided_at__isnull=True)
    by_duty: dict[int, list[ReportSending]] = defaultdict(list)
    shown = rows.filter(report__in=visible(reader).values("pk")).select_related("report", "scan")
    for one in shown.defer("report__contents").order_by("sent_on", "pk"):
        by_duty[one.duty_id or one.report.duty_id or 0].append(one)
    return by_duty


def _named(sendings: Mapping[int, Iterable[ReportSending]]) -> set[int]:
    return {one.report_id for own in sendings.values() for one in own}


def _beside(told: _Narrowed, reader: Any) -> list[Report]:
    """Reports that were issued in the period, stand, and answer no duty."""
    rows = listed_reports(WantedReports(country=told.country), reader)
    rows = rows.filter(issued_at__date__range=(told.first, told.last), withdrawn_at__isnull=True, duty__isnull=True)
    rows = rows.filter(paper=told.paper) if told.paper else rows
    return list(rows.order_by(F("issued_at").asc(), "pk"))


def _sendings_of(reports: Sequence[Report]) -> dict[int, list[ReportSending]]:
    rows = ReportSending.objects.filter(report__in=[one.pk for one in reports], voided_at__isnull=True)
    found: dict[int, list[ReportSending]] = defaultdict(list)
    for one in rows.select_related("scan").order_by("sent_on", "pk") if reports else ():
        found[one.report_id].append(one)
    return found


# Rows -----------------------------------------------------------------------------------------------------------------


def _row_of_duty(line: DutyLine, sendings: Sequence[ReportSending], reader: Any) -> Row:
    duty = line.duty
    newest = sendings[-1] if sendings else None
    return Row(
        f"duty:{duty.pk}",
        (
            duty_link(duty, line.what), paper_link(duty.paper) if duty.paper else None, line.country, duty.due_on,
            str(line.state_name), newest.sent_on if newest else duty.done_on, _proof(line, newest, reader),
            report_link(newest.report) if newest else None, duty.about_from, duty.about_to, duty.accepted_on,
            duty.assignee.shown_name if duty.assignee else "",
        ),
    )  # fmt: skip


def _proof(line: DutyLine, sending: ReportSending | None, reader: Any) -> Cell:
    """The sending, else the scan of what proves it, else the words in which it is told."""
    if sending is not None:
        return _sending_words(sending, reader)
    if line.hidden:
        return line.hidden if line.duty.done_on else None
    scan = line.duty.done_scan
    return scan_link(scan) if scan is not None and is_open_to(reader, scan.open_to) else line.duty.done_how


def _sending_words(sending: ReportSending, reader: Any) -> Cell:
    words = f"{sending.to_whom}, {sending.how}: {sending.proof}"
    scan = sending.scan
    is_shown = scan is not None and is_open_to(reader, scan.open_to)
    return Linked(words, scan_link(scan).address) if scan is not None and is_shown else words


def _row_of_report(report: Any, sendings: Sequence[ReportSending], reader: Any) -> Row:
    newest = sendings[-1] if sendings else None
    return Row(
        f"report:{report.pk}",
        (
            str(report.get_kind_display()), paper_link(report.paper) if report.paper else None,
            report.country or (report.paper.jurisdiction[:2] if report.paper else ""), None,
            str(STATE_WORDS[state_of(report)]), newest.sent_on if newest else None,
            _sending_words(newest, reader) if newest else None, report_link(report), report.period_from,
            report.period_to, None, "",
        ),
    )  # fmt: skip


# What is said of it ---------------------------------------------------------------------------------------------------


def _sentence(found: Sequence[DutyLine], beside: Sequence[Any], told: _Narrowed) -> str:
    states = Counter(one.state for one in found)
    sent = states[State.DONE] + states[State.ACCEPTED] + sum(1 for one in beside if one.last_sent_on is not None)
    unsent = sum(1 for one in beside if one.last_sent_on is None)
    numbers = (
        (_LATE, states[State.LATE]), (_DUE, states[State.DUE]), (_COMING, states[State.COMING]),
        (_NO_DAY, states[State.DAY_NOT_KNOWN]), (_SENT, sent), (_WAIVED, states[State.WAIVED]), (_UNSENT, unsent),
    )  # fmt: skip
    words = in_a_list(counted(text, number) for text, number in numbers if number or text is _LATE)
    span = {"first": day_words(told.first), "last": day_words(told.last)}
    if not found and not beside:
        return _("No report is asked for between %(first)s and %(last)s, as far as duties are entered.") % span
    return sentences(f"{words[:1].upper()}{words[1:]}.", _("Asked: from %(first)s to %(last)s.") % span)


def _missing(found: Sequence[DutyLine], sendings: Mapping[int, Any], asked: Asked) -> Iterator[Missing]:
    sent = [one.duty for one in found if one.duty.done_on is not None and one.duty.pk not in sendings]
    unproved = sum(1 for one in sent if one.done_scan is None)
    if unproved:
        yield Missing(counted(_UNPROVED, unproved), unproved)
    if asked.known_at is None and is_behind():
        words = _("The register changed since the duties were worked out; some may be missing.")
        yield Missing(words, None, reverse("duties:duties"))


def _kept_back(found: Sequence[DutyLine], told: _Narrowed, reader: Any) -> Iterator[str]:
    hidden = sum(1 for one in found if one.hidden)
    if hidden:
        yield counted(_KEPT_DUTIES, hidden)
    issued = Report.objects.filter(issued_at__date__range=(told.first, told.last), withdrawn_at__isnull=True)
    closed = issued.exclude(pk__in=visible(reader).values("pk"))
    left_out = (closed.filter(paper=told.paper) if told.paper else closed).count()
    if left_out:
        yield counted(_KEPT_REPORTS, left_out)


def _notes() -> Iterator[str]:
    followed = DutyHouse.objects.values_list("follow_from", flat=True).first()
    if followed is not None:
        yield _("Duties are followed since %(day)s; what was due before is not known here.") % {
            "day": day_words(followed)
        }
    yield _(
        "The day for which it is asked decides what is late, due or to come; what is entered as done counts as sent, "
        "whatever that day. Proof: the sending of a report, else the scan of a receipt, else the words of whoever "
        "entered it."
    )


QUESTION: Final = Question(
    "reports-due", Group.DUTIES, gettext_lazy("Which reports are due, late or sent, and what proves it?"),
    gettext_lazy("Reports and returns that papers or the house ask for, each with its day, its state and the proof of "
                 "sending; and reports that were issued beside these."), answer,
    (
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country"),
                  help=gettext_lazy("To which it is owed; blank: any")),
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"), help=gettext_lazy("Its reference; blank: any")),
        Parameter("from", ParameterKind.DAY, gettext_lazy("From"), help=gettext_lazy("Blank: one year before")),
        Parameter("to", ParameterKind.DAY, gettext_lazy("To"), help=gettext_lazy("Blank: one year ahead")),
    ),
)  # fmt: skip
