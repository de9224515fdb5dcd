"""Terms of use written into the register, each row with its history, in the transaction of an action."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from accessions.people.history import remove
from governance.papers.actions.rows import change_row, create_rows
from governance.papers.models import PaperVersion, TermsReading, UseTerm
from governance.papers.use_columns import UseColumns


def store_uses(told: Sequence[tuple[PaperVersion, UseColumns]], *, by: Any, why: str) -> None:
    """The terms of versions of which nothing was read so far."""
    readings = [TermsReading(version=version, read_by=by, **uses.reading) for version, uses in told]
    create_rows(TermsReading, readings, by=by, why=why)
    terms = [
        UseTerm(version=version, use=int(use), **columns)
        for version, uses in told
        for use, columns in uses.terms.items()
    ]
    create_rows(UseTerm, terms, by=by, why=why)


def change_uses(version: PaperVersion, told: UseColumns, *, by: Any, why: str) -> int:
    """Make the terms of a version what is told; only rows that differ are written. How many were.

    Who read the version first stays its reader; who changed what since then stands in the history.
    """
    reading = TermsReading.objects.filter(version=version).first()
    if reading is None:
        store_uses([(version, told)], by=by, why=why)
        return 1 + len(told.terms)
    changed = int(change_row(reading, told.reading, by=by, why=why))
    standing = {term.use: term for term in UseTerm.objects.filter(version=version)}
    for use in standing.keys() - {int(use) for use in told.terms}:
        remove(standing[use], by=by, why=why)
        changed += 1
    for use, columns in told.terms.items():
        if use in standing:
            changed += change_row(standing[use], columns, by=by, why=why)
    new = [UseTerm(version=version, use=int(use), **more) for use, more in told.terms.items() if use not in standing]
    create_rows(UseTerm, new, by=by, why=why)
    return changed + len(new)
