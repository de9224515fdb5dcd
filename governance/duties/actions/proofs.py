"""Proofs that come as files: received as scans, and as open as the papers that they are about."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from accessions.people.access import EVERY_ROLE, Verb, check
from governance.papers.models import Paper
from governance.scans.actions.dropping import Arrived, Drop, take_in
from governance.scans.models import Scan

Letter = UploadedFile[Any]


def received_proof(letter: Letter | None, *, papers: Iterable[Paper | None], by: Any, why: str) -> Scan | None:
    """The scan of a file that was sent along; None where none was.

    A file that is new is open to the readers of all the papers, from the start: what a receipt says of a restricted
    paper is as restricted. One that was on file before stays as open as it was. Call it before the transaction of an
    action: a file that is received stays in the register, whatever becomes of the rest.

    Raises:
        NotAllowedError: the person may not add scans.
        ValidationError: the file was refused; says why, beside ``letter``.
    """
    if letter is None:
        return None
    check(by, Verb.ATTACH_SCANS)
    bits = reduce(lambda found, paper: found & paper.restricted_to, filter(None, papers), EVERY_ROLE)
    (one,) = take_in(drop=Drop(files=[letter], open_to=bits), by=by, why=why)
    if not isinstance(one, Arrived):
        raise ValidationError({"letter": one.problem})
    return one.scan
