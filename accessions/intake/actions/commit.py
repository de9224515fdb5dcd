"""A file committed: its rows enter the register in one transaction, or none does."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.intake.actions.arrange import KEEP, TAKE
from accessions.intake.actions.errors import IntakeError
from accessions.intake.actions.receive import receive
from accessions.intake.models import Batch
from accessions.intake.plan import Plan, RowState
from accessions.intake.problems import FileProblems, Problem
from accessions.intake.stored import plan_of
from accessions.intake.writing import Writer
from accessions.material.models import Accession
from accessions.people.access import Verb, check
from accessions.people.history import record

_ACCESSIONS_NAMED = 30
"""Accessions that the summary of a batch names; the rest is counted."""
_CACHE_KIB = 65_536
"""Pages that SQLite holds while it writes a file: the 2 MiB that it holds otherwise are read and written again."""
_INTAKE_LOCK = 0x4657_494E
"""PostgreSQL: one commit at a time, so that two files cannot both make the same event or name."""


def commit(*, batch: Batch, by: Any, why: str, good_rows_only: bool = False) -> Batch:
    """Write the rows of a file: new ones, and of the changed ones those that are answered with ``TAKE``.

    Args:
        good_rows_only: leave out the rows that need correction; otherwise a single one stops the commit.

    Raises:
        NotAllowedError: the person may not commit.
        IntakeError: it is committed or discarded already, a row needs correction, or a difference has no answer.
    """
    check(by, Verb.COMMIT_INTAKE)
    try:
        with transaction.atomic():
            return _commit_locked(batch.pk, by=by, why=why, good_rows_only=good_rows_only)
    except IntegrityError as error:
        raise IntakeError(
            _("Something else was recorded at the same moment. Nothing of this file was written: look at it again.")
        ) from error


def _commit_locked(key: int, *, by: Any, why: str, good_rows_only: bool) -> Batch:
    wait_for_others()
    batch = Batch.objects.select_for_update().get(pk=key)
    _refuse_state(batch)
    plan = plan_of(batch)
    if plan.counts[RowState.ERROR] and not good_rows_only:
        raise IntakeError(_in_need(plan))
    return _write(batch, plan, by=by, why=why)


def wait_for_others() -> None:
    """On PostgreSQL, until no other file is being committed; SQLite has one writer anyway, which gets more memory."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_INTAKE_LOCK])
        else:
            cursor.execute(f"PRAGMA cache_size = -{_CACHE_KIB}")


def _write(batch: Batch, plan: Plan, *, by: Any, why: str) -> Batch:
    writer = Writer(plan, by=by, why=why)
    writer.write(taken_rows(plan, batch.changes))
    batch.state = Batch.State.COMMITTED
    batch.committed_at = timezone.now()
    batch.committed_by = by
    batch.summary = _summary(plan, writer)
    record(batch, by=by, why=why, fields=["state", "committed_at", "committed_by", "summary"])
    return batch


def _refuse_state(batch: Batch) -> None:
    if batch.state == Batch.State.COMMITTED:
        raise IntakeError(_("This file is in the register already, since %(when)s, by %(who)s.") % {
            "when": timezone.localtime(batch.committed_at).strftime("%-d %B %Y, %H:%M"), "who": batch.committed_by,
        })  # fmt: skip
    if batch.state == Batch.State.TAKEN_BACK:
        raise IntakeError(_("This file was in the register and was taken back. Bring it in again to use it."))
    if batch.state == Batch.State.DISCARDED:
        raise IntakeError(_("This file was discarded. Bring it in again to use it."))


def _in_need(plan: Plan) -> str:
    count = plan.counts[RowState.ERROR]
    return _("%(count)s of %(rows)s rows need correction; nothing was written.") % {
        "count": f"{count:,}", "rows": f"{len(plan.rows):,}"
    }  # fmt: skip


def taken_rows(plan: Plan, answers: Mapping[str, Any]) -> Collection[int]:
    """The changed rows to be written, by the answers of a person: for all, or by row number of the file.

    Raises:
        IntakeError: a row has no answer.
    """
    by_row = answers.get("rows", {})
    for_all = answers.get("all", "")
    taken, open_rows = [], 0
    for row in plan.rows_in(RowState.CHANGED):
        answer = by_row.get(str(plan.rows.row_numbers[row]), for_all)
        open_rows += answer not in (TAKE, KEEP)
        if answer == TAKE:
            taken.append(row)
    if open_rows:
        raise IntakeError(
            _("%(count)s rows differ from what is recorded: say for each, or for all, which to keep.")
            % {"count": f"{open_rows:,}"}
        )
    return taken


def _summary(plan: Plan, writer: Writer) -> dict[str, Any]:
    counts = plan.counts
    kept = counts[RowState.CHANGED] - writer.counts["changed"]
    return {
        "rows": len(plan.rows), "new": counts[RowState.NEW], "same": counts[RowState.SAME],
        "changed": writer.counts["changed"], "kept": kept, "errors": counts[RowState.ERROR],
        **{kind: writer.counts[kind] for kind in ("accessions", "events", "names", "sites", "deliveries",
                                                  "determinations")},
        "into": writer.accessions[:_ACCESSIONS_NAMED], "into_count": len(writer.accessions),
    }  # fmt: skip


def load_file(path: str | Path, *, by: Any, why: str, accession_number: str = "",
              mapping: Mapping[str, str] | None = None, take_changes: bool = False) -> Batch:  # fmt: skip
    """Read a file, map its columns and commit it in one go, for commands and tests.

    Args:
        accession_number: the accession of rows that name none; made if it is not there.
        mapping: header to term, over what is recognised; None: what is recognised.
        take_changes: whether rows that differ from what is recorded are written or left as they are recorded.

    Returns: the batch; the earlier one, unchanged, if this very file is in the register already.

    Raises:
        FileProblems: the file cannot be read, or rows need correction; nothing was written.
        NotAllowedError: the person may not do this.
    """
    check(by, Verb.COMMIT_INTAKE)
    path = Path(path)
    data = _bytes_of(path)
    with transaction.atomic():
        wait_for_others()
        accession = _accession(accession_number, by=by, why=why) if accession_number else None
        batch, _is_new = receive(file_name=path.name, data=data, by=by, why=why, accession=accession, mapping=mapping)
        if batch.state == Batch.State.COMMITTED:
            return batch
        batch.changes = {"all": TAKE if take_changes else KEEP}
        record(batch, by=by, why=why, fields=["changes"])
        plan = plan_of(batch)
        _refuse_errors(plan)
        return _write(batch, plan, by=by, why=why)


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileProblems([Problem(path.name, "", f"it cannot be opened ({error.strerror})",
                                    "Check the name, and that you may read it.")]) from error  # fmt: skip


def _accession(number: str, *, by: Any, why: str) -> Accession:
    accession = Accession.objects.filter(number=number).first()
    if accession is None:
        accession = Accession(number=number)
        record(accession, by=by, why=why)
    return accession


def _refuse_errors(plan: Plan) -> None:
    rows = plan.rows
    problems = [
        Problem(rows.file, rows.where(problem), problem.found, problem.expected)
        for problem in sorted(plan.problems, key=lambda problem: problem.row)
        if problem.is_error
    ]
    if problems:
        raise FileProblems(problems)
