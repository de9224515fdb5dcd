"""Files that come in pieces: a scan comes into being only when the last byte is there."""

from __future__ import annotations

import contextlib
import secrets
import tempfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any, Protocol

from django.db import transaction
from django.utils import timezone

from accessions.people.access import Verb, check
from accessions.people.models import User
from governance.scans import parts
from governance.scans.actions.receiving import Readable, RefusedFile, receive, refuse_too_large
from governance.scans.models import Upload
from governance.scans.names import clean_name

CHUNK_BYTES = 256 * 1024
"""What is confirmed at once: of a connection that breaks, less than this is lost."""


class WrongPlaceError(ValueError):
    """The piece does not begin where the part ends. offset: where that is."""

    def __init__(self, offset: int) -> None:
        super().__init__(f"the part has {offset} bytes")
        self.offset = offset


class TooLongError(ValueError):
    """The piece goes beyond the length that was announced."""


class WrongChecksumError(ValueError):
    """The piece is not what its sender sent; nothing of it was kept."""


class UploadGoneError(LookupError):
    """The upload was ended meanwhile."""


class Digest(Protocol):
    """What a checksum is computed by."""

    def update(self, data: bytes, /) -> None: ...

    def digest(self) -> bytes: ...


def begin(*, name: str, size_bytes: int, by: User) -> Upload:
    """Announce a file. What was abandoned long ago is cleared away by the way.

    Raises:
        RefusedFile: it will be too large.
    """
    check(by, Verb.ATTACH_SCANS)
    refuse_too_large(size_bytes)
    sweep_abandoned()
    upload = Upload.objects.create(
        token=secrets.token_hex(16), name=clean_name(name), size_bytes=size_bytes, started_by=by
    )
    return finish(upload=upload, by=by) if size_bytes == 0 else upload


def append(*, upload: Upload, offset: int, data: Readable, by: User, expected: tuple[Digest, bytes] | None = None
           ) -> Upload:  # fmt: skip
    """Add what can be read, piece by piece; after the last byte the file is received. When the connection breaks, what
    came before stays.

    Args:
        expected: a digest that has seen nothing, and what it must be after these bytes: else none of them is kept.

    Raises:
        WrongPlaceError: the part does not end at ``offset``, or somebody else has added to it meanwhile.
        TooLongError, WrongChecksumError, UploadGoneError: as they say.
    """
    check(by, Verb.ATTACH_SCANS)
    _add(upload, offset, b"")
    try:
        with _verified(data, expected) as verified:
            for chunk in _chunks(verified):
                offset = _add(upload, offset, chunk)
    finally:
        parts.write_down(upload.token)
    upload.refresh_from_db()
    return finish(upload=upload, by=by) if upload.is_whole else upload


def _chunks(data: Readable) -> Iterator[bytes]:
    while chunk := data.read(CHUNK_BYTES):
        yield chunk


@contextlib.contextmanager
def _verified(data: Readable, expected: tuple[Digest, bytes] | None) -> Iterator[Readable]:
    """The same bytes, once they are known to be right; without a checksum they are read as they come."""
    if expected is None:
        yield data
        return
    digest, wanted = expected
    with tempfile.TemporaryFile(dir=parts.uploads_folder()) as copy:
        for chunk in _chunks(data):
            digest.update(chunk)
            copy.write(chunk)
        if not secrets.compare_digest(digest.digest(), wanted):
            raise WrongChecksumError
        copy.seek(0)
        yield copy


def _add(upload: Upload, offset: int, chunk: bytes) -> int:
    """Add one chunk under the lock of the row, and return where the part then ends.

    Two requests may send at once, such as a lost connection that wakes up behind its own resumption: each chunk is
    taken only at the end of the part, so the slower one fails here.
    """
    with transaction.atomic():
        row = Upload.objects.select_for_update().filter(pk=upload.pk).first()
        if row is None:
            raise UploadGoneError
        here = received_bytes(row)
        if here != offset:
            raise WrongPlaceError(here)
        end = offset + len(chunk)
        if end > row.size_bytes:
            raise TooLongError
        if chunk:
            parts.write(row.token, offset, chunk)
            row.received_bytes = end
            row.save(update_fields=["received_bytes"])
    return end


def received_bytes(upload: Upload) -> int:
    """What is surely there: confirmed in the row, and on the disk. Once it is settled, the part is gone."""
    if upload.is_settled:
        return upload.received_bytes
    return min(upload.received_bytes, parts.length_of(upload.token))


def finish(*, upload: Upload, by: User) -> Upload:
    """Receive a whole file, or note why not. Does nothing while another process is at it, or once it is done.

    Raises:
        UploadGoneError: it was ended meanwhile.
    """
    check(by, Verb.ATTACH_SCANS)
    with parts.claimed(upload.token) as path:
        now = Upload.objects.filter(pk=upload.pk).first()
        if now is None:
            raise UploadGoneError
        if path is None or (not now.is_settled and received_bytes(now) != now.size_bytes):
            return now
        if not now.is_settled:
            _receive_part(now, path, by)
        parts.remove(now.token)
    return now


def _receive_part(upload: Upload, path: Path, by: User) -> None:
    try:
        received = receive(data=path, name=upload.name, by=by, why="received in pieces")
    except RefusedFile as refused:
        _settle(upload, problem=refused.problem[:500])
    else:
        _settle(upload, scan=received.scan, was_known=received.was_known)


def _settle(upload: Upload, **values: Any) -> None:
    for name, value in values.items():
        setattr(upload, name, value)
    upload.save(update_fields=list(values))


def abandon(*, upload: Upload, by: User) -> None:
    """End an upload; what it became stays."""
    check(by, Verb.ATTACH_SCANS)
    upload.delete()
    parts.remove(upload.token)


def sweep_abandoned() -> None:
    """Clear away uploads of which nothing came for a day, and files that belong to none."""
    before = timezone.now() - timedelta(seconds=parts.ABANDONED_SECONDS)
    for upload in Upload.objects.filter(started_at__lt=before):
        if parts.is_abandoned(upload.token, upload.started_at.timestamp()):
            upload.delete()
            parts.remove(upload.token)
    parts.remove_strays(set(Upload.objects.values_list("token", flat=True)))
