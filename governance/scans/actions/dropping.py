"""The files of a drop are received one by one: a bad one is told of and does not stop the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _

from accessions.people.access import EVERY_ROLE, Verb, check
from governance.scans.actions.receiving import RefusedFile, receive
from governance.scans.filed import Filed, Outcome
from governance.scans.models import Scan, Upload
from governance.scans.names import clean_name


@dataclass(frozen=True)
class Drop:
    """What one drop brings. files: sent whole. uploads: sent in pieces before. scans: received at another time.
    open_to: the roles that may open the files, as bits."""

    files: Sequence[UploadedFile[Any]] = ()
    uploads: Sequence[Upload] = ()
    scans: Sequence[Scan] = ()
    open_to: int = EVERY_ROLE


@dataclass(frozen=True)
class Arrived:
    """A file that is received and is to be filed under this name."""

    scan: Scan
    name: str
    was_known: bool = False
    key: str = ""


def take_in(*, drop: Drop, by: Any, why: str = "") -> list[Arrived | Filed]:
    """Receive what a drop brings, in its order; what was refused comes back as the answer already."""
    check(by, Verb.ATTACH_SCANS)
    return [*_whole(drop, by, why), *map(_in_pieces, drop.uploads), *(Arrived(s, s.original_name) for s in drop.scans)]


def take_in_loose(*, drop: Drop, by: Any, why: str = "") -> list[Filed]:
    """Receive what a drop brings and file it nowhere yet; what became of each file, in its order."""
    return [_loose(one) if isinstance(one, Arrived) else one for one in take_in(drop=drop, by=by, why=why)]


def _loose(one: Arrived) -> Filed:
    if one.was_known:
        return Filed(one.name, Outcome.ALREADY, one.scan, note=_("Its content was on file already."), key=one.key)
    return Filed(one.name, Outcome.FILED, one.scan, note=_("Received; it stands in no file yet."), key=one.key)


def _whole(drop: Drop, by: Any, why: str) -> Iterator[Arrived | Filed]:
    for file in drop.files:
        name = clean_name(file.name or "")
        try:
            received = receive(data=file, name=name, by=by, why=why, open_to=drop.open_to)
        except RefusedFile as refused:
            yield Filed(name, Outcome.REFUSED, problem=refused.problem)
        else:
            yield Arrived(received.scan, name, received.was_known)


def _in_pieces(upload: Upload) -> Arrived | Filed:
    if upload.scan is not None:
        return Arrived(upload.scan, upload.name, upload.was_known, upload.token)
    missing = _("Only a part of it arrived. Send it again: it goes on where it stopped.")
    return Filed(upload.name, Outcome.REFUSED, problem=upload.problem or missing, key=upload.token)
