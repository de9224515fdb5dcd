"""The specimens of a sheet as its list shows them: no place but the country."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from accessions.material.models import Specimen
from governance.usedesk.queries.whereabouts import slices
from governance.usedesk.sheet.contents import SheetSpecimen

_COLUMNS = (
    "pk", "catalog_number", "name__shown", "event__country", "event__earliest_on", "event__latest_on",
    "individual_count", "count_low", "count_high", "count_assumed", "preparation",
)  # fmt: skip


def listed_specimens(letter_of: Mapping[int, str]) -> tuple[SheetSpecimen, ...]:
    """The specimens by their keys, by number; a query for each of the pieces that a statement holds."""
    rows = (_specimen(row, letter_of[row["pk"]]) for row in _rows(letter_of))
    return tuple(sorted(rows, key=lambda one: (one.number, one.key)))


def numbers_of(keys: Collection[int]) -> tuple[str, ...]:
    """The numbers of some specimens, sorted; the key of one without a number."""
    found = [
        number or f"#{pk}"
        for some in slices(sorted(keys))
        for pk, number in Specimen.objects.filter(pk__in=some).values_list("pk", "catalog_number")
    ]
    return tuple(sorted(found))


def _rows(keys: Collection[int]) -> Iterator[dict[str, Any]]:
    for some in slices(sorted(keys)):
        yield from Specimen.objects.filter(pk__in=some).order_by().values(*_COLUMNS)


def _specimen(row: Mapping[str, Any], letter: str) -> SheetSpecimen:
    return SheetSpecimen(
        row["pk"], row["catalog_number"], row["name__shown"], row["event__country"], row["event__earliest_on"],
        row["event__latest_on"], _count(row), row["preparation"], letter,
    )  # fmt: skip


def _count(row: Mapping[str, Any]) -> str:
    """As it was written; what nobody counted stays blank."""
    if row["individual_count"]:
        return str(row["individual_count"])
    is_counted = not row["count_assumed"] and row["count_low"] == row["count_high"]
    return str(row["count_low"]) if is_counted else ""
