"""What papers are linked to: by key for the engine and the lists, by name for the exchange file."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Final

from django.db.models import CharField, F, QuerySet, Value
from django.db.models.functions import Concat

from accessions.material.models import Part
from governance.papers.models import Paper, PaperLink

PART_MARK: Final = "/"
"""Between accession and part in the exchange file: LMN-2024-038/A."""

ALL: Final = "*"


@dataclass
class Links:
    """What one paper is linked to, as primary keys."""

    all_accessions: bool = False
    accessions: set[int] = field(default_factory=set)
    parts: set[int] = field(default_factory=set)
    sites: set[int] = field(default_factory=set)
    events: set[int] = field(default_factory=set)
    specimens: set[int] = field(default_factory=set)

    def __bool__(self) -> bool:
        return self.all_accessions or any((self.accessions, self.parts, self.sites, self.events, self.specimens))


def standing(links: QuerySet[PaperLink] | None = None) -> QuerySet[PaperLink]:
    """Links that were not taken off."""
    return (PaperLink.objects.all() if links is None else links).filter(unlinked_at__isnull=True)


def links_of(papers: Iterable[Paper | int] | None = None) -> dict[int, Links]:
    """What each paper is linked to now, by the paper's key; one query. None: every paper that has a link."""
    rows = standing().order_by()
    if papers is not None:
        rows = rows.filter(paper__in=[p if isinstance(p, int) else p.pk for p in papers])
    return links_among(rows)


def links_among(rows: QuerySet[PaperLink]) -> dict[int, Links]:
    """What each paper is linked to by some links; one query."""
    found: dict[int, Links] = {}
    columns = ("paper_id", "all_accessions", "accession_id", "part_id", "site_id", "event_id", "specimen_id")
    for paper, every, *keys in rows.values_list(*columns).iterator():
        links = found.setdefault(paper, Links())
        links.all_accessions |= every
        targets = (links.accessions, links.parts, links.sites, links.events, links.specimens)
        for keys_of_kind, key in zip(targets, keys, strict=True):
            if key is not None:
                keys_of_kind.add(key)
    return found


def standing_links(paper: Paper) -> list[PaperLink]:
    """The links of a paper with what they lead to; one query."""
    return list(
        standing(paper.links.all()).select_related("accession", "part__accession", "site", "event", "specimen")
    )  # fmt: skip


_NAMES: Final = {
    "accessions": "accession__number",
    "sites": "site__code",
    "events": "event__number",
    "specimens": "specimen__catalog_number",
}
"""Where the name of each kind of link stands."""


def names_of_links(papers: Collection[int]) -> dict[int, dict[str, list[str]]]:
    """The object ``covers`` of each paper. Specimens and events without a number have no name and are not in it."""
    found: dict[int, dict[str, list[str]]] = {
        paper: {"accessions": [], "sites": [], "events": [], "specimens": []} for paper in papers
    }
    rows = standing().filter(paper__in=papers)
    for paper in rows.filter(all_accessions=True).values_list("paper_id", flat=True):
        found[paper]["accessions"].append(ALL)
    for key, path in _NAMES.items():
        named = rows.exclude(**{path: None}).exclude(**{path: ""}).order_by(path).values_list("paper_id", path)
        for paper, name in named.distinct().iterator():
            found[paper][key].append(name)
    for paper, name in _named_parts(rows):
        found[paper].setdefault("parts", []).append(name)
    return found


def _named_parts(rows: QuerySet[PaperLink]) -> Iterable[tuple[int, str]]:
    with_name = rows.filter(part__isnull=False).annotate(name=part_name("part__"))
    return with_name.order_by("name").values_list("paper_id", "name").iterator()


def part_name(prefix: str = "") -> Concat:
    """The name of a part in the exchange file, as an expression."""
    return Concat(
        F(f"{prefix}accession__number"), Value(PART_MARK), F(f"{prefix}letter"), output_field=CharField()
    )  # fmt: skip


def parts_by_name(names: Collection[str]) -> dict[str, int]:
    """The key of each part that exists."""
    return dict(Part.objects.annotate(name=part_name()).filter(name__in=names).values_list("name", "pk"))
