"""Lists of taxa as rows: a name, its rank, and its parent or its higher names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from django.utils.translation import gettext as _

from accessions.names.models import RANKS
from accessions.names.placing import Path, Step
from accessions.values import canonical_name

_NAME: Final = ("scientificname", "name", "taxon")
_RANK: Final = ("taxonrank", "rank")
_PARENT: Final = ("parentnameusage", "parent", "parentname")
_LONGEST: Final = 200
_DEEPEST: Final = 60


@dataclass(frozen=True)
class ListedTaxon:
    """One row of a list. row: its number in the file. higher: names by rank, of the ranks that the row fills."""

    row: int
    name: str
    rank: str = ""
    parent: str = ""
    higher: Mapping[str, str] = field(default_factory=dict)


def listed_taxa(header: Sequence[str], rows: Sequence[Sequence[str]], first_row: int = 2) -> list[ListedTaxon]:
    """Rows of a table as taxa; the columns are found by their headers, whatever their case.

    Raises:
        ValueError: there is no column of names.
    """
    at = {text.strip().casefold(): index for index, text in enumerate(header)}
    name = _first(at, _NAME)
    if name is None:
        raise ValueError(_("There is no column of names. Head it scientificName or name."))
    rank, parent = _first(at, _RANK), _first(at, _PARENT)
    higher = {one: at[one] for one in RANKS if one in at}
    found = []
    for number, row in enumerate(rows, first_row):
        cells = [cell.strip() for cell in row] + [""] * (len(header) - len(row))
        if cells[name]:
            found.append(
                ListedTaxon(
                    number,
                    canonical_name(cells[name]),
                    cells[rank].casefold() if rank is not None else "",
                    canonical_name(cells[parent]) if parent is not None and cells[parent] else "",
                    {one: canonical_name(cells[index]) for one, index in higher.items() if cells[index]},
                )
            )
    return found


def _first(at: Mapping[str, int], names: Sequence[str]) -> int | None:
    return next((at[name] for name in names if name in at), None)


def path_of_listed(taxon: ListedTaxon, by_name: Mapping[str, ListedTaxon]) -> Path:
    """Where a listed taxon stands: below its higher names, else below its parent in the list.

    Raises:
        ValueError: its rank is not known, its name is too long, or its parents run in a circle.
    """
    if taxon.rank and taxon.rank not in RANKS:
        raise ValueError(
            _('Row %(row)s, rank "%(rank)s": not a rank that is kept. Write one of: %(ranks)s, or leave it blank.')
            % {"row": taxon.row, "rank": taxon.rank, "ranks": ", ".join(RANKS)}
        )
    if len(taxon.name) > _LONGEST:
        raise ValueError(
            _("Row %(row)s: the name is longer than %(n)s characters.") % {"row": taxon.row, "n": _LONGEST}
        )
    own = Step(taxon.rank, taxon.name)
    above = _above(taxon, by_name)
    return (*(step for step in above if step.key != own.key), own)


def _above(taxon: ListedTaxon, by_name: Mapping[str, ListedTaxon]) -> Path:
    if taxon.higher:
        below = RANKS.index(taxon.rank) if taxon.rank else len(RANKS)
        return tuple(Step(rank, taxon.higher[rank]) for rank in RANKS[:below] if rank in taxon.higher)
    steps: list[Step] = []
    seen = {taxon.name.casefold()}
    parent = taxon.parent
    while parent:
        if parent.casefold() in seen or len(seen) > _DEEPEST:
            raise ValueError(
                _('Row %(row)s: the parents of "%(name)s" run in a circle.') % {"row": taxon.row, "name": taxon.name}
            )
        seen.add(parent.casefold())
        found = by_name.get(parent.casefold())
        steps.insert(0, Step(found.rank if found and found.rank in RANKS else "", parent))
        parent = found.parent if found and not found.higher else ""
        if found and found.higher:
            return (*_above(found, by_name), *steps)
    return tuple(steps)
