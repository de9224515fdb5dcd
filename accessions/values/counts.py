"""How many individuals a row stands for."""

import re
from dataclasses import dataclass

from accessions.values.blanks import filled

LARGEST_COUNT = 10**9
"""Individuals. A larger figure is taken for a slip (a barcode, a telephone number) and read as text."""

_LONGEST_TEXT = 60
_WHOLE = re.compile(r"([0-9]{1,12})(?:\.0{1,6})?")
_RANGE = re.compile(r"([0-9]{1,12})\s*(?:[-\u2013\u2014]|to)\s*([0-9]{1,12})")
_ABOUT = re.compile(r"(?:ca\.?|c\.|circa|about|approx\.?|approximately|~)\s*([0-9]{1,12})", re.IGNORECASE)
_UNCOUNTED_UNITS = frozenset({"lot", "bulk"})


@dataclass(frozen=True, slots=True)
class CountRead:
    """A count of individuals as closed bounds.

    low, high: individuals; high is None where there is no upper bound. assumed: the count was blank.
    hint: one clause that says what was odd ("" if nothing).
    """

    low: int
    high: int | None
    assumed: bool = False
    hint: str = ""


def read_count(
    individual_count: str = "",
    count_range: str = "",
    unit: str = "",
    basis_of_record: str = "",
    organism_quantity: str = "",
) -> CountRead:
    """Bounds of the number of individuals. Source: VERDICTS, section 6, "Numbers".

    countRange wins over individualCount. "ca. 400" in countRange is 300 to 500: a quarter each side, by house rule.
    Text that is no number is 1 to no bound, in individualCount a range too. A blank count is 1, assumed; it is 1 to
    no bound for a lot, bulk material, a material sample, or where organismQuantity is filled.

    >>> read_count(count_range="300-500")
    CountRead(low=300, high=500, assumed=False, hint='')
    >>> read_count()
    CountRead(low=1, high=1, assumed=True, hint='')
    """
    if text := filled(count_range):
        return _read_range(text)
    if text := filled(individual_count):
        return _read_whole(text)
    uncounted = (
        filled(unit).casefold() in _UNCOUNTED_UNITS
        or "".join(filled(basis_of_record)[:40].split()).casefold() == "materialsample"
        or filled(organism_quantity) != ""
    )
    return CountRead(1, None if uncounted else 1, assumed=True)


def _unbounded(hint: str = "") -> CountRead:
    return CountRead(1, None, hint=hint)


def _read_whole(text: str) -> CountRead:
    if len(text) > _LONGEST_TEXT:
        return _unbounded("longer than any count")
    if found := _WHOLE.fullmatch(text):
        return _bounds(int(found[1]), int(found[1]))
    if _RANGE.fullmatch(text):
        return _unbounded("a range belongs in countRange")
    return _unbounded("not a whole number")


def _read_range(text: str) -> CountRead:
    if len(text) > _LONGEST_TEXT:
        return _unbounded("longer than any count")
    if found := _WHOLE.fullmatch(text):
        return _bounds(int(found[1]), int(found[1]))
    if found := _RANGE.fullmatch(text):
        return _bounds(int(found[1]), int(found[2]))
    if _ABOUT.fullmatch(text):
        return _unbounded("how far about reaches is not known; write a range such as 300-500")
    return _unbounded("not a whole number or a range such as 300-500")


def _bounds(low: int, high: int) -> CountRead:
    if max(low, high) > LARGEST_COUNT:
        return _unbounded(f"more than {LARGEST_COUNT} individuals")
    if low > high:
        return _unbounded(f"the range ends ({high}) below its start ({low})")
    return CountRead(low, high)
