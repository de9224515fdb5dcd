"""Title and custody of accessions, recorded by whoever decides: by which act material came, and who could give it.

A record makes no verdict, so it leaves no mark that verdicts are to be looked at again.
"""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Part
from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import remove
from governance.papers.models import TitleRecord

TITLE_FIELDS = ("part", "kind", "dated_on", "given_by", "right_held_by", "right_basis", "paper", "scan", "note")
"""What ``change_title`` may change."""


def add_title(*, accession: Accession, by: Any, why: str, **values: Any) -> TitleRecord:
    """Record an act by which an accession, or a part of it, came to the institution.

    Raises:
        NotAllowedError: ``by`` may not decide.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.DECIDE)
    _check_part(accession, values.get("part"))
    title = TitleRecord(accession=accession, **values)
    with transaction.atomic():
        add(title, by=by, why=why)
    return title


def change_title(*, title: TitleRecord, by: Any, why: str, **changes: Any) -> list[str]:
    """Change a record; the names of the fields that changed.

    Raises:
        NotAllowedError: ``by`` may not decide.
        NotEditableError: a field that is not in ``TITLE_FIELDS``.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.DECIDE)
    _check_part(title.accession, changes.get("part"))
    with transaction.atomic():
        return change(title, changes, editable=TITLE_FIELDS, by=by, why=why)


def remove_title(*, title: TitleRecord, by: Any, why: str) -> None:
    """Take a record away that was entered by mistake; its history stays."""
    check(by, Verb.DECIDE)
    with transaction.atomic():
        remove(title, by=by, why=why)


def _check_part(accession: Accession, part: Part | None) -> None:
    if part is not None and part.accession_id != accession.pk:
        raise ValidationError(
            {"part": _("Part %(part)s is of another accession. Choose a part of %(accession)s, or the whole.")
             % {"part": part.letter, "accession": accession.number}}
        )  # fmt: skip
