"""How a file is to be read: its columns, its dates, its accession, and what becomes of rows that differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from accessions.intake.actions.errors import IntakeError
from accessions.intake.actions.receive import check_mapping
from accessions.intake.columns import header_key, recognise
from accessions.intake.label_dates import AS_WRITTEN, DATE_TERMS, PLAIN
from accessions.intake.models import Batch, ColumnChoice
from accessions.intake.stored import table_of
from accessions.material.models import Accession
from accessions.people.access import Verb, check
from accessions.people.history import record
from accessions.values.label_forms import DateOrder

TAKE, KEEP = "take", "keep"
"""Answers about a row that differs: write what the file says, or keep what is recorded."""


@contextmanager
def _open_batch(batch: Batch, by: Any) -> Iterator[Batch]:
    """The batch, locked, for a person who may change it while it is open."""
    check(by, Verb.PREPARE_INTAKE)
    with transaction.atomic():
        locked = Batch.objects.select_for_update().defer("data").get(pk=batch.pk)
        if locked.state != Batch.State.RECEIVED:
            raise IntakeError(_("This file was committed or discarded meanwhile; how it is read no longer changes."))
        yield locked


def map_columns(*, batch: Batch, terms: Mapping[str, str], by: Any, why: str) -> Batch:
    """Say which term each column is, and remember it for headers that are not known by themselves.

    Args:
        terms: header to term, "" to leave a column aside; headers that are not named stay as they are.

    Raises:
        NotAllowedError: the person may not prepare intake.
        IntakeError: a term twice, or a column or term that is not there; or the file is no longer open.
    """
    with _open_batch(batch, by) as locked:
        table = table_of(locked)
        mapping = locked.mapping | dict(terms)
        check_mapping(mapping, table.columns)
        if mapping != locked.mapping:
            _remember(table.columns, mapping, by)
            locked.mapping = mapping
            record(locked, by=by, why=why, fields=["mapping"])
    return locked


def _remember(headers: list[str], mapping: Mapping[str, str], by: Any) -> None:
    """Choices for headers that are recognised otherwise, or not at all."""
    known = {headers[index]: term for term, index in recognise(headers).by_term.items()}
    for header, term in mapping.items():
        key = header_key(header)[:200]
        if key and term != known.get(header, ""):
            ColumnChoice.objects.update_or_create(header_key=key, defaults={"term": term, "chosen_by": by})


def confirm_dates(*, batch: Batch, answers: Mapping[str, str], by: Any, why: str) -> Batch:
    """Say how the dates of whole columns are to be read.

    Args:
        answers: term to ``PLAIN``, ``AS_WRITTEN`` or a ``DateOrder``.

    Raises:
        NotAllowedError: the person may not prepare intake.
        IntakeError: no column of dates, or no such answer; or the file is no longer open.
    """
    known = {PLAIN, AS_WRITTEN, *DateOrder}
    if set(answers) - set(DATE_TERMS) or set(answers.values()) - known:
        raise IntakeError(_("Choose day first, month first, or leave the column as it is written."))
    with _open_batch(batch, by) as locked:
        locked.dates = locked.dates | dict(answers)
        record(locked, by=by, why=why, fields=["dates"])
    return locked


def choose_accession(*, batch: Batch, accession: Accession | None, by: Any, why: str) -> Batch:
    """Say to which accession the rows belong that name none; None: to none.

    Raises:
        NotAllowedError: the person may not prepare intake.
        IntakeError: the file is no longer open.
    """
    with _open_batch(batch, by) as locked:
        locked.accession = accession
        record(locked, by=by, why=why, fields=["accession"])
    return locked


def answer_changes(*, batch: Batch, for_all: str = "", rows: Mapping[str, str] | None = None, by: Any,
                   why: str) -> Batch:  # fmt: skip
    """Say what becomes of rows that differ from what is recorded.

    Args:
        for_all: ``TAKE`` or ``KEEP`` for every such row, which forgets answers given row by row; "" for none.
        rows: row number of the file to ``TAKE``, ``KEEP`` or "" (open again); others stay as answered.

    Raises:
        NotAllowedError: the person may not prepare intake.
        IntakeError: no such answer; or the file is no longer open.
    """
    stated = dict(rows or {})
    if {for_all, *stated.values()} - {TAKE, KEEP, ""}:
        raise IntakeError(_("Choose to take what the file says or to keep what is recorded."))
    with _open_batch(batch, by) as locked:
        by_row = {} if for_all else locked.changes.get("rows", {})
        by_row = {number: answer for number, answer in (by_row | stated).items() if answer}
        locked.changes = {"all": for_all or locked.changes.get("all", ""), "rows": by_row}
        record(locked, by=by, why=why, fields=["changes"])
    return locked
