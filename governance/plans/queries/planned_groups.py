"""Whether a name that was taken lies in a group that was planned, by the classification of the register."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from accessions.names.folding import folded
from accessions.names.models import Taxon, WrittenName
from governance.engine.answers import NO, UNKNOWN, YES


class PlannedGroups:
    """The planned groups, looked up in the classification once. One query."""

    def __init__(self, names: Iterable[str]) -> None:
        self._above: dict[str, set[str]] = defaultdict(set)
        wanted = {folded(name) for name in names}
        for key, lineage in Taxon.objects.filter(key__in=wanted).values_list("key", "lineage"):
            self._above[key].update(lineage.split("|"))

    def answer(self, name: WrittenName, groups: Sequence[str]) -> int:
        """YES if the name lies in one of the groups, NO if in none, UNKNOWN where the classification does not tell.

        groups: not empty.
        """
        answers = [self._one(name, folded(group)) for group in groups]
        return YES if YES in answers else UNKNOWN if UNKNOWN in answers else NO

    def _one(self, name: WrittenName, group: str) -> int:
        own = _lineage(name)
        if group in own:
            return YES
        if name.qualified or not own or group not in self._above:
            return UNKNOWN
        # "Insecta" may be a caddisfly: a name that stands above the group does not tell
        return UNKNOWN if own <= self._above[group] else NO


def _lineage(name: WrittenName) -> set[str]:
    """The folded names that a name lies in, itself with them: as placed, and as its record says."""
    placed = name.taxon.lineage.split("|") if name.taxon else []
    written = [*name.higher_classification.replace(";", "|").split("|"), name.shown]
    return {folded(text) for text in (*placed, *written)} - {""}
