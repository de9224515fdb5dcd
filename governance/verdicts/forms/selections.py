"""Which specimens somebody chose: ticked rows, or all that a list shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.http import QueryDict

from governance.verdicts.forms.specimen_filters import SpecimenFilterForm
from governance.verdicts.queries.filters import Filters
from governance.verdicts.queries.specimens import ordered_keys

MOST_PICKED = 200
"""Rows that can be ticked one by one; a page has 100."""


@dataclass(frozen=True)
class Selection:
    """picked: the ticked rows; all_of: the list whose every row was chosen, by its address."""

    picked: tuple[int, ...]
    is_all: bool
    filters: Filters
    sort: str
    address: str

    @classmethod
    def asked(cls, data: QueryDict) -> Selection:
        """What a form of the list sent, or its own address (``pick``, ``all``, ``of``)."""
        form = SpecimenFilterForm(QueryDict(data.get("of", "")))
        is_all = data.get("all") == "1"
        picked = tuple(int(text) for text in _digits(data.getlist("pick")))[:MOST_PICKED]
        filters = form.found().filters if is_all else replace(Filters(), picked=picked, nothing=not picked)
        return cls(() if is_all else picked, is_all, filters, form.sort, data.get("of", ""))

    def keys(self) -> list[int]:
        """The specimens, in the order of the list."""
        return ordered_keys(self.filters, self.sort)

    @property
    def hidden(self) -> list[tuple[str, str]]:
        """What a form carries on."""
        rows = [("pick", str(key)) for key in self.picked]
        return [("of", self.address), *([("all", "1")] if self.is_all else rows)]


def _digits(texts: Iterable[str]) -> Iterable[str]:
    return (text for text in texts if text.isascii() and text.isdigit() and len(text) < 19)
