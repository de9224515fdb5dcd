"""What goes when a paper is disposed of, what stays because something else names it, and what went."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from governance.audit.models import Disposal, Minimisation, Opening
from governance.papers.models import AcceptedOffer, Paper, PaperScan, TitleRecord
from governance.papers.restriction import is_readable, restricted_words
from governance.scans.models import Filing, Scan, ScanMark, ScanPage, Upload

_GOES_ALONG: Final = frozenset({ScanPage, Upload, Opening, AcceptedOffer})
"""Rows that name a scan and do not need its content: its own words, how it came, who opened it, what was read then."""

HEADERS: Final = ("disposed of on", "paper", "rule", "kept until", "why", "by", "file", "bytes", "sha-256")


@dataclass(frozen=True)
class Going:
    """scans: their files and words go. staying: scans of the paper whose content something else needs, with what."""

    scans: Sequence[Scan]
    staying: Sequence[tuple[Scan, str]]

    @property
    def seen(self) -> str:
        """The keys of what goes, as the page showed them."""
        return ",".join(str(scan.pk) for scan in self.scans)

    @property
    def files(self) -> list[dict[str, Any]]:
        """Name, size and hash of each file, as the disposal keeps them."""
        return [{"name": one.original_name, "size": one.size_bytes, "sha256": one.sha256} for one in self.scans]


def going(paper: Paper) -> Going:
    """The scans that were ever filed with the paper and have their content."""
    filed = PaperScan.objects.filter(paper=paper).values("scan")
    scans = list(Scan.objects.filter(pk__in=filed, disposed_on__isnull=True).order_by("pk"))
    needed = [(scan, _needed_by(scan, paper)) for scan in scans]
    return Going([scan for scan, by in needed if not by], [(scan, by) for scan, by in needed if by])


def _needed_by(scan: Scan, paper: Paper) -> str:
    """What else names a scan, in words; "" for nothing."""
    for relation in Scan._meta.related_objects:
        model, column = relation.related_model, relation.field.name
        if relation.hidden or model in _GOES_ALONG or (model is ScanMark and column == "scan"):
            continue
        rows: QuerySet[Any] = model._base_manager.filter(**{column: scan})
        if model is PaperScan:
            rows = rows.filter(taken_off_at__isnull=True).exclude(paper=paper).exclude(paper__disposals__isnull=False)
        elif model is Filing:
            rows = rows.filter(taken_off_at__isnull=True)
        if rows.exists():
            return str(model._meta.verbose_name_plural)
    if TitleRecord.history.filter(scan=scan).exists():
        return _("title records that were removed")
    return ""


def disposals() -> QuerySet[Disposal]:
    """What was disposed of, newest first."""
    return Disposal.objects.select_related("paper", "disposed_by")


def minimisations() -> QuerySet[Minimisation]:
    """Whose data were taken out, newest first."""
    return Minimisation.objects.select_related("agent", "minimised_by")


def disposals_file(reader: Any) -> Iterator[tuple[Any, ...]]:
    """A row a file that went; one without file where a paper had none, or is not open to the reader."""
    for one in disposals():
        is_open = is_readable(one.paper, reader)
        for file in (one.files if is_open else []) or [{}]:
            yield (
                timezone.localdate(one.disposed_at).isoformat(), one.paper.reference, one.rule, one.due_on.isoformat(),
                one.why if is_open else restricted_words(one.paper.restricted_to), one.disposed_by.shown_name,
                file.get("name", _("no file") if is_open else ""), file.get("size", ""),
                file.get("sha256", ""),
            )  # fmt: skip
