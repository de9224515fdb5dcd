"""Tables without a history: by which rule each of them is as it was. Complete over all models; a test holds it so.

Most say themselves when something was done: a link has the time at which it was made and that at which it ended.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from django.apps import apps
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from governance.audit.clocks import tables
from governance.audit.clocks.moments import literal
from governance.audit.clocks.tables import original, quote


@dataclass(frozen=True)
class Rule:
    """where: which rows were there then; "" for all. columns: what a column said then, as SQL; the others are as they
    are. ``:m`` is the moment, ``:d`` its day, ``main.`` stands before a table of now. not_kept: what the past is not
    kept of, in words for people. later: which rows were not there then, in a way that an index answers; "": all others
    than ``where``."""

    where: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    not_kept: str | Promise = ""
    later: str = ""


def _written(at: str) -> Rule:
    """Written once, with its time."""
    return Rule(f"{at} <= :m")


def _dated(at: str, ended: str, *others: str, why: str = "") -> Rule:
    """Made at a time, and ended at a time or not yet. others: columns of the end that are null before it."""
    columns = {name: f"CASE WHEN {ended} > :m THEN NULL ELSE {name} END" for name in (ended, *others)}
    if why:
        columns[why] = f"CASE WHEN {ended} > :m THEN '' ELSE {why} END"
    return Rule(f"{at} <= :m", columns)


def _of(key: str, parent: str, where: str = "") -> Rule:
    """A part of something: there if that was there."""
    return Rule(f"{key} IN (SELECT id FROM {parent}{f' WHERE {where}' if where else ''})")


AS_NOW: Final = Rule()
"""Known by the hash of its content and never changed, or no record at all."""

_DONE_LATER: Final = "CASE WHEN finished_at > :m THEN {early} ELSE {column} END"
_RUN: Final = Rule(
    "asked_at <= :m",
    {
        "state": "CASE WHEN finished_at > :m THEN CASE WHEN started_at <= :m THEN 'running' ELSE 'waiting' END "
                 "ELSE state END",
        "started_at": "CASE WHEN started_at > :m THEN NULL ELSE started_at END",
        "finished_at": _DONE_LATER.format(early="NULL", column="finished_at"),
        **{column: _DONE_LATER.format(early="0", column=column) for column in ("judged", "changed", "progress")},
    },
)  # fmt: skip

RULES: Final[Mapping[str, Rule]] = {
    "people.SignInFailure": AS_NOW,
    "people.Write": AS_NOW,
    "people.SealShape": AS_NOW,
    "people.Seal": AS_NOW,
    "people.SealHead": AS_NOW,
    "people.PersonalSalt": AS_NOW,
    "names.WrittenName": Rule(not_kept=_("The place of a name in the classification is shown as it is now.")),
    "material.Touch": Rule("at <= :m"),
    "material.Removal": _written("removed_at"),
    "intake.ColumnChoice": AS_NOW,
    "scans.ScanPage": Rule(
        "scan_id IN (SELECT id FROM scans_scan)",
        not_kept=_("The words on the pages of scans are those that the register reads there now."),
        later="scan_id IN (SELECT id FROM main.scans_scan WHERE id NOT IN (SELECT id FROM scans_scan))",
    ),
    "scans.Filing": _dated("filed_at", "taken_off_at", "taken_off_by_id", why="taken_off_why"),
    "scans.Upload": AS_NOW,
    "papers.PaperLink": _dated("linked_at", "unlinked_at", "unlinked_by_id", why="unlinked_why"),
    "papers.PaperScan": _dated("filed_at", "taken_off_at", "taken_off_by_id", why="taken_off_why"),
    "papers.ReceivedFile": _dated("received_at", "taken_at", "taken_by_id"),
    "papers.AcceptedOffer": _written("accepted_at"),
    "plans.PlanPaper": _dated("linked_at", "unlinked_at", "unlinked_by_id", why="unlinked_why"),
    "plans.PlanVersion": _written("kept_at"),
    "plans.PlanSignOff": _dated("signed_at", "withdrawn_at", "withdrawn_by_id", why="withdrawn_why"),
    "usedesk.ScanLine": _written("read_at"),
    "duties.DutyRun": _written("at"),
    "duties.CalendarAddress": _dated("made_at", "ended_at", "ended_by_id"),
    "duties.ReminderSent": Rule('"on" <= :d'),
    "reports.ReportTable": Rule(
        "report_id IN (SELECT id FROM reports_report WHERE issued_at IS NOT NULL)",
        not_kept=_("Of a report that was a draft then, the tables are not kept."),
    ),
    "reports.ReportChunk": _of("table_id", "reports_reporttable"),
    "reports.ReportFile": _of("report_id", "reports_report", "issued_at IS NOT NULL"),
    "reports.ShareVisit": _written("at"),
    "verdicts.Run": _RUN,
    "verdicts.RunSeal": AS_NOW,
    "verdicts.Outcome": AS_NOW,
    "verdicts.OutcomePaper": AS_NOW,
    "verdicts.OutcomeFinding": AS_NOW,
    "verdicts.Ruling": AS_NOW,
    "verdicts.RulingLayer": AS_NOW,
    "verdicts.Result": Rule(
        "run_id IN (SELECT id FROM verdicts_run WHERE state = 'done')",
        later="run_id IN (SELECT id FROM main.verdicts_run WHERE state <> 'done' OR finished_at > :m)",
    ),
    "audit.SealCheck": _written("checked_at"),
    "audit.Opening": _written("opened_at"),
    "audit.AnswerTaken": AS_NOW,
    "audit.EvidenceBundle": AS_NOW,
    "audit.QualityCount": Rule('"on" <= :d'),
}
"""By label of the model."""

COMPUTED: Final = frozenset({"verdicts.Standing"})
"""Worked out from the others, last of all (``standing``)."""


def not_kept() -> tuple[str, ...]:
    """Of what the past is not kept, one sentence each: what an answer as known cannot know."""
    general = _("Who may read a restricted paper or scan is always decided by the restrictions of today.")
    return (*(str(rule.not_kept) for rule in RULES.values() if rule.not_kept), str(general))


def put_by_rule(label: str, moment: datetime) -> None:
    """Let a table without a history be as it was at the moment. What its rule reads is in place already."""
    model, rule = apps.get_model(label), RULES[label]
    if _differs(model._meta.db_table, rule, moment):
        values = [_at(rule.columns.get(name, quote(name)), moment) for name in tables.columns_of(model)]
        told, where = ", ".join(_named(model, values)), _at(rule.where, moment)
        tables.put_query_in_front(model, f"SELECT {told} FROM {original(model._meta.db_table)} WHERE {where}")


def _named(model: type, values: list[str]) -> Iterator[str]:
    for name, value in zip(tables.columns_of(model), values, strict=True):
        yield value if value == quote(name) else f"{value} AS {quote(name)}"


def _differs(table: str, rule: Rule, moment: datetime) -> bool:
    """Whether some row was not there then, or said something else."""
    ends = [name for name, sql in rule.columns.items() if f"WHEN {name} > :m" in sql]
    conditions = [rule.later or f"NOT ({rule.where})", *(f"{name} > :m" for name in ends)]
    condition = _at(" OR ".join(conditions), moment)
    ((found,),) = tables.rows(f"SELECT EXISTS (SELECT 1 FROM {original(table)} WHERE {condition})")
    return bool(found)


def _at(sql: str, moment: datetime) -> str:
    day = timezone.localtime(moment, timezone.get_default_timezone()).date()
    schema = original("").removesuffix(quote(""))
    return sql.replace(":m", literal(moment)).replace(":d", f"'{day.isoformat()}'").replace("main.", schema)
