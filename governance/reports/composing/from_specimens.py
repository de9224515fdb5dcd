"""What was taken from a specimen or pooled of several: it was not taken in the field, whatever its own record says."""

from __future__ import annotations

from collections.abc import Collection

from governance.reports.composing.material import Material, Taken


def is_from_a_specimen(material: Material, row: Taken) -> bool:
    """Whether it comes from a specimen, which may be no part of the report."""
    return row.parent >= 0 or bool(material.members.get(row.pk))


def from_specimens(material: Material, codes: Collection[str]) -> list[Taken]:
    """Rows that come from specimens, by what their own records say of the period."""
    return [
        row for row in material.rows
        if is_from_a_specimen(material, row) and material.places[row.event].in_period in codes
    ]  # fmt: skip


def come_from_elsewhere(material: Material, rows: Collection[Taken]) -> bool:
    """Whether some row comes from a specimen that is no part of the report: nothing here tells when that was taken."""
    known = {row.pk for row in material.rows}
    sources = ({*material.members.get(row.pk, ()), row.parent} - {-1} for row in rows)
    return any(of - known for of in sources)
