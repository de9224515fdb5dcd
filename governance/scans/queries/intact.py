"""Whether the store holds what the register says: every content against its hash."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.core.files.storage import Storage
from django.db.models import QuerySet, Sum

from governance.scans.models import Scan
from governance.scans.store import store

CHUNK_BYTES = 1 << 20
NOT_SCANS = ("seal-heads/", "evidence/")
"""Folders of the store that hold something else: heads of the seal, a file a day; evidence, kept for a day."""


@dataclass(frozen=True)
class Wrong:
    """One scan of which the store holds nothing, or something else.

    found_sha256: the hash of what is there; "" for nothing, or for what cannot be read.
    """

    scan: int
    name: str
    stored_name: str
    sha256: str
    size_bytes: int
    found_sha256: str = ""
    found_bytes: int = 0


@dataclass(frozen=True)
class Orphan:
    """A content in the store of which no row knows."""

    stored_name: str
    size_bytes: int


@dataclass
class Intactness:
    """What the check found. intact_bytes: of the contents that are as they should be."""

    scans: int = 0
    intact: int = 0
    intact_bytes: int = 0
    missing: list[Wrong] = field(default_factory=list)
    altered: list[Wrong] = field(default_factory=list)
    orphaned: list[Orphan] = field(default_factory=list)

    @property
    def is_intact(self) -> bool:
        """Whether nothing is missing, altered or left over."""
        return not (self.missing or self.altered or self.orphaned)


def bytes_to_check() -> int:
    """How much there is to read, by what the register says."""
    return int(_with_content().aggregate(total=Sum("size_bytes"))["total"] or 0)


def _with_content() -> QuerySet[Scan]:
    """Scans whose content is kept: of those that were disposed of a content that is still there is left over."""
    return Scan.objects.filter(disposed_on__isnull=True)


def check_intact(step: Callable[[int], None] = lambda size_bytes: None) -> Intactness:
    """Read everything in the store. step: called after each scan with its size.

    What is in the store is listed first and compared last, so that a file that is received meanwhile is no orphan.
    """
    place, found = store(), Intactness()
    kept = {key for key in keys_below(place, "") if not key.startswith(NOT_SCANS)}
    for scan in _with_content().order_by("pk").iterator():
        _check(place, scan, found)
        step(scan.size_bytes)
    for key in sorted(kept - set(_with_content().values_list("stored_name", flat=True))):
        found.orphaned.append(Orphan(key, place.size(key)))
    return found


def _check(place: Storage, scan: Scan, found: Intactness) -> None:
    found.scans += 1
    told: dict[str, Any] = {
        "scan": scan.pk, "name": scan.original_name, "stored_name": scan.stored_name, "sha256": scan.sha256,
        "size_bytes": scan.size_bytes,
    }  # fmt: skip
    try:
        sha256, size_bytes = _hash_of(place, scan.stored_name)
    except FileNotFoundError:
        found.missing.append(Wrong(**told))
        return
    except OSError:  # a disk that fails, a file that is not ours to read
        found.altered.append(Wrong(**told))
        return
    if (sha256, size_bytes) != (scan.sha256, scan.size_bytes):
        found.altered.append(Wrong(**told, found_sha256=sha256, found_bytes=size_bytes))
        return
    found.intact += 1
    found.intact_bytes += size_bytes


def _hash_of(place: Storage, key: str) -> tuple[str, int]:
    digest, size_bytes = hashlib.sha256(), 0
    with place.open(key, "rb") as content:
        while chunk := content.read(CHUNK_BYTES):
            digest.update(chunk)
            size_bytes += len(chunk)
    return digest.hexdigest(), size_bytes


def keys_below(place: Storage, folder: str) -> Iterator[str]:
    """Every key of a folder of the store, "" for all; none if nothing was ever kept."""
    try:
        folders, files = place.listdir(folder)
    except FileNotFoundError:
        return
    prefix = f"{folder}/" if folder else ""
    yield from (prefix + name for name in files if name)
    for name in folders:
        if name:
            yield from keys_below(place, prefix + name)
