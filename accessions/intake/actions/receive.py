"""Files received and discarded."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from accessions.intake.actions.errors import IntakeError
from accessions.intake.grid import TextTable
from accessions.intake.kept import KEPT
from accessions.intake.models import Batch
from accessions.intake.problems import listed, refusal
from accessions.intake.rows import UNSTORABLE
from accessions.intake.stored import hold, read_bytes, suggested_mapping
from accessions.material.models import Accession
from accessions.people.access import Verb, check
from accessions.people.history import record

_LONGEST_NAME = 255


def receive(*, file_name: str, data: bytes, by: Any, why: str, accession: Accession | None = None,
            mapping: Mapping[str, str] | None = None) -> tuple[Batch, bool]:  # fmt: skip
    """Keep a file, and suggest a term for each of its columns.

    The same bytes again give the batch that holds them already (unless it was discarded or taken back), and nothing
    changes.

    Returns: the batch, and whether it is new.

    Raises:
        NotAllowedError: the person may not prepare intake.
        FileProblems: the file cannot be read as a table.
    """
    check(by, Verb.PREPARE_INTAKE)
    digest = sha256(data).hexdigest()
    same = Batch.objects.filter(sha256=digest).exclude(state__in=[Batch.State.DISCARDED, Batch.State.TAKEN_BACK])
    if earlier := same.defer("data").first():
        return earlier, False
    table = read_bytes(data, file_name)
    if not table.row_numbers:
        raise refusal(file_name, table.where(), "there are no rows below the header",
                      "Every specimen or lot is one row.")  # fmt: skip
    _refuse_headers(table)
    terms = suggested_mapping(table) if mapping is None else dict.fromkeys(table.columns, "") | dict(mapping)
    check_mapping(terms, table.columns)
    batch = Batch(file_name=file_name[-_LONGEST_NAME:], data=data, sha256=digest, accession=accession, mapping=terms,
                  received_by=by)  # fmt: skip
    with transaction.atomic():
        record(batch, by=by, why=why)
    hold(digest, batch.file_name, table)
    return batch, True


def _refuse_headers(table: TextTable) -> None:
    if bad := [header for header in table.columns if UNSTORABLE.search(header)]:
        raise refusal(table.file, table.where(), f"headers hold a character that cannot be stored: {listed(bad)}",
                      "Take out what a text editor shows as an empty box or NUL.")  # fmt: skip


def check_mapping(terms: Mapping[str, str], headers: list[str]) -> None:
    """Refuse a mapping that cannot be.

    Raises:
        IntakeError: a column that the file lacks, a term that is not kept, or one term for two columns.
    """
    if unknown := [header for header in terms if header not in headers]:
        raise IntakeError(_("The file has no column %(columns)s.") % {"columns": listed(unknown)})
    chosen = [term for term in terms.values() if term]
    if strange := sorted(set(chosen) - set(KEPT)):
        raise IntakeError(_("The register keeps no column %(terms)s.") % {"terms": listed(strange)})
    if twice := sorted({term for term in chosen if chosen.count(term) > 1}):
        raise IntakeError(
            _("Two columns are both read as %(terms)s: keep one, leave the other aside.") % {"terms": listed(twice)}
        )


def discard(*, batch: Batch, by: Any, why: str) -> Batch:
    """Set a file aside that was not committed; it stays stored, with who did it and why.

    Raises:
        NotAllowedError: the person may not prepare intake.
        IntakeError: its rows are in the register already.
    """
    check(by, Verb.PREPARE_INTAKE)
    with transaction.atomic():
        locked = Batch.objects.select_for_update().defer("data").get(pk=batch.pk)
        if locked.state == Batch.State.COMMITTED:
            raise IntakeError(_("The rows of this file are in the register; they cannot be discarded with the file."))
        if locked.state == Batch.State.TAKEN_BACK:
            raise IntakeError(_("The rows of this file were taken back already."))
        locked.state = Batch.State.DISCARDED
        record(locked, by=by, why=why, fields=["state"])
    return locked
