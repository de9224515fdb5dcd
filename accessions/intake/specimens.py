"""A file of specimens: recognised columns, trimmed text, blanks made empty."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from accessions.intake.columns import recognise
from accessions.intake.grid import Progress, TextTable
from accessions.intake.problems import FileProblems, Problem, refusal, shown
from accessions.intake.tables import read_table

_ROWS_NAMED = 5
_DARWIN_CORE_PLACES = frozenset({"XZ", "ZZ"})
"""High seas; unknown or several countries. Source: Darwin Core, countryCode."""


@dataclass(frozen=True)
class SpecimenTable:
    """Rows of specimens, column by column.

    columns: by canonical term, each of ``row_count`` texts, trimmed, "" where blank; a term that the file lacks is no
    key. row_numbers: rows of the file, the header counted. unknown: headers that were kept aside.
    """

    file: str
    row_count: int
    columns: dict[str, list[str]]
    row_numbers: Sequence[int]
    notes: tuple[str, ...] = ()
    warnings: tuple[Problem, ...] = ()
    unknown: tuple[str, ...] = field(default=())


def read_specimens(path: str | Path, progress: Progress | None = None) -> SpecimenTable:
    """Read a file of specimens.

    Raises:
        FileProblems: the file is no table (see ``read_table``), no column is known, two columns stand for one term,
            or there are no rows below the header.
    """
    table = read_table(path, progress=progress)
    recognition = recognise(table.columns, table.file)
    if recognition.problems:
        raise FileProblems(recognition.problems)
    if not recognition.by_term:
        raise refusal(
            table.file,
            table.where(),
            f"no column is known: {', '.join(map(shown, table.columns[:10]))}",
            "Head the columns with Darwin Core terms such as catalogNumber, eventDate, decimalLatitude.",
        )
    if not table.row_numbers:
        raise refusal(
            table.file, table.where(), "there are no rows below the header", "Every specimen or lot is one row."
        )
    columns = {term: filled_column(table.data[index], term) for term, index in recognition.by_term.items()}
    warnings = (*table.problems, *_warnings(table, columns))
    return SpecimenTable(
        table.file,
        len(table.row_numbers),
        columns,
        table.row_numbers,
        (*table.notes, *recognition.notes),
        warnings,
        recognition.unknown,
    )


def filled_column(cells: list[str], term: str) -> list[str]:
    """The cells trimmed, "" where blank. Each distinct text is looked at once."""
    from accessions.values.blanks import BLANK_WORDS, is_blank

    distinct = set(cells)
    changed = {cell: trimmed for cell in distinct if (trimmed := cell.strip()) != cell}
    changed |= {cell: cell for cell in distinct & BLANK_WORDS if cell}
    changed = {cell: "" if is_blank(trimmed, term) else trimmed for cell, trimmed in changed.items()}
    return [changed.get(cell, cell) for cell in cells] if changed else cells


def _warnings(table: TextTable, columns: dict[str, list[str]]) -> Iterator[Problem]:
    numbers = columns.get("catalogNumber")
    if numbers is None:
        yield Problem(
            table.file,
            table.where(),
            "there is no column catalogNumber",
            "Rows are told apart by their row number.",
            "warning",
        )
    else:
        yield from _blank_catalog_numbers(table, numbers)
        yield from _repeated_catalog_numbers(table, numbers)
    if "countryCode" in columns:
        yield from _unknown_countries(table, columns["countryCode"])


def _blank_catalog_numbers(table: TextTable, numbers: list[str]) -> Iterator[Problem]:
    blank = [table.row_numbers[index] for index, number in enumerate(numbers) if not number]
    if blank:
        yield Problem(
            table.file,
            table.where(column="catalogNumber"),
            f"{_rows(blank)} no catalogNumber",
            "The rows are judged all the same; give each specimen its number.",
            "warning",
        )


def _repeated_catalog_numbers(table: TextTable, numbers: list[str]) -> Iterator[Problem]:
    counts = Counter(numbers)
    repeated = [number for number, count in counts.items() if count > 1 and number]
    if not repeated:
        return
    rows: dict[str, list[int]] = {number: [] for number in repeated[:_ROWS_NAMED]}
    for number, row in zip(numbers, table.row_numbers, strict=True):
        if number in rows and len(rows[number]) < _ROWS_NAMED:
            rows[number].append(row)
    named = "; ".join(f"{shown(number)} in rows {', '.join(map(str, at))}" for number, at in rows.items())
    rest = f"; and {len(repeated) - len(rows):,} more" if len(repeated) > len(rows) else ""
    noun = "number stands" if len(repeated) == 1 else "numbers stand"
    yield Problem(
        table.file,
        table.where(column="catalogNumber"),
        f"{len(repeated):,} {noun} in several rows: {named}{rest}",
        "Every row is judged all the same; check that they are not the same specimen twice.",
        "warning",
    )


def _unknown_countries(table: TextTable, codes: list[str]) -> Iterator[Problem]:
    distinct = set(codes) - {""}
    known = _country_codes() if distinct else frozenset()
    wrong = {code for code in distinct if code.upper() not in known}
    if not wrong:
        return
    rows = [table.row_numbers[index] for index, code in enumerate(codes) if code in wrong]
    named = ", ".join(shown(code) for code in sorted(wrong)[:_ROWS_NAMED])
    yield Problem(
        table.file,
        table.where(column="countryCode"),
        f"{_rows(rows)} a text that is no ISO 3166-1 alpha-2 code ({named})",
        "Write two letters such as CR; such a text counts as no country.",
        "warning",
    )


def _country_codes() -> frozenset[str]:
    import pycountry

    return frozenset(country.alpha_2 for country in pycountry.countries) | _DARWIN_CORE_PLACES


def _rows(rows: list[int]) -> str:
    """``3 rows (4, 9, 12) have``."""
    first = ", ".join(map(str, rows[:_ROWS_NAMED])) + (", ..." if len(rows) > _ROWS_NAMED else "")
    return f"{len(rows):,} {'row' if len(rows) == 1 else 'rows'} ({first}) {'has' if len(rows) == 1 else 'have'}"
