"""Letters that come with a request, a question or a reply: received as scans, or taken from those on file."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from accessions.people.access import Verb, check
from governance.scans.actions.dropping import Arrived, Drop, take_in
from governance.scans.models import Scan

Letter = UploadedFile[Any]


def received(letter: Letter | None, *, field: str, by: Any, why: str) -> Scan | None:
    """The scan of a letter that was sent along; None where none was.

    Call it before the transaction of an action: a file that is received stays in the register, whatever becomes of
    the rest.

    Raises:
        NotAllowedError: the person may not add scans.
        ValidationError: the file was refused; says why, beside ``field``.
    """
    if letter is None:
        return None
    check(by, Verb.ATTACH_SCANS)
    (one,) = take_in(drop=Drop(files=[letter]), by=by, why=why)
    if not isinstance(one, Arrived):
        raise ValidationError({field: one.problem})
    return one.scan
