"""What the store holds, for whoever reads a scan."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, cast

from django.core.files.storage import Storage

from governance.scans.models import Scan
from governance.scans.store import store

CHUNK_BYTES = 1 << 20


def open_content(scan: Scan) -> BinaryIO:
    """The content of a scan, from its beginning. The caller closes it.

    Raises:
        FileNotFoundError: the store has lost it.
    """
    return cast(BinaryIO, store().open(scan.stored_name, "rb"))


@contextlib.contextmanager
def content_on_disk(scan: Scan) -> Iterator[Path]:
    """The content as a file that a program may open by its path: the one of the store, or a copy for the moment.

    Raises:
        FileNotFoundError: the store has lost it.
    """
    place: Storage = store()
    try:
        path = Path(place.path(scan.stored_name))
    except NotImplementedError:  # a store that is no local disk
        with tempfile.NamedTemporaryFile() as copy, open_content(scan) as content:
            for chunk in iter(lambda: content.read(CHUNK_BYTES), b""):
                copy.write(chunk)
            copy.flush()
            yield Path(copy.name)
        return
    if not path.is_file():
        raise FileNotFoundError(scan.stored_name)
    yield path
