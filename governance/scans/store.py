"""The store of the contents: written once under names that we make, never changed."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from django.core.files import File
from django.core.files.storage import Storage, storages

STORE = "scans"
"""The name of the store in ``STORAGES``."""


def store() -> Storage:
    """The store that the settings name: a folder of the local disk, or a bucket of an S3-compatible service."""
    return storages[STORE]


def new_key() -> str:
    """A name in the store that nobody can guess and that says nothing of the content."""
    token = secrets.token_hex(16)
    return f"{token[:2]}/{token}"


def keep(path: Path, key: str) -> None:
    """Copy a file into the store, and on the local disk wait until it is written down.

    Raises:
        FileExistsError: another content has this name; nothing is overwritten.
    """
    place = store()
    with path.open("rb") as content:
        kept = place.save(key, File(content, name=key))
    if kept != key:
        place.delete(kept)
        raise FileExistsError(f"the store holds another file named {key}")
    _write_down(place, key)


def _write_down(place: Storage, key: str) -> None:
    """Ask the system to put file and folders on the disk: a row must not outlive its content when the power fails."""
    try:
        path = Path(place.path(key))
    except NotImplementedError:  # no local disk: the service answers when it is written down
        return
    for entry in (path, path.parent, path.parent.parent):
        handle = os.open(entry, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def drop(key: str) -> None:
    """Remove what no row names."""
    store().delete(key)


def errors_of_the_store() -> tuple[type[Exception], ...]:
    """What a store raises that cannot be reached or lets nobody in: a disk, or a service if its library is there."""
    try:
        from botocore.exceptions import BotoCoreError, ClientError
    except ImportError:
        return (OSError,)
    return (OSError, BotoCoreError, ClientError)
