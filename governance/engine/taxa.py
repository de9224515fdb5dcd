"""What: the names on a paper against the names of the specimens (VERDICTS section 5).

The classification is what the statements themselves say, all taken together: every lineage is completed from the
others where they agree. A listed name is then *inside*, *possible* or *out* for each statement.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from governance.engine.answers import NO, UNKNOWN
from governance.engine.columns import Column, yes
from governance.engine.tables import RANKS, BoolColumn, IntColumn, ListedTaxon, Rows, Taxa

_KINGDOM = 0
_FAMILY, _GENUS, _SPECIES, _INFRASPECIES = (RANKS.index(r) for r in ("family", "genus", "species", "infraspecies"))
_BLANK = -1
_NO_EPITHETS = frozenset({"cf", "aff", "nr", "near", "prope", "agg", "sp", "spp", "x", "ssp", "subsp", "var"})
"""Words that make a listed name no plain binomial: what it rules out cannot be told."""
Lineage = tuple[str, ...]
"""One name (or blank) a rank of ``RANKS``."""


@dataclass(frozen=True)
class Relation:
    """A listed name against every statement of a name, shape (n_taxa,).

    inside: at or below the name. possible: not inside, but not ruled out. placed: the classification knows the name.
    ambiguous: it stands under two kingdoms and the paper does not say which.
    """

    inside: BoolColumn
    possible: BoolColumn
    placed: bool
    ambiguous: bool


class Classification:
    """All statements of a name, completed from one another, so far as they agree.

    lineage: int32, shape (n_taxa, n_ranks), a number a name, -1 blank. completed: the same as names. unranked: for each
    statement the names that no statement ranks.
    """

    def __init__(self, taxa: Taxa) -> None:
        self.taxa = taxa
        lineages, self.unranked = _complete(taxa)
        self.completed = lineages
        self._numbers: dict[str, int] = {}
        self.lineage = np.array([[self._number(name) for name in lineage] for lineage in lineages], np.int32).reshape(
            len(lineages), len(RANKS)
        )
        self._relations: dict[ListedTaxon, Relation] = {}

    def _number(self, name: str) -> int:
        """The number of a name, -1 for a blank."""
        return self._numbers.setdefault(name, len(self._numbers)) if name else _BLANK

    def __len__(self) -> int:
        return len(self.taxa)

    def forget_relations(self) -> None:
        """Give back the memory of the names that were asked about; a classification may outlive its papers."""
        self._relations.clear()

    @cached_property
    def has_path(self) -> BoolColumn:
        """Statements with a ranked name at least."""
        return np.asarray((self.lineage != _BLANK).any(axis=1))

    @property
    def species(self) -> IntColumn:
        """Number of the species of each statement, -1 where it is not identified so far."""
        return np.asarray(self.lineage[:, _SPECIES])

    @cached_property
    def _rows_by_name(self) -> dict[int, list[tuple[int, Rows]]]:
        """For each name, the ranks at which it stands, and the statements that hold it there."""
        found: dict[int, list[tuple[int, Rows]]] = {}
        for rank in range(len(RANKS)):
            column = self.lineage[:, rank]
            order = np.argsort(column, kind="stable")
            names, starts = np.unique(column[order], return_index=True)
            for name, rows in zip(names.tolist(), np.split(order, starts[1:]), strict=True):
                if name != _BLANK:
                    found.setdefault(name, []).append((rank, rows))
        return found

    @cached_property
    def _rows_by_unranked(self) -> dict[str, list[int]]:
        """For each name of no known rank, the statements that hold it."""
        found: dict[str, list[int]] = {}
        for row, names in enumerate(self.unranked):
            for name in names:
                found.setdefault(name, []).append(row)
        return found

    @cached_property
    def _blank_rows(self) -> list[Rows]:
        """For each rank the statements that leave it blank."""
        return [np.flatnonzero(self.lineage[:, rank] == _BLANK) for rank in range(len(RANKS))]

    def relate(self, listed: ListedTaxon) -> Relation:
        """How a listed name lies to every statement, made once a name."""
        key = ListedTaxon(listed.name, listed.kingdom)
        if key not in self._relations:
            self._relations[key] = self._relate(key)
        return self._relations[key]

    def _relate(self, listed: ListedTaxon) -> Relation:
        """Inside: the statements that hold the name; possible: those that leave its rank blank and do not differ."""
        nodes = self._rows_by_name.get(self._numbers.get(listed.name, -2), [])
        unranked = self._rows_by_unranked.get(listed.name, [])
        holders = np.unique(np.concatenate([*[rows for _, rows in nodes], np.array(unranked, np.intp)]))
        kingdoms = set(self.lineage[holders, _KINGDOM].tolist()) - {_BLANK}
        kingdom = self._numbers.get(listed.kingdom, -2) if listed.kingdom else _BLANK
        placed = bool(len(holders)) and (kingdom == _BLANK or not kingdoms or kingdom in kingdoms)
        inside = np.zeros(len(self), bool)
        possible = np.zeros(len(self), bool)
        if placed:
            inside[holders] = True
            for rank, rows in nodes:
                possible[self._could_be(rank, rows, kingdom)] = True
            possible[:] |= bool(unranked) and not nodes
        else:
            possible = self._not_ruled_out(listed.name)
            possible[holders] = True
        if kingdom != _BLANK:
            stated = self.lineage[:, _KINGDOM]
            inside, possible = (
                inside & (stated == kingdom),
                (possible | (inside & (stated == _BLANK))) & ((stated == kingdom) | (stated == _BLANK)),
            )
        elif unranked and not nodes and len(kingdoms) == 1:
            stated = self.lineage[:, _KINGDOM]
            possible &= (stated == _BLANK) | (stated == kingdoms.pop())
        possible |= ~self.has_path & ~inside
        return Relation(inside, possible & ~inside, placed, placed and len(kingdoms) > 1 and kingdom == _BLANK)

    def _could_be(self, rank: int, holders: Rows, kingdom: int) -> Rows:
        """Statements with that rank blank and nothing above it that differs from the name's own higher names."""
        rows = self._blank_rows[rank]
        if not len(rows):
            return rows
        upper = self._uppers(rank, int(self.lineage[holders[0], rank]))
        if kingdom != _BLANK and rank > _KINGDOM:
            upper = upper[(upper[:, _KINGDOM] == kingdom) | (upper[:, _KINGDOM] == _BLANK)]
        own = self.lineage[rows, :rank]
        fits = np.zeros(len(rows), bool)
        for names in upper:
            fits |= ~((own != _BLANK) & (names != _BLANK) & (own != names)).any(axis=1)
        return rows[fits]

    def _uppers(self, rank: int, name: int) -> IntColumn:
        """The distinct higher names with which a name stands at a rank, shape (n, rank); the vaguer ones left out."""
        found = sorted(self._upper_sets[rank, name])
        uppers = np.array(found, np.int32).reshape(len(found), rank)
        return uppers[[not _says_less(upper, uppers) for upper in uppers]]

    @cached_property
    def _upper_sets(self) -> dict[tuple[int, int], set[tuple[int, ...]]]:
        """By rank and name, the distinct higher names."""
        found: dict[tuple[int, int], set[tuple[int, ...]]] = {}
        for lineage in map(tuple, self.lineage.tolist()):
            for rank, name in enumerate(lineage):
                if name != _BLANK:
                    found.setdefault((rank, name), set()).add(lineage[:rank])
        return found

    def _not_ruled_out(self, name: str) -> BoolColumn:
        """An unplaced name is ruled out only by another name of its rank, a binomial also by another genus."""
        words = name.split()
        if not all(word.replace("-", "").isalpha() and word not in _NO_EPITHETS for word in words):
            return np.ones(len(self), bool)
        out = np.zeros(len(self), bool)
        if len(words) == 1:
            if name.endswith(("idae", "aceae")):
                out = self.lineage[:, _FAMILY] != _BLANK
            return ~out
        parts = {_GENUS: words[0], _SPECIES: " ".join(words[:2])}
        if len(words) > 2:
            parts[_INFRASPECIES] = name
        for rank, part in parts.items():
            column = self.lineage[:, rank]
            out |= (column != _BLANK) & (column != self._numbers.get(part, -2))
        return ~out


