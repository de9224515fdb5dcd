"""The scans of papers, and the papers in a scan."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_
from typing import Any

from django.db.models import Case, IntegerField, Q, Value, When

from accessions.people.access import EVERY_ROLE, roles_of_bits
from governance.papers.models import Paper, PaperScan
from governance.papers.page_ranges import uncovered
from governance.papers.restriction import is_readable
from governance.scans.models import Scan
from governance.scans.queries.filings import FileList, file_list, with_scans


@dataclass(frozen=True)
class PaperScans:
    """The scans of a paper. shown: the one that opens beside its readings; None if there is none that may be shown.
    may_drop: whether the paper is open to the reader, who then may file scans under it if the role allows that.
    """

    found: FileList[PaperScan]
    shown: PaperScan | None
    may_drop: bool

    @property
    def is_closed(self) -> bool:
        """There are scans, and the reader may open none of them."""
        return bool(self.found.files) and not any(file.newest.is_open for file in self.found.files)


def scans_of_paper(paper: Paper, user: Any, choice: str = "") -> PaperScans:
    """Two queries. choice: the key of the filing that the reader asked for."""
    found = file_list(with_scans(PaperScan.objects.filter(paper=paper)), user)
    every = [one for file in found.files for one in (file.newest, *file.earlier)]
    open_ones = [one.filing for one in every if one.is_open]
    newest = [file.newest.filing for file in reversed(found.files) if file.newest.is_open]
    drawn = [filing for filing in newest if filing.scan.page_count]
    asked = next((filing for filing in open_ones if str(filing.pk) == choice), None)
    shown = asked or next(iter(drawn or newest), None)
    return PaperScans(found, shown, is_readable(paper, user))


def papers_in_scans(scans: Collection[int]) -> dict[int, list[PaperScan]]:
    """By scan what of it is which paper; one query."""
    found: dict[int, list[PaperScan]] = {}
    if scans:
        filed = PaperScan.objects.filter(scan__in=scans, taken_off_at=None).select_related("paper")
        for one in filed.order_by("first_page", "pk"):
            found.setdefault(one.scan_id, []).append(one)
    return found


@dataclass(frozen=True)
class PageOf:
    """One page of a scan and the papers that it belongs to."""

    number: int
    papers: Sequence[Paper]


@dataclass(frozen=True)
class Ranges:
    """Which pages of a scan are which paper. free: runs of pages that belong to none."""

    standing: Sequence[PaperScan]
    pages: Sequence[PageOf]
    free: Sequence[tuple[int, int]]


def ranges_of(scan: Scan) -> Ranges:
    """One query."""
    standing = papers_in_scans([scan.pk]).get(scan.pk, [])
    count = scan.page_count or 0
    taken = [(one, (one.first_page or 1, one.last_page or count)) for one in standing]
    pages = [
        PageOf(number, [one.paper for one, (first, last) in taken if first <= number <= last])
        for number in range(1, count + 1)
    ]
    return Ranges(standing, pages, uncovered([pages for _one, pages in taken], count))


_MOST_CHOICES = 500


def paper_choices(scan: Scan) -> list[Paper]:
    """Papers that a box offers: first those linked to where the scan is filed, then the newest."""
    filed = scan.filings.filter(taken_off_at=None)
    accessions, sites = filed.values("accession"), filed.values("site")
    linked = Q(links__unlinked_at=None) & (
        Q(links__accession__in=accessions) | Q(links__part__accession__in=accessions) | Q(links__site__in=sites)
    )
    near = Case(When(pk__in=Paper.objects.filter(linked).values("pk"), then=Value(0)), default=Value(1),
                output_field=IntegerField())  # fmt: skip
    return list(Paper.objects.annotate(near=near).order_by("near", "-pk")[:_MOST_CHOICES])


def bits_of_papers(scan: Scan, without: PaperScan | None = None) -> int:
    """Bits of the roles to which all papers in a scan are open; one query. without: a filing that does not count."""
    standing = PaperScan.objects.filter(scan=scan, taken_off_at=None)
    if without is not None:
        standing = standing.exclude(pk=without.pk)
    bits: list[int] = list(standing.values_list("paper__restricted_to", flat=True))
    return int(reduce(and_, bits, EVERY_ROLE))


def opens_to(filed: PaperScan) -> str:
    """The roles that could open a scan once it is taken off a paper, in words; "" if they are those of now."""
    after = filed.scan.restricted_to & bits_of_papers(filed.scan, without=filed)
    return ", ".join(str(role.label) for role in roles_of_bits(after)) if after != filed.scan.open_to else ""
