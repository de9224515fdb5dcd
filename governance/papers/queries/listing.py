"""The list of papers: narrowed, with how each stands on a day and what it is linked to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import Count, F, Q, QuerySet

from governance.engine.tables import Layer
from governance.papers.lifetimes import Lifetime, Standing, in_order, lifetime
from governance.papers.models import Paper
from governance.papers.queries.links import standing
from governance.papers.queries.terms_on_pages import binding, read_counts, state_of
from governance.papers.restriction import is_readable, readable

STATES: Final = ("in-force", "ending", "ended", "suspended", "not-yet", "unread", "not-given")
"""What a list can be narrowed to; ``ending`` is in force and ends within some days."""

_GROUP_OF: Final = {
    Standing.IN_FORCE: "in-force", Standing.NOT_YET: "not-yet", Standing.BETWEEN: "suspended",
    Standing.SUSPENDED: "suspended", Standing.ENDED: "ended", Standing.REVOKED: "ended",
    Standing.WITHDRAWN: "ended", Standing.SURRENDERED: "ended", Standing.UNREAD: "unread",
    Standing.APPLIED: "not-given", Standing.REFUSED: "not-given",
}  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """What a list is narrowed to; blank: not at all."""

    on: date
    text: str = ""
    layer: Layer | None = None
    kind: str = ""
    jurisdiction: str = ""
    state: str = ""
    within_days: int = 60
    terms: str = ""
    sort: str = "reference"


@dataclass(frozen=True)
class PaperRow:
    """One line of the list. uses_read: of the version whose terms of use bind on the day."""

    paper: Paper
    life: Lifetime
    is_readable: bool = True
    uses_read: int = 0

    @property
    def terms(self) -> str:
        """How far its terms of use were read: ``read``, ``partly``, ``not-read``."""
        return state_of(self.uses_read)

    @property
    def jurisdiction(self) -> str:
        return self.paper.jurisdiction if self.is_readable else ""

    @property
    def pk(self) -> int:
        return int(self.paper.pk)


_SORTS: Final[dict[str, Callable[[PaperRow], Any]]] = {
    "reference": lambda row: row.paper.reference,
    "kind": lambda row: (str(row.paper.get_kind_display()), row.paper.reference),
    "jurisdiction": lambda row: (row.jurisdiction, row.paper.reference),
    "first": lambda row: (row.life.first or date.min, row.paper.reference),
    "last": lambda row: (row.life.last or date.max, row.paper.reference),
    "terms": lambda row: (row.uses_read, row.paper.reference),
}
SORTS: Final = tuple(_SORTS)


def paper_rows(wanted: Wanted, reader: Any) -> list[PaperRow]:
    """All papers that fit, in order. Four queries: papers, versions, turns, uses that were read.

    reader: who asks. A paper that is not open to the reader is found by what everybody sees of it, and by nothing else.
    """
    read = read_counts()
    found = [
        PaperRow(paper, lifetime(paper, wanted.on), is_readable(paper, reader), _uses_read(paper, wanted.on, read))
        for paper in narrowed(wanted, reader).prefetch_related("versions", "statuses")
    ]
    kept = [row for row in found if _fits(row.life, wanted) and wanted.terms in ("", row.terms)]
    key = wanted.sort.removeprefix("-")
    return sorted(kept, key=_SORTS.get(key, _SORTS["reference"]), reverse=wanted.sort.startswith("-"))


def _uses_read(paper: Paper, on: date, read: Mapping[int, int]) -> int:
    versions = in_order(paper.versions.all())
    return read.get(binding(versions, on).pk, 0) if versions else 0


def narrowed(wanted: Wanted, reader: Any) -> QuerySet[Paper]:
    """The papers that fit, whatever their state on the day."""
    rows = Paper.objects.all()
    own = readable(Paper.objects.all(), reader).order_by().values("pk")
    for word in wanted.text.split():
        inside = (
            Q(second_number__icontains=word) | Q(issuer__icontains=word) | Q(holder__icontains=word)
            | Q(remarks__icontains=word)
        )  # fmt: skip
        rows = rows.filter(Q(reference__icontains=word) | (inside & Q(pk__in=own)))
    if wanted.layer is not None:
        rows = rows.annotate(bits=F("layers").bitand(1 << wanted.layer)).filter(bits__gt=0)
    if wanted.kind:
        rows = rows.filter(kind=wanted.kind)
    if wanted.jurisdiction:
        of_it = Q(jurisdiction=wanted.jurisdiction) | Q(jurisdiction__startswith=f"{wanted.jurisdiction}-")
        rows = rows.filter(of_it, pk__in=own)
    return rows


def _fits(life: Lifetime, wanted: Wanted) -> bool:
    if not wanted.state:
        return True
    if wanted.state == "ending":
        return life.days_left is not None and life.days_left <= wanted.within_days
    return _GROUP_OF[life.standing] == wanted.state


def counts_of_states(rows: Sequence[PaperRow], within_days: int) -> Counter[str]:
    """How many papers of the rows are in each state of ``STATES``."""
    counts = Counter(_GROUP_OF[row.life.standing] for row in rows)
    counts["ending"] = sum(1 for row in rows if row.life.days_left is not None and row.life.days_left <= within_days)
    return counts


def jurisdictions(reader: Any) -> list[str]:
    """Countries that a paper is of which the reader may read."""
    rows = readable(Paper.objects.all(), reader).exclude(jurisdiction="").order_by()
    codes = rows.values_list("jurisdiction", flat=True).distinct()
    return sorted({code[:2] for code in codes})


@dataclass(frozen=True)
class LinkCounts:
    """How many links of each kind a paper has."""

    accessions: int = 0
    parts: int = 0
    sites: int = 0
    events: int = 0
    specimens: int = 0
    all_accessions: bool = False


def link_counts(papers: Sequence[int]) -> dict[int, LinkCounts]:
    """By paper; one query."""
    counted = standing().filter(paper__in=papers).order_by().values("paper_id").annotate(
        accessions=Count("accession_id"), parts=Count("part_id"), sites=Count("site_id"), events=Count("event_id"),
        specimens=Count("specimen_id"), everything=Count("pk", filter=Q(all_accessions=True)),
    )  # fmt: skip
    return {
        row["paper_id"]: LinkCounts(
            row["accessions"], row["parts"], row["sites"], row["events"], row["specimens"], bool(row["everything"])
        )
        for row in counted
    }
