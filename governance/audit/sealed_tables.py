"""What the seal covers, in one place: histories, tables that are sealed by their state, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from django.apps import apps
from django.db import models

from accessions.material.models import Removal
from accessions.names.models import WrittenName
from accessions.people.models import Write
from governance.audit.models import AnswerTaken, Opening, SealCheck
from governance.papers.models import AcceptedOffer, PaperLink, PaperScan, ReceivedFile
from governance.plans.models import PlanPaper, PlanSignOff, PlanVersion
from governance.reports.models import ReportChunk, ReportFile, ReportTable
from governance.scans.models import Filing
from governance.verdicts.models import Run, RunSeal

ROOMS: Final = (
    "people", "names", "sites", "material", "intake", "scans", "papers", "verdicts", "plans", "usedesk", "duties",
    "reports", "audit", "guide",
)  # fmt: skip


@dataclass(frozen=True)
class StateTable:
    """A table without history whose rows are evidence: the newest entry of a row must equal the row.

    is_watched: every row that is saved or deleted is announced by itself; otherwise by those who write.
    is_once: a row is written once; if it has a later entry, that must be of its removal.
    where: SQL, the rows that must have an entry; "": all of them.
    """

    model: type[models.Model]
    is_watched: bool = True
    where: str = ""
    is_once: bool = False


_ISSUED = "SELECT t.id FROM reports_reporttable t JOIN reports_report r ON r.id = t.report_id " \
          "WHERE t.batch = '' AND r.issued_at IS NOT NULL"  # fmt: skip

STATE_TABLES: Final = (
    StateTable(WrittenName, is_once=True, is_watched=False),
    StateTable(Removal, is_once=True, is_watched=False),
    StateTable(Filing),
    StateTable(PaperLink),
    StateTable(PaperScan),
    StateTable(AcceptedOffer, is_once=True),
    StateTable(ReceivedFile),
    StateTable(PlanPaper),
    StateTable(PlanVersion, is_once=True),
    StateTable(PlanSignOff),
    StateTable(ReportFile, is_once=True),
    StateTable(ReportTable, is_watched=False, where=f"id IN ({_ISSUED})"),
    StateTable(ReportChunk, is_watched=False, where=f"table_id IN ({_ISSUED})"),
    StateTable(Run, is_watched=False, where="state = 'done'"),
    StateTable(RunSeal, is_once=True),
    StateTable(Opening, is_once=True),
    StateTable(AnswerTaken, is_once=True),
    StateTable(SealCheck, is_once=True),
    StateTable(Write, is_once=True, is_watched=False),
)

WRITTEN_ONCE: Final = frozenset(one.model._meta.db_table for one in STATE_TABLES if one.is_once)

NOT_SEALED: Final[Mapping[str, str]] = {
    "people.SignInFailure": "counts wrong passwords and is gone after some minutes",
    "people.Seal": "the chain itself",
    "people.SealHead": "the end of the chain, held against it",
    "people.SealShape": "with another shape the entries do not come out",
    "people.PersonalSalt": "with another salt the hash that is sealed does not come out",
    "audit.EvidenceBundle": "a file made from the records on its way to a person; gone after a day",
    "audit.QualityCount": "counted from the records, for the trend",
    "material.Touch": "a mark that goes away when it is taken up",
    "intake.ColumnChoice": "a convenience for the next file",
    "scans.ScanPage": "made by the machine from the content, and made anew at any time",
    "scans.Upload": "a file on its way",
    "usedesk.ScanLine": "what was read; what follows from it is sealed as the history of requests and returns",
    "duties.DutyRun": "says when duties were worked out; the duties themselves are sealed",
    "duties.CalendarAddress": "opens a calendar to its owner; tells nothing of material",
    "duties.ReminderSent": "keeps a mail from going out twice",
    "reports.ShareVisit": "counts who looked at a shared page",
    "verdicts.Outcome": "sealed as one set with the run that made it (RunSeal)",
    "verdicts.OutcomePaper": "part of an outcome",
    "verdicts.OutcomeFinding": "part of an outcome",
    "verdicts.Ruling": "sealed as one set with the run that made it (RunSeal)",
    "verdicts.RulingLayer": "part of a ruling",
    "verdicts.Result": "sealed as one set with its run (RunSeal)",
    "verdicts.Standing": "repeats results and decisions: checked against them",
}
"""Tables of the register without history that the seal does not cover row by row, each with the reason."""

UNTRACKED: Final[Mapping[str, Mapping[str, str]]] = {}
"""By table, columns that are written past the history, each with the reason: not held against it."""


def tracked_models() -> Iterator[type[models.Model]]:
    """Models that keep a history."""
    for model in apps.get_models():
        if model._meta.app_label in ROOMS and hasattr(model, "history"):
            yield model


def history_of(model: type[models.Model]) -> type[models.Model]:
    """The model of the rows of its history."""
    found: type[models.Model] = model.history.model  # type: ignore[attr-defined]
    return found


def models_by_table() -> dict[str, type[models.Model]]:
    """Every model whose rows have entries, by its table."""
    sealed = [history_of(model) for model in tracked_models()] + [one.model for one in STATE_TABLES]
    return {model._meta.db_table: model for model in sealed}
