"""Specimens of a group by the numbers that a person lists."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from accessions.material.models import Specimen

_AT_ONCE = 5000


@dataclass(frozen=True)
class Numbered:
    """keys: of the specimens that were meant. unknown: numbers of nothing in the group; several: of more than one."""

    keys: tuple[int, ...]
    unknown: tuple[str, ...]
    several: tuple[str, ...]


def numbered_in(numbers: Sequence[str], group: Sequence[int]) -> Numbered:
    """Which specimens of a group some numbers mean, whatever the case of their letters."""
    known: dict[str, list[int]] = defaultdict(list)
    for start in range(0, len(group), _AT_ONCE):
        rows = Specimen.objects.filter(pk__in=group[start : start + _AT_ONCE]).exclude(catalog_number="")
        for pk, number in rows.order_by().values_list("pk", "catalog_number"):
            known[number.casefold()].append(pk)
    wanted = list(dict.fromkeys(numbers))
    found = {number: known.get(number.casefold(), []) for number in wanted}
    return Numbered(
        tuple(dict.fromkeys(keys[0] for keys in found.values() if len(keys) == 1)),
        tuple(number for number, keys in found.items() if not keys),
        tuple(number for number, keys in found.items() if len(keys) > 1),
    )
