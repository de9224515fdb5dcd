"""Versions whose terms of use were not read, or in part: what most material hangs on comes first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, Final

from django.db.models import Count

from accessions.material.models import SamplingEvent, Specimen
from governance.papers.lifetimes import in_order
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.links import Links, links_of
from governance.papers.queries.terms_on_pages import USES, binding, read_counts, state_of


@dataclass(frozen=True)
class UnreadRow:
    """One version. read: uses of which something was entered. specimens: linked, each link counted by itself, so that
    there are at most so many."""

    version: PaperVersion
    read: int
    specimens: int
    links: int

    @property
    def unread(self) -> int:
        return USES - self.read

    @property
    def state(self) -> str:
        return state_of(self.read)


@dataclass(frozen=True)
class UnreadTerms:
    """The list. versions: how many were looked at; without: papers that have no version whose terms could be read."""

    rows: Sequence[UnreadRow]
    versions: int
    without: int
    sort: str
    only_now: bool

    @property
    def not_at_all(self) -> int:
        """Versions of which nothing was read."""
        return sum(1 for row in self.rows if not row.read)


_SORTS: Final[dict[str, Callable[[UnreadRow], Any]]] = {
    "specimens": lambda row: (row.specimens, row.links),
    "reference": lambda row: row.version.paper.reference,
    "kind": lambda row: str(row.version.paper.get_kind_display()),
    "first": lambda row: row.version.in_force_from or date.min,
    "unread": lambda row: row.unread,
}
SORTS: Final = tuple(_SORTS)


def unread_terms(on: date, *, sort: str = "-specimens", only_now: bool = True) -> UnreadTerms:
    """The list on a day. Four queries, and one that counts all specimens for each kind of target that is linked.

    only_now: only the version of each paper that binds on the day; else the earlier and the coming ones, too.
    """
    papers = list(Paper.objects.order_by("reference").prefetch_related("versions"))
    counts = read_counts()
    looked_at = [(paper, version) for paper in papers for version in _versions(paper, on, only_now)]
    unread = [(paper, version) for paper, version in looked_at if counts.get(version.pk, 0) < USES]
    specimens = _Specimens(links_of({paper.pk for paper, _ in unread}) if unread else {})
    rows = [
        UnreadRow(version, counts.get(version.pk, 0), specimens.of(paper.pk), specimens.links(paper.pk))
        for paper, version in unread
    ]
    rows.sort(key=_SORTS[sort.removeprefix("-")], reverse=sort.startswith("-"))
    without = sum(1 for paper in papers if not paper.versions.all())
    return UnreadTerms(rows, len(looked_at), without, sort, only_now)


def _versions(paper: Paper, on: date, only_now: bool) -> list[PaperVersion]:
    ordered = in_order(paper.versions.all())
    return ([binding(ordered, on)] if only_now else ordered) if ordered else []


class _Specimens:
    """How many specimens papers are linked to. Each kind of target is counted once for all papers."""

    def __init__(self, linked: Mapping[int, Links]) -> None:
        self._linked = linked

    def links(self, paper: int) -> int:
        found = self._linked.get(paper, Links())
        kinds = (found.accessions, found.parts, found.sites, found.events, found.specimens)
        return sum(map(len, kinds)) + found.all_accessions

    def of(self, paper: int) -> int:
        found = self._linked.get(paper)
        if found is None:
            return 0
        if found.all_accessions:
            return sum(self._by_event.values())
        kinds = {
            "_by_accession": found.accessions, "_by_part": found.parts, "_by_event": found.events,
            "_by_site": found.sites,
        }  # fmt: skip
        counted = (_sum(keys, getattr(self, counts)) for counts, keys in kinds.items() if keys)
        return len(found.specimens) + sum(counted)

    @cached_property
    def _by_accession(self) -> dict[int, int]:
        return _counted("accession")

    @cached_property
    def _by_part(self) -> dict[int, int]:
        return _counted("part")

    @cached_property
    def _by_event(self) -> dict[int, int]:
        return _counted("event")

    @cached_property
    def _by_site(self) -> dict[int, int]:
        found: dict[int, int] = {}
        events = SamplingEvent.objects.filter(site__isnull=False).order_by()
        for event, site in events.values_list("pk", "site_id").iterator():
            found[site] = found.get(site, 0) + self._by_event.get(event, 0)
        return found


def _sum(keys: Iterable[int], counts: Mapping[int, int]) -> int:
    return sum(counts.get(key, 0) for key in keys)


def _counted(column: str) -> dict[int, int]:
    rows = Specimen.objects.order_by().filter(**{f"{column}__isnull": False})
    return dict(rows.values_list(column).annotate(n=Count("pk")))