def _says_less(upper: IntColumn, others: IntColumn) -> bool:
    """Another statement of the name has the same higher names and more: this one may well mean that one."""
    agrees = ((upper == _BLANK) | (upper == others)).all(axis=1)
    return bool((agrees & (others != upper).any(axis=1)).any())


def _complete(taxa: Taxa) -> tuple[list[Lineage], list[tuple[str, ...]]]:
    """Lineages with blanks filled where all compatible statements agree, and the names that still have no rank."""
    lineages = [list(lineage) for lineage in taxa.lineage]
    ranks_of: dict[str, set[int]] = {}
    for lineage in lineages:
        for rank, name in enumerate(lineage):
            if name:
                ranks_of.setdefault(name, set()).add(rank)
    unranked = [_rank_names(lineage, names, ranks_of) for lineage, names in zip(lineages, taxa.unranked, strict=True)]
    uppers = _upper_lineages(lineages)
    for lineage in lineages:
        for rank in range(len(RANKS) - 1, 0, -1):
            if lineage[rank] and "" in lineage[:rank]:
                _fill(lineage, rank, uppers[rank, lineage[rank]])
    return [tuple(lineage) for lineage in lineages], unranked


def _rank_names(lineage: list[str], names: Sequence[str], ranks_of: dict[str, set[int]]) -> tuple[str, ...]:
    """Put names of no stated rank at the one rank where other statements have them."""
    left = []
    for name in names:
        ranks = ranks_of.get(name, set())
        rank = next(iter(ranks)) if len(ranks) == 1 else _BLANK
        if rank != _BLANK and not lineage[rank]:
            lineage[rank] = name
        elif rank == _BLANK or lineage[rank] != name:
            left.append(name)
    return tuple(left)


