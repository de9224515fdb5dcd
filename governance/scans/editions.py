"""What comes again at the same place: the same content, or another content under the same name."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from typing import Generic, TypeVar

from accessions.names.folding import folded
from governance.scans.models import FiledScan, Scan

F = TypeVar("F", bound=FiledScan)


def name_key(name: str) -> str:
    """What tells names apart: neither case, nor blanks, nor the way in which accents are written."""
    return folded(unicodedata.normalize("NFKC", name))


class Standing(Generic[F]):
    """What is filed at one place and not taken off."""

    def __init__(self, filings: Iterable[F]) -> None:
        self._of_scan: dict[int, F] = {}
        self._of_name: dict[str, F] = {}
        for filing in sorted(filings, key=lambda one: (one.edition, one.pk)):
            self.add(filing)

    def add(self, filing: F) -> None:
        """Count one more in: it is the newest edition of its name."""
        self._of_scan.setdefault(filing.scan_id, filing)
        self._of_name[name_key(filing.name)] = filing

    def same_content(self, scan: Scan) -> F | None:
        """The filing of this very content, whatever it is called."""
        return self._of_scan.get(scan.pk)

    def edition_before(self, name: str) -> F | None:
        """The newest filing of this name, for a content that is not filed here."""
        return self._of_name.get(name_key(name))
