"""What linking a paper to many accessions would do: how many, how much lies in them, what is linked already."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count

from accessions.material.models import Accession, Specimen
from governance.papers.models import Paper, PaperLink
from governance.verdicts.models import Standing


@dataclass(frozen=True)
class AccessionToAttach:
    """One line of the preview. open: specimens that need a look now, in any layer."""

    accession: Accession
    specimens: int
    open: int
    is_linked: bool


@dataclass(frozen=True)
class BulkPreview:
    """All lines by number. stamp: of the very accessions that are shown."""

    lines: tuple[AccessionToAttach, ...]
    stamp: str

    @property
    def new(self) -> list[AccessionToAttach]:
        return [line for line in self.lines if not line.is_linked]

    @property
    def known(self) -> int:
        return len(self.lines) - len(self.new)

    @property
    def specimens(self) -> int:
        """Specimens for which the paper would newly speak."""
        return sum(line.specimens for line in self.new)


def bulk_preview(paper: Paper, accessions: Sequence[Accession]) -> BulkPreview:
    """Three queries, whatever the number of accessions."""
    keys = [accession.pk for accession in accessions]
    held = dict(Specimen.objects.filter(accession__in=keys).order_by().values_list("accession").annotate(Count("pk")))
    needing = Standing.objects.filter(specimen__accession__in=keys, worst__gte=2).order_by()
    open_in = dict(needing.values_list("specimen__accession").annotate(Count("pk")))
    linked = set(
        PaperLink.objects.filter(paper=paper, unlinked_at__isnull=True, accession__in=keys).values_list(
            "accession", flat=True
        )
    )
    lines = tuple(
        AccessionToAttach(row, held.get(row.pk, 0), open_in.get(row.pk, 0), row.pk in linked)
        for row in sorted(accessions, key=lambda row: row.number)
    )
    return BulkPreview(lines, _stamp(paper, keys))


def _stamp(paper: Paper, keys: Sequence[int]) -> str:
    return hashlib.sha256(f"{paper.pk}:{sorted(keys)}".encode()).hexdigest()[:32]