def _upper_lineages(lineages: Iterable[Sequence[str]]) -> dict[tuple[int, str], set[Lineage]]:
    """For each name at a rank, the distinct higher names with which it is stated."""
    uppers: dict[tuple[int, str], set[Lineage]] = {}
    for lineage in {tuple(x) for x in lineages}:
        for rank, name in enumerate(lineage):
            if name and rank:
                uppers.setdefault((rank, name), set()).add(lineage[:rank])
    return uppers


def _fill(lineage: list[str], rank: int, uppers: set[Lineage]) -> None:
    """Fill the blanks above a rank where all higher names that could be the lineage's own agree."""
    compatible = [u for u in uppers if all(not a or not b or a == b for a, b in zip(u, lineage, strict=False))]
    columns = [{upper[higher] for upper in compatible} for higher in range(rank)]
    differ = any(len(values - {""}) > 1 for values in columns)
    for higher, values in enumerate(columns):
        if not lineage[higher] and len(values - {""}) == 1 and not (differ and "" in values):
            lineage[higher] = max(values)


def judge_taxa(
    classification: Classification, include: tuple[ListedTaxon, ...], exclude: tuple[ListedTaxon, ...]
) -> Column:
    """The answer for every statement of a name, by the first line of the contract's table that holds (section 5).

    Returns:
        A column of shape (n_taxa,), without measures. Both lists empty: all yes. A statement without any name is
        UNKNOWN under any limit.
    """
    column = yes(len(classification))
    if not include and not exclude:
        return column
    left = np.ones(len(classification), bool)
    included, excluded = ([classification.relate(x) for x in listed] for listed in (include, exclude))

    def settle(flags: BoolColumn, answer: int, code: str) -> None:
        column.settle(np.flatnonzero(left & flags), answer, code)
        left[flags] = False

    for relation in (*included, *excluded):
        if relation.ambiguous:
            settle(relation.inside | relation.possible, UNKNOWN, "taxon-ambiguous")
    has_path = classification.has_path
    settle(_any(r.inside for r in excluded), NO, "taxon-excluded")
    settle(_any(r.possible & r.placed & has_path for r in excluded), UNKNOWN, "taxon-broad")
    settle(_any(r.possible for r in excluded), UNKNOWN, "taxon-unresolved")
    left[_any(r.inside for r in included)] = False
    if include:
        settle(_any(r.possible & r.placed & has_path for r in included), UNKNOWN, "taxon-broad")
        settle(_any(r.possible for r in included), UNKNOWN, "taxon-unresolved")
        settle(left.copy(), NO, "taxon-not-included")
    qualified = np.flatnonzero((column.answer == UNKNOWN) & classification.taxa.qualified)
    column.settle(qualified, UNKNOWN, "taxon-qualified")
    return column


def _any(flags: Iterable[BoolColumn]) -> BoolColumn:
    """Where any flag is set; False, for all rows, of none."""
    joined: BoolColumn | bool = False
    for flag in flags:
        joined = joined | flag
    return np.asarray(joined)
