"""Taking a file in: hashed while it comes, checked, kept once under a name that we make."""

from __future__ import annotations

import contextlib
import hashlib
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

from django.conf import settings
from django.db import IntegrityError, transaction

from accessions.people.access import EVERY_ROLE, Verb, check
from accessions.people.history import record
from accessions.people.models import User
from governance.scans.checking.check import Checked, check_content, refusal
from governance.scans.checking.words import RefusedFile
from governance.scans.models import Scan
from governance.scans.names import clean_name
from governance.scans.parts import uploads_folder
from governance.scans.store import drop, keep, new_key, store
from governance.scans.tasks import read_scan

__all__ = ["Received", "RefusedFile", "receive"]

CHUNK_BYTES = 1 << 20


class Readable(Protocol):
    """What a file can come from: an open file, or an upload of Django."""

    def read(self, size: int = ..., /) -> bytes: ...


@dataclass(frozen=True)
class Received:
    """What became of a file. was_known: the same content was there already, under whatever name."""

    scan: Scan
    was_known: bool


def receive(
    *, data: BinaryIO | Readable | Path, name: str, by: User, why: str = "", open_to: int = EVERY_ROLE
) -> Received:
    """Take a file in. It must not be called inside a transaction: what is kept in the store cannot be rolled back with
    it. A crash between store and database leaves a file that no row names; ``check_files_intact`` lists it.

    Args:
        data: the content from where it is to be read on, or the path of a file on the local disk, which stays.
        name: as the sender calls it; kept as data.
        open_to: the roles that may open it, as bits; a content that is there already stays as open as it is.

    Raises:
        NotAllowedError: the person may add no scans.
        RefusedFile: the content is not received; its ``problem`` says why and what to do.
    """
    check(by, Verb.ATTACH_SCANS)
    with _on_disk(data) as (path, sha256):
        known = Scan.objects.filter(sha256=sha256).first()
        if known is not None:
            return _known(known, path, by=by)
        checked = check_content(path)
        scan = Scan(
            sha256=sha256,
            size_bytes=path.stat().st_size,
            media_type=checked.media_type,
            stored_name=new_key(),
            original_name=clean_name(name),
            received_by=by,
            restricted_to=open_to,
            **_details(checked),
        )
        keep(path, scan.stored_name)
        return _register(scan, by=by, why=why or "received")


def _details(checked: Checked) -> dict[str, object]:
    return {"page_count": checked.page_count, "has_scripts": checked.has_scripts, "remarks": list(checked.remarks)}


def largest_bytes() -> int:
    """The most bytes of a file that are received."""
    return int(settings.FIELDWRIT_LARGEST_FILE_MB) * 1_000_000


def refuse_too_large(size_bytes: int) -> None:
    """Stop before anything is read.

    Raises:
        RefusedFile: so many bytes are not received.
    """
    if size_bytes > largest_bytes():
        raise refusal("too-large", most_mb=settings.FIELDWRIT_LARGEST_FILE_MB)


@contextlib.contextmanager
def _on_disk(data: BinaryIO | Readable | Path) -> Iterator[tuple[Path, str]]:
    """The content as a file, and its SHA-256 in hexadecimal digits.

    Raises:
        RefusedFile: it is too large; reading stops there.
    """
    if isinstance(data, Path):
        with data.open("rb") as content:
            sha256 = _copy(content, None)
        yield data, sha256
        return
    with tempfile.NamedTemporaryFile(dir=uploads_folder(), prefix="coming-") as copy:
        sha256 = _copy(data, copy)
        copy.flush()
        yield Path(copy.name), sha256


def _copy(data: BinaryIO | Readable, copy: tempfile._TemporaryFileWrapper[bytes] | None) -> str:
    digest, length = hashlib.sha256(), 0
    while chunk := data.read(CHUNK_BYTES):
        length += len(chunk)
        refuse_too_large(length)
        digest.update(chunk)
        if copy is not None:
            copy.write(chunk)
    return digest.hexdigest()


def _known(scan: Scan, path: Path, *, by: User) -> Received:
    """The scan that is there; if its content was lost from the store, or disposed of, here it is again."""
    if not store().exists(scan.stored_name):
        keep(path, scan.stored_name)
    if scan.disposed_on is not None:
        scan.disposed_on, scan.text_state, scan.text_note = None, Scan.TextState.WAITING, ""
        with transaction.atomic():
            record(scan, by=by, why="received again", fields=["disposed_on", "text_state", "text_note"])
            transaction.on_commit(lambda: _have_it_read(scan), robust=True)
    return Received(scan, was_known=True)


def _register(scan: Scan, *, by: User, why: str) -> Received:
    """Write the row. Two people may send the same content at once: the constraint lets one of them win, and the other
    gets the winner's scan."""
    try:
        with transaction.atomic(durable=True):
            record(scan, by=by, why=why)
            transaction.on_commit(lambda: _have_it_read(scan), robust=True)  # it is received even if the queue is down
    except IntegrityError:
        _drop_unnamed(scan.stored_name)
        return Received(Scan.objects.get(sha256=scan.sha256), was_known=True)
    except BaseException:
        _drop_unnamed(scan.stored_name)
        raise
    return Received(scan, was_known=False)


def _have_it_read(scan: Scan) -> None:
    read_scan.enqueue(scan.pk)


def _drop_unnamed(key: str) -> None:
    """Remove a content whose row was not written. When the connection breaks at the commit nobody knows whether it was:
    then asking fails too, and the content stays."""
    if not Scan.objects.filter(stored_name=key).exists():
        drop(key)
