"""Which names a change of the classification touches: a new name can say where others stand."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from governance.engine.tables import BoolColumn, ListedTaxon, Taxa
from governance.engine.taxa import Classification
from governance.papers.queries import held_papers
from governance.verdicts.feed.facts import lists_digest, names
from governance.verdicts.feed.rows import select
from governance.verdicts.models import Run


def names_used() -> str:
    """A mark of the classification of now: the largest key of a name, how many there are, a digest of the lists."""
    ((largest, count),) = select("SELECT COALESCE(MAX(id), 0), COUNT(*) FROM names_writtenname")
    return f"{largest} {count} {lists_digest()}"


def renamed() -> list[int] | None:
    """Keys of the names that some paper would read otherwise than before; None for all.

    Before is the classification of the last run that took up all its changes: rows are only added to it, so it is what
    is there up to the largest key of then, unless a row came late or a list changed.
    """
    run = Run.objects.filter(state=Run.State.DONE).exclude(names="").first()
    if run is None:
        return None
    largest, count, lists = run.names.split()
    now = names()
    old = int(np.searchsorted(now.ids, int(largest), side="right"))
    if old != int(count) or lists != lists_digest():
        return None
    listed, by_species = _asked()
    before = Classification(_without(now.taxa, old, len(now.ids)))
    after = now.classification
    differs = np.ones(len(now.ids), bool)
    differs[:old] = _differing(before, after, old, listed, by_species=by_species)
    return [int(pk) for pk in now.ids[differs]]


def _asked() -> tuple[set[ListedTaxon], bool]:
    """All names on papers, and whether a cap counts each species apart."""
    versions = [version for held in held_papers(with_links=False) for version in held.paper.versions]
    caps = [cap for version in versions for cap in version.caps]
    listed = {taxon for version in versions for taxon in (*version.include_taxa, *version.exclude_taxa)}
    return listed | {cap.taxon for cap in caps if cap.taxon is not None}, any(cap.each_species for cap in caps)


def _without(taxa: Taxa, first: int, last: int) -> Taxa:
    """The statements but for those from first to last."""
    rows = [*range(first), *range(last, len(taxa))]
    return Taxa(
        lineage=[taxa.lineage[row] for row in rows],
        unranked=[taxa.unranked[row] for row in rows],
        qualified=taxa.qualified[rows],
        text=[taxa.text[row] for row in rows],
    )


def _differing(
    before: Classification, after: Classification, count: int, listed: Iterable[ListedTaxon], *, by_species: bool
) -> BoolColumn:
    """Which of the first statements stand otherwise to any of the names."""
    differs = before.has_path[:count] != after.has_path[:count]
    if by_species:
        pairs = zip(before.completed[:count], after.completed[:count], strict=True)
        differs |= np.fromiter((one != other for one, other in pairs), bool, count)
    for taxon in listed:
        old, new = before.relate(taxon), after.relate(taxon)
        differs |= (old.inside[:count] != new.inside[:count]) | (old.possible[:count] != new.possible[:count])
        if (old.placed, old.ambiguous) != (new.placed, new.ambiguous):
            differs |= new.inside[:count] | new.possible[:count]
    return np.asarray(differs)
