"""Files that a form sends whole: no more of one is written to the disk than it takes to see that it is too large."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler

FIELDS = frozenset({"files", "photographs"})
"""Fields of forms that take scans. Other forms read what they get, and must get all of it."""


class NoMoreThanTheLimit(FileUploadHandler):
    """Stands before the handlers that keep: the first byte past the limit passes, so that the receipt refuses the file
    by its size; what comes behind it is read from the network and forgotten."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Begin to count."""
        super().new_file(*args, **kwargs)
        self._left = int(settings.FIELDWRIT_LARGEST_FILE_MB) * 1_000_000 + 1

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """What passes of a chunk; None: nothing."""
        if self.field_name not in FIELDS:
            return raw_data
        passed = raw_data[: self._left]
        self._left -= len(passed)
        return passed or None

    def file_complete(self, file_size: int) -> UploadedFile[Any] | None:
        """The handlers behind make the file."""
        return None
