"""The papers of the register as the engine takes them, with the boundaries of the sites that they name."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from governance.engine.pairs import Edition
from governance.engine.tables import Paper, Version
from governance.papers.queries import Links, held_papers, links_of
from governance.verdicts.feed.boundaries import Boundaries, boundaries_by_key, cut
from governance.verdicts.feed.links import link_keys


@dataclass(frozen=True)
class FedPapers:
    """papers: for the engine, by key. ids: key of each. starts: by ``id`` of a version the start of the paper's own.

    written, boundaries: the papers before the boundaries of sites were drawn in, and these.
    """

    papers: tuple[Paper, ...]
    ids: tuple[int, ...]
    starts: Mapping[int, int | None]
    written: tuple[Paper, ...] = field(default=(), repr=False)
    boundaries: Boundaries = field(default_factory=dict, repr=False)

    def by_name(self, sites: frozenset[str]) -> FedPapers:
        """The same papers, with these sites included by their name alone, as the papers write them.

        For a place that is such a site itself: its outline would lie on that of the paper, edge on edge. What a paper
        excludes keeps its boundary, and so does a site that the paper itself maps.

        Args:
            sites: folded codes and names.
        """
        drawn = {key: of for key, of in self.boundaries.items() if key not in sites}
        return _fed(self.written, self.ids, self.boundaries, drawn)

    def versions_of(self, edition: Edition) -> list[int | None]:
        """Start days of the versions that an edition tests, as the paper writes them."""
        return list(dict.fromkeys(self.starts[id(version)] for version in edition.versions))

    def used(self) -> list[list[object]]:
        """Key and version starts of every paper, for the record of a run."""
        return [
            [pk, list(dict.fromkeys(self.starts[id(version)] for version in paper.versions))]
            for pk, paper in zip(self.ids, self.papers, strict=True)
        ]


def fed_papers(linked: Mapping[int, Links] | None = None) -> FedPapers:
    """Papers that are linked to something and were given.

    linked: what to hold specimens against, by the key of the paper; None for all that is linked now.
    """
    all_links = links_of() if linked is None else linked
    keys = link_keys(all_links)
    boundaries = boundaries_by_key()
    written, ids = [], []
    for held in held_papers(None if linked is None else list(linked), with_links=False):
        if held.pk in all_links:
            written.append(dataclasses.replace(held.paper, covers=keys.covers(all_links[held.pk])))
            ids.append(held.pk)
    return _fed(tuple(written), tuple(ids), boundaries, boundaries)


def _fed(written: tuple[Paper, ...], ids: tuple[int, ...], boundaries: Boundaries, drawn: Boundaries) -> FedPapers:
    """The papers with the boundaries drawn in. drawn: those of the places that papers include."""
    starts: dict[int, int | None] = {}
    papers = tuple(
        dataclasses.replace(paper, versions=tuple(_cut(paper, boundaries, drawn, starts))) for paper in written
    )
    return FedPapers(papers, ids, starts, written, boundaries)


def _cut(paper: Paper, boundaries: Boundaries, drawn: Boundaries, starts: dict[int, int | None]) -> list[Version]:
    """The versions, cut where a boundary changes; notes the start that the paper itself writes."""
    found = []
    following = _following_starts(paper.versions)
    for version in paper.versions:
        for piece in cut(version, following[id(version)], boundaries, drawn):
            starts[id(piece)] = version.from_day
            found.append(piece)
    return found


def _following_starts(versions: Sequence[Version]) -> dict[int, int | None]:
    """By ``id`` of a version the day on which the next one supersedes it; None for the last."""
    ordered = sorted(versions, key=lambda v: (v.from_day is not None, v.from_day or 0))
    after = [*(version.from_day for version in ordered[1:]), None]
    return {id(version): day for version, day in zip(ordered, after, strict=False)}
