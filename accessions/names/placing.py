"""Names as records write them, read and placed in the classification, many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from accessions.names.digests import digest_of
from accessions.names.folding import folded
from accessions.names.models import RANKS, Taxon, WrittenName
from accessions.people.announcing import announce
from accessions.people.bulk import found_by, insert, reserve_keys
from accessions.values import NameRead, read_name

NAME_TERMS: Final[tuple[str, ...]] = tuple(WrittenName.COLUMN_OF_TERM)
"""The terms whose text makes a name, in the order of its digest and of ``read_name``."""

_LONGEST_SHOWN: Final = 300
_LONGEST_TAXON: Final = 200


@dataclass(frozen=True)
class Step:
    """One name of a path, below the one before it. rank: "" where it is not known."""

    rank: str
    name: str

    @cached_property
    def key(self) -> str:
        return folded(self.name).replace("|", " ")


Path = tuple[Step, ...]
"""From the highest name to the lowest."""


def name_digest(written: Mapping[str, str]) -> str:
    """The digest of a name. written: text by term; a term that is absent counts as blank."""
    return digest_of(written.get(term, "") for term in NAME_TERMS)


def read_written(written: Mapping[str, str]) -> NameRead:
    """Read a name. written: text by term; a term that is absent counts as blank."""
    return read_name(*(written.get(term, "") for term in NAME_TERMS))


def path_of(read: NameRead) -> Path:
    """Where a name stands: its names by rank, then the name whose rank is not known."""
    ranked = [Step(rank, read.names[rank][:_LONGEST_TAXON]) for rank in RANKS if read.names.get(rank)]
    unranked = [Step("", name[:_LONGEST_TAXON]) for name in read.unranked[-1:]] if read.rank is None else []
    return tuple(step for step in (*ranked, *unranked) if step.key)


def lineage_of(path: Path) -> str:
    """The folded names, each ended by ``|``."""
    return "".join(f"{step.key}|" for step in path)


def shown_name(written: Mapping[str, str], read: NameRead) -> str:
    """The name for lists: as written, else the lowest that is known."""
    lowest = [read.names[rank] for rank in RANKS if rank in read.names]
    return (written.get("scientificName") or (lowest[-1] if lowest else ""))[:_LONGEST_SHOWN]


def place_paths(paths: Iterable[Path], *, by: Any, why: str, taxon_list: int | None = None) -> dict[str, int]:
    """Primary keys of the taxa by lineage; taxa that are not there yet are made, parents first.

    Args:
        taxon_list: the list that new taxa come from; None: the material.
    """
    wanted: dict[str, Path] = {}
    for path in paths:
        lineage = ""
        for depth, step in enumerate(path, 1):
            lineage += f"{step.key}|"
            if lineage not in wanted:
                wanted[lineage] = path[:depth]
    keys = _known_taxa(wanted)
    new = sorted(lineage for lineage in wanted if lineage not in keys)
    reserved = reserve_keys(Taxon, len(new))
    keys.update(zip(new, reserved, strict=True))
    rows = [_taxon_row(wanted[lineage], lineage, keys, taxon_list) for lineage in new]
    insert(Taxon, ("name", "key", "rank", "parent_id", "lineage", "taxon_list_id"), rows, reserved, by=by, why=why)
    return keys


def _taxon_row(path: Path, lineage: str, keys: Mapping[str, int], taxon_list: int | None) -> tuple[Any, ...]:
    parent = keys[lineage_of(path[:-1])] if len(path) > 1 else None
    lowest = path[-1]
    return lowest.name, lowest.key, lowest.rank, parent, lineage, taxon_list


def _known_taxa(lineages: Iterable[str]) -> dict[str, int]:
    return dict(found_by(Taxon, "lineage", list(lineages), "lineage", "id"))


def known_names(digests: Sequence[str]) -> dict[str, int]:
    """Primary keys of the names that are there, by digest. One query."""
    return dict(found_by(WrittenName, "digest", digests, "digest", "id"))


def place_names(names: Mapping[str, Mapping[str, str]], *, by: Any, why: str) -> dict[str, int]:
    """Primary keys of names by digest; names that are not there yet are read, placed and made.

    Args:
        names: written columns (text by term) by digest.
    """
    keys = known_names(list(names))
    new = [digest for digest in names if digest not in keys]
    reads = [read_written(names[digest]) for digest in new]
    paths = [path_of(read) for read in reads]
    taxa = place_paths(paths, by=by, why=why)
    reserved = reserve_keys(WrittenName, len(new))
    rows = (
        (
            *(names[digest].get(term, "") for term in NAME_TERMS),
            digest,
            shown_name(names[digest], read),
            read.rank or "",
            read.qualified,
            taxa[lineage_of(path)] if path else None,
        )
        for digest, read, path in zip(new, reads, paths, strict=True)
    )
    columns = [WrittenName.COLUMN_OF_TERM[term] for term in NAME_TERMS]
    insert(WrittenName, (*columns, "digest", "shown", "rank", "qualified", "taxon_id"), rows, reserved, by=by, why=why)
    announce(WrittenName, reserved, by=by)
    keys.update(zip(new, reserved, strict=True))
    return keys
