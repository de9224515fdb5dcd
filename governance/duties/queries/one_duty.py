"""One duty for its page: what and to whom, why on that day, what became of it, and what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import F, QuerySet

from accessions.people.access import Verb, is_open_to, may
from accessions.people.changes import Change, changes_of
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import DutyLine, lines, with_state
from governance.duties.words import because_words
from governance.engine.duties import State
from governance.papers.models import Condition
from governance.papers.restriction import opens
from governance.scans.models import Scan

NIL_KINDS: Final = frozenset({DutyKind.REPORT, DutyKind.RETURN})
"""Kinds that are also owed where nothing was taken."""


def duty_of(pk: int) -> QuerySet[Duty]:
    """The duty with all that its page names: one query."""
    return Duty.objects.filter(pk=pk).select_related(
        "rule", "promise", "paper", "accession", "use", "plan", "assignee", "done_scan", "done_by", "accepted_scan",
        "accepted_by", "waived_by",
    )  # fmt: skip


@dataclass(frozen=True)
class Clause:
    """What the paper says, in its words."""

    text: str
    number: str = ""
    page: int | None = None


@dataclass(frozen=True)
class DutyPage:
    """A duty as one reader may see it. why: the sentence that says why it falls due on its day; "" where the paper is
    not open to the reader. next: "done", "accept" or "", the step that the reader may take."""

    line: DutyLine
    why: str
    clause: Clause | None
    next: str
    changes: list[Change]
    done_scan: Scan | None
    accepted_scan: Scan | None

    @property
    def duty(self) -> Duty:
        return self.line.duty


def duty_page(duty: Duty, reader: Any, today: date) -> DutyPage:
    """Three queries: the state, the history, and the condition where it follows from one."""
    (line,) = lines(list(with_state(duty_of(duty.pk), today)), reader)
    if line.hidden:
        return DutyPage(line, "", None, "", [], None, None)
    duty = line.duty
    if duty.paper is not None:
        opens(duty.paper, reader)
    return DutyPage(
        line, because_of(duty), clause_of(duty), next_step(line, reader), changes_of(Duty, id=duty.pk),
        _open(duty.done_scan, reader), _open(duty.accepted_scan, reader),
    )  # fmt: skip


def because_of(duty: Duty) -> str:
    """Why it falls due on its day. How long after is read from the rule where the reason does not hold it: it does not
    where the day that it is counted from is not known."""
    because = dict(duty.because or {})
    values = dict(because.get("values") or {})
    if duty.rule is not None and duty.rule.number and "number" not in values:
        values |= {"number": duty.rule.number, "unit": duty.rule.unit}
    if duty.accession_id or duty.use_id or duty.plan_id:
        values.pop("label", None)  # the page names it, with a link
    return because_words({**because, "values": values})


def _open(scan: Scan | None, reader: Any) -> Scan | None:
    return scan if scan is not None and is_open_to(reader, scan.open_to) else None


def next_step(line: DutyLine, reader: Any) -> str:
    """The one step that comes next, for who may take it."""
    if line.hidden or not may(reader, Verb.KEEP_DUTIES):
        return ""
    if line.is_open:
        return "done"
    return "accept" if line.state == State.DONE else ""


def clause_of(duty: Duty) -> Clause | None:
    """The clause that asks for it: of its rule, its promise, or the condition of the paper from which it follows."""
    for side in (duty.rule, duty.promise):
        if side is not None and side.clause:
            return Clause(side.clause, side.clause_number, side.page)
    return _condition(duty) if duty.rule_id is None and duty.promise_id is None else None


def _condition(duty: Duty) -> Clause | None:
    """Of yearly reports and notices, which stand with the conditions: "paper-5/report/01-31", "paper-5/notice/14"."""
    parts = duty.source.split("/")
    newest = F("version__in_force_from").desc(nulls_last=True)
    rows = Condition.objects.filter(version__paper=duty.paper_id).order_by(newest, "-version_id", "position")
    if len(parts) == 3 and parts[1] == "report":
        found = rows.filter(report_by=parts[2]).first()
    elif len(parts) == 3 and parts[1] == "notice" and parts[2].isdigit():
        found = rows.filter(notice_days=int(parts[2])).first()
    else:
        found = None
    return Clause(found.text, "", found.page) if found else None
