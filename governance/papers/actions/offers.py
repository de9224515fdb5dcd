"""What was taken over from the words of a scan, and the pages on which readings stand: written with the paper they
belong to, in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db import transaction

from accessions.people.access import Verb, check
from accessions.people.announcing import announce
from accessions.people.history import record, remove
from governance.papers.actions.scans import file_scan
from governance.papers.models import AcceptedOffer, Paper, PaperVersion, ReadingPage
from governance.papers.offers import Offer
from governance.papers.queries.beside import Beside
from governance.scans.queries.visible import check_open


@dataclass(frozen=True)
class ReadFrom:
    """What a form knew of the scan beside it.

    taken: offers that were taken over and still stand. pages: by subject the page of the paper; None: the form had no
    boxes for them. start: first day of the version that the form was about; version_fields: which offers are of it.
    """

    beside: Beside | None = None
    taken: Sequence[Offer] = ()
    pages: Mapping[str, int] | None = None
    has_version: bool = False
    start: date | None = None
    version_fields: Sequence[str] = field(default_factory=tuple)


def saved_from_scan(*, save: Callable[[], Paper], read: ReadFrom, by: Any, why: str) -> Paper:
    """Save a paper by an action of ``registering``, file the scan beside the form with it, keep what was taken over.

    Raises:
        FileProblems, ChangedMeanwhileError: as ``save`` does; nothing is kept then.
        NotAllowedError: the scan is not open to the person.
    """
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        paper = save()
        beside = read.beside
        if beside is not None and beside.is_open and not _is_filed(paper, beside):
            file_scan(paper=paper, scan=beside.scan, first_page=beside.first, last_page=beside.last, by=by, why=why)
        version = paper.versions.filter(in_force_from=read.start).first() if read.has_version else None
        if version is not None and read.pages is not None:
            set_pages(version=version, pages=read.pages, by=by, why=why)
        if beside is not None and read.taken:
            check_open(by, beside.scan)
            _keep(paper, version, beside, read, by)
    return paper


def _is_filed(paper: Paper, beside: Beside) -> bool:
    """Whether it is filed there in any way, also since the form was opened: pages are then not filed a second time."""
    return beside.is_filed or paper.scans.filter(scan=beside.scan, taken_off_at=None).exists()


def set_pages(*, version: PaperVersion, pages: Mapping[str, int], by: Any, why: str) -> int:
    """Note on which page of the paper each reading stands; how many notes changed. A subject that is left out is not
    noted any more."""
    check(by, Verb.REGISTER_PAPERS)
    changed = 0
    with transaction.atomic():
        standing = {row.subject: row for row in ReadingPage.objects.select_for_update().filter(version=version)}
        for subject, row in standing.items():
            if subject not in pages:
                remove(row, by=by, why=why)
                changed += 1
        for subject, page in pages.items():
            row = standing.get(subject) or ReadingPage(version=version, subject=subject)
            if row.pk and row.page == page:
                continue
            is_new, row.page = row.pk is None, page
            record(row, by=by, why=why, fields=None if is_new else ["page"])
            changed += 1
    return changed


def _keep(paper: Paper, version: PaperVersion | None, beside: Beside, read: ReadFrom, by: Any) -> None:
    known = set(
        AcceptedOffer.objects.filter(paper=paper, scan=beside.scan).values_list(
            "version_id", "field", "value", "page", "start"
        )
    )
    rows = [
        AcceptedOffer(
            paper=paper, version=version if offer.field in read.version_fields else None, field=offer.field,
            value=offer.value, read_from=offer.words, scan=beside.scan, page=offer.page, start=offer.start,
            accepted_by=by,
        )
        for offer in read.taken
    ]  # fmt: skip
    made = AcceptedOffer.objects.bulk_create(
        row for row in rows if (row.version_id, row.field, row.value, row.page, row.start) not in known
    )
    announce(AcceptedOffer, [row.pk for row in made], by=by)
