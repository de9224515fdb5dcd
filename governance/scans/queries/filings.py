"""What is filed with an accession, a site or a paper, as pages list it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db.models import Prefetch, QuerySet

from accessions.material.models import Accession
from governance.scans.editions import name_key
from governance.scans.models import FiledScan, Filing, Scan, ScanMark
from governance.scans.queries.visible import may_open

F = TypeVar("F", bound=FiledScan)


@dataclass(frozen=True)
class Shown(Generic[F]):
    """One filing. is_open: whether the reader may open the scan; if not, only that it is there is shown."""

    filing: F
    is_open: bool

    @property
    def scan(self) -> Scan:
        """What is filed."""
        return self.filing.scan


@dataclass(frozen=True)
class FiledFile(Generic[F]):
    """A name with its editions: the newest, and those before it, newest first."""

    newest: Shown[F]
    earlier: Sequence[Shown[F]]


@dataclass(frozen=True)
class FileList(Generic[F]):
    """Files that stand, newest first, and filings that were taken off."""

    files: Sequence[FiledFile[F]]
    taken_off: Sequence[Shown[F]]

    @property
    def scan_keys(self) -> list[int]:
        """Keys of all scans that stand."""
        return [one.scan.pk for file in self.files for one in (file.newest, *file.earlier)]


def filed_on(place: Any, user: Any) -> FileList[Filing]:
    """The files of an accession or a site: two queries, however many."""
    column = "accession" if isinstance(place, Accession) else "site"
    return file_list(with_scans(Filing.objects.filter(**{column: place})), user)


def with_scans(filings: QuerySet[F]) -> QuerySet[F]:
    """With all that a list shows of each."""
    marks = ScanMark.objects.filter(withdrawn_at=None).select_related("other", "marked_by").order_by("pk")
    return filings.select_related("scan", "filed_by", "taken_off_by").prefetch_related(
        Prefetch("scan__marks", marks, to_attr="standing_marks")
    )


def file_list(filings: Iterable[F], user: Any) -> FileList[F]:
    """Filings by name, editions together."""
    shown = [Shown(filing, may_open(user, filing.scan)) for filing in filings]
    of_name: dict[str, list[Shown[F]]] = {}
    for one in sorted(shown, key=lambda one: (one.filing.edition, one.filing.pk), reverse=True):
        if one.filing.taken_off_at is None:
            of_name.setdefault(name_key(one.filing.name), []).append(one)
    files = [FiledFile(newest, earlier) for newest, *earlier in of_name.values()]
    files.sort(key=lambda file: file.newest.filing.pk, reverse=True)
    return FileList(files, [one for one in shown if one.filing.taken_off_at is not None])
