"""Pasted lines of specimens, with what was taken of each."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from django.utils.translation import gettext as _

from governance.usedesk.actions.making import Taken
from governance.usedesk.deeds import TAKES_MATERIAL, Deed
from governance.usedesk.queries.chosen import by_numbers, numbers_in

_COLUMNS: Final = re.compile(r"\s*[\t;]\s*")
_NOTHING: Final = frozenset({"nothing", "none", "0", "used up"})
_LONGEST: Final = 200


@dataclass(frozen=True)
class Lines:
    """taken: by specimen, in the order of the lines. problems: all that is wrong, in words."""

    taken: Mapping[int, Taken] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


def lines_of(text: str, deed: str, common: Taken) -> Lines:
    """The specimens of a pasted text. common: what is said of all, where a line says nothing of its own."""
    if deed not in TAKES_MATERIAL:
        found, problems = by_numbers(numbers_in(text))
        return Lines(dict.fromkeys(found.values(), common), tuple(problems))
    rows = [(number, _COLUMNS.split(line.strip())) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    found, problems = by_numbers(list(dict.fromkeys(cells[0] for _number, cells in rows)))
    taken: dict[int, Taken] = {}
    for number, cells in rows:
        problems += _row_problems(number, cells, deed)
        key = found.get(cells[0])
        if key is not None and key in taken:
            problems.append(_("Line %(n)d: %(number)s stands above already.") % {"n": number, "number": cells[0]})
        elif key is not None:
            taken[key] = _taken(cells[1:], common)
    return Lines(taken, tuple(problems))


def _row_problems(number: int, cells: list[str], deed: str) -> list[str]:
    most = 3 if deed == Deed.SAMPLING else 4
    problems = []
    if len(cells) > most:
        problems.append(_("Line %(n)d has %(found)d columns; %(most)d are read.")
                        % {"n": number, "found": len(cells), "most": most})  # fmt: skip
    if any(len(cell) > _LONGEST for cell in cells):
        problems.append(_("Line %(n)d: a column holds at most %(most)d characters.") % {"n": number, "most": _LONGEST})
    return problems


def _taken(cells: list[str], common: Taken) -> Taken:
    amount, left, extract = (*cells[:3], "", "", "")[:3]
    is_used_up = left.casefold() in _NOTHING
    return Taken(amount or common.amount, left or common.left, is_used_up or (common.is_used_up and not left), extract)
