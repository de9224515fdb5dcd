"""Accessions, parts and deliveries that rows name: found, or made on first sight."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from accessions.material.models import Accession, Delivery, Part
from accessions.people.bulk import found_by, insert, reserve_keys

Three = tuple[str, str, str]

_DAYS = ("exported_on", "imported_on", "transferred_on")
"""exportedOn, importedOn, transferredOn as written."""


def known_accessions(numbers: Iterable[str]) -> dict[str, int]:
    """Primary keys of the accessions that are there, by number. One query."""
    return dict(found_by(Accession, "number", list(numbers), "number", "id"))


def place_accessions(numbers: Iterable[str], *, by: Any, why: str) -> tuple[dict[str, int], int]:
    """Primary keys by number, and how many were made; what kind of transaction those are is not known yet."""
    wanted = list(dict.fromkeys(numbers))
    keys = known_accessions(wanted)
    new = [number for number in wanted if number not in keys]
    reserved = reserve_keys(Accession, len(new))
    insert(Accession, ("number",), ((number,) for number in new), reserved, by=by, why=why)
    keys.update(zip(new, reserved, strict=True))
    return keys, len(new)


def place_parts(wanted: Iterable[tuple[int, str]], *, by: Any, why: str) -> dict[tuple[int, str], int]:
    """Primary keys by accession and letter."""
    stated = list(dict.fromkeys(pair for pair in wanted if pair[1]))
    accessions = {accession for accession, _ in stated}
    there = Part.objects.filter(accession__in=accessions).order_by() if stated else Part.objects.none()
    keys = {(accession, letter): pk for pk, accession, letter in there.values_list("pk", "accession_id", "letter")}
    new = [pair for pair in stated if pair not in keys]
    reserved = reserve_keys(Part, len(new))
    insert(Part, ("accession_id", "letter"), new, reserved, by=by, why=why)
    keys.update(zip(new, reserved, strict=True))
    return keys


def place_deliveries(
    wanted: Iterable[tuple[int, Three]], *, by: Any, why: str
) -> tuple[dict[tuple[int, Three], int], int]:
    """Primary keys by accession and its three days, and how many were made. Rows without any day have no delivery."""
    stated = list(dict.fromkeys(pair for pair in wanted if any(pair[1])))
    keys: dict[tuple[int, Three], int] = {}
    last: dict[int, int] = {}
    there = Delivery.objects.filter(accession__in={accession for accession, _ in stated}).order_by("-number")
    for pk, accession, number, left, arrived, handed in there.values_list("pk", "accession", "number", *_DAYS):
        keys[accession, (left, arrived, handed)] = pk
        last.setdefault(accession, number)
    new = [pair for pair in stated if pair not in keys]
    reserved = reserve_keys(Delivery, len(new))
    rows = []
    for accession, days in new:
        last[accession] = last.get(accession, 0) + 1
        rows.append((accession, last[accession], *days))
    fields = ("accession_id", "number", *_DAYS)
    insert(Delivery, fields, rows, reserved, by=by, why=why)
    keys.update(zip(new, reserved, strict=True))
    return keys, len(new)
