"""Where a planned group stands in the classification, as far as the names of the register say it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _

from accessions.names.folding import folded
from accessions.names.models import RANKS, Taxon
from accessions.values import canonical_name
from governance.plans.models import StopTarget
from governance.plans.queries.offered import KINGDOMS

_BETWEEN: Final = re.compile(r"[|;,>]")
RANK_NAMES: Final = dict(StopTarget.RANKS)


@dataclass(frozen=True)
class GroupPlace:
    """Rank and higher names of a group. source: the loaded list that says so, "" for the names of the material."""

    rank: str
    steps: tuple[tuple[str, str], ...]
    source: str = ""

    @property
    def higher(self) -> str:
        """As Darwin Core writes higherClassification."""
        return " | ".join(name for _rank, name in self.steps)

    @property
    def words(self) -> str:
        """``order in Animalia | Arthropoda | Insecta, by the names of the register``."""
        said = {"rank": RANK_NAMES[self.rank], "higher": self.higher, "list": self.source}
        place = _("%(rank)s in %(higher)s") % said if self.steps else str(said["rank"])
        by = _("by the list %(list)s") % said if self.source else _("by the names of the register")
        return f"{place}, {by}"


class KnownGroups:
    """Groups looked up once, with the names that they are said to belong to. Two queries.

    Args:
        groups: rows with name, kingdom, rank and higher, as a form or a table gives them.
    """

    def __init__(self, groups: Iterable[Mapping[str, Any]]) -> None:
        keys = {key for row in groups for key in (_key(row["name"]), *map(folded, higher_names(row["higher"])))}
        self._taxa: dict[str, list[Taxon]] = defaultdict(list)
        for taxon in Taxon.objects.filter(key__in=keys - {""}).select_related("taxon_list") if keys - {""} else ():
            self._taxa[taxon.key].append(taxon)
        above = {prefix for taxa in self._taxa.values() for taxon in taxa for prefix in _prefixes(taxon.lineage)}
        self._above = {taxon.lineage: taxon for taxon in Taxon.objects.filter(lineage__in=above)} if above else {}

    def place(self, row: Mapping[str, Any]) -> GroupPlace | None:
        """Where the register places a group; None where it does not know it, or knows it in several places."""
        kingdom = folded(row["kingdom"])
        taxa = [taxon for taxon in self._taxa[_key(row["name"])] if taxon.rank and self._may_be_of(taxon, kingdom)]
        fullest = [taxon for taxon in taxa if not any(_says_less(taxon, other) for other in taxa)]
        if len(fullest) != 1:
            return None
        (taxon,) = fullest
        steps = tuple((one.rank, one.name) for one in self._higher(taxon))
        return GroupPlace(taxon.rank, steps, taxon.taxon_list.name if taxon.taxon_list else "")

    def filled(self, row: Mapping[str, Any]) -> tuple[dict[str, Any], str]:
        """The row with rank and higher names of the register where it gives neither, and from where they are."""
        place = None if row["rank"] or row["higher"] else self.place(row)
        if place is None:
            return dict(row), ""
        words = _("%(group)s: %(place)s.") % {"group": row["name"], "place": place.words}
        return {**row, "rank": place.rank, "higher": place.higher}, words

    def problem(self, row: Mapping[str, Any]) -> tuple[str, str]:
        """The field by which a row speaks against the register, or against itself, and how; blanks where it does not.

        What lies in one class by its own name and in another by what is typed would be covered by papers for both.
        """
        names = higher_names(row["higher"])
        if row["kingdom"] and (other := _other_kingdom(row["kingdom"], names)):
            return "higher", _("%(other)s is another kingdom than %(kingdom)s. Keep one of them.") % {
                "other": other, "kingdom": row["kingdom"],
            }  # fmt: skip
        place = self.place(row)
        if place is None:
            return "", ""
        told = {"group": row["name"], "rank": RANK_NAMES[place.rank], "higher": place.higher}
        if row["rank"] and row["rank"] != place.rank:
            return "rank", _("In the register %(group)s is of the rank: %(rank)s. Choose that.") % told
        stated = dict(place.steps)
        for name in names:
            ranks = {taxon.rank for taxon in self._taxa[folded(name)]} & stated.keys()
            if ranks and folded(name) not in {folded(stated[rank]) for rank in ranks}:
                words = _(
                    "The register places %(group)s in %(higher)s, not in %(name)s. Write it as the register has it."
                )
                return "higher", words % (told | {"name": name})
        return "", ""

    def _may_be_of(self, taxon: Taxon, kingdom: str) -> bool:
        stated = {one.key for one in (*self._higher(taxon), taxon) if one.rank == "kingdom"}
        return not kingdom or not stated or kingdom in stated

    def _higher(self, taxon: Taxon) -> list[Taxon]:
        return [self._above[prefix] for prefix in _prefixes(taxon.lineage) if prefix in self._above]


def higher_names(text: str) -> list[str]:
    """The names of a higherClassification, whatever stands between them.

    >>> higher_names("Animalia; Arthropoda | Insecta")
    ['Animalia', 'Arthropoda', 'Insecta']
    """
    return [name for part in _BETWEEN.split(text) if (name := " ".join(part.split()))]


def rank_word(text: str) -> str:
    """A rank as it is kept, "" for none that is known.

    >>> rank_word(" Order "), rank_word("swarm")
    ('order', '')
    """
    word = " ".join(text.split()).casefold()
    return word if word in RANKS else ""


def _key(name: str) -> str:
    return folded(canonical_name(name))


def _prefixes(lineage: str) -> list[str]:
    """The lineages above one, from the highest.

    >>> _prefixes("animalia|insecta|odonata|")
    ['animalia|', 'animalia|insecta|']
    """
    names = lineage.removesuffix("|").split("|")
    return ["".join(f"{name}|" for name in names[:length]) for length in range(1, len(names))]


def _says_less(taxon: Taxon, other: Taxon) -> bool:
    """Whether another taxon of the same name and rank stands below the same names and more."""
    mine, others = set(taxon.lineage.split("|")), set(other.lineage.split("|"))
    return taxon.rank == other.rank and mine < others


def _other_kingdom(kingdom: str, names: Iterable[str]) -> str:
    kingdoms = {folded(one) for one in KINGDOMS} - {folded(kingdom)}
    return next((name for name in names if folded(name) in kingdoms), "")
