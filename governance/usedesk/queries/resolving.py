"""Which specimens codes mean: by the very number; only where nothing has it, in any case of letters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from accessions.material.models import Specimen
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.codes import Code

Keys = tuple[int, ...]
"""Primary keys of specimens, ascending: none is unknown, more than one is for a person to choose."""

_FILLED: Final = "NOT (catalog_number = '')"
"""In these very words SQLite knows that its index of filled numbers will do; otherwise it reads all rows."""


def specimens_of(codes: Sequence[Code]) -> list[Keys]:
    """The specimens of each code. Up to three queries, however many codes there are.

    The last, which disregards case, is asked only for codes that the others do not know.
    """
    exact = _by_number({number for code in codes for number in code.numbers})
    pages = _existing({code.key for code in codes if code.key})
    found = [_of_code(code, exact) or ((code.key,) if code.key in pages else ()) for code in codes]
    missed = {number for code, keys in zip(codes, found, strict=True) if not keys for number in code.numbers}
    if not missed:
        return found
    folded = _by_folded_number(missed)
    return [keys or _of_code(code, folded, fold=True) for code, keys in zip(codes, found, strict=True)]


def _of_code(code: Code, keys: Mapping[str, set[int]], *, fold: bool = False) -> Keys:
    numbers = (number.casefold() if fold else number for number in code.numbers)
    return tuple(sorted(set().union(*(keys.get(number, ()) for number in numbers))))


def _by_number(numbers: Iterable[str]) -> Mapping[str, set[int]]:
    rows = rows_by_keys(
        f"SELECT catalog_number, id FROM material_specimen WHERE catalog_number {{keys}} AND {_FILLED}", list(numbers)
    )
    return {number: {key} for number, key in rows}


def _existing(keys: Iterable[int]) -> set[int]:
    wanted = list(keys)
    return set(Specimen.objects.filter(pk__in=wanted).values_list("pk", flat=True)) if wanted else set()


def _by_folded_number(numbers: Iterable[str]) -> Mapping[str, set[int]]:
    """By the number folded. PostgreSQL lowers all letters, SQLite those of ASCII alone: all that either makes of it."""
    wanted = sorted({form for number in numbers for form in _lowered(number)})
    rows = rows_by_keys(
        f"SELECT catalog_number, id FROM material_specimen WHERE LOWER(catalog_number) {{keys}} AND {_FILLED}", wanted
    )
    keys: defaultdict[str, set[int]] = defaultdict(set)
    for number, key in rows:
        keys[number.casefold()].add(key)
    return keys


def _lowered(number: str) -> Iterator[str]:
    yield number.lower()
    yield _ascii_lower(number)
    yield _ascii_lower(number.upper())


def _ascii_lower(text: str) -> str:
    return "".join(letter.lower() if letter.isascii() else letter for letter in text)
