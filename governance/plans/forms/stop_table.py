"""A table of stops, as copied from a spreadsheet: read whole, every problem told by row and column, nothing guessed."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Final

from django.utils.translation import gettext as _

from accessions.intake.grid import TextTable
from accessions.intake.problems import Problem
from accessions.intake.stored import read_bytes
from accessions.sites.keys import folded
from accessions.sites.models import Site
from governance.plans.forms.stop_cells import RowReader
from governance.plans.forms.stop_columns import columns_of
from governance.plans.queries.known_groups import KnownGroups
from governance.plans.stop_draft import StopDraft

MOST_ROWS: Final = 500


@dataclass(frozen=True)
class ReadStop:
    """One stop as it was read. row: of the table, 0 for a file without rows. notes: what is odd, and kept."""

    row: int
    draft: StopDraft
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ReadStops:
    """All stops of a table or a file. left_out: what was not read, each with the reason or its header."""

    stops: tuple[ReadStop, ...] = ()
    problems: tuple[Problem, ...] = ()
    left_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def drafts(self) -> list[StopDraft]:
        return [stop.draft for stop in self.stops]

    @property
    def can_be_taken(self) -> bool:
        return bool(self.stops) and not self.problems


def read_stop_table(data: bytes, name: str) -> tuple[ReadStops, str]:
    """The stops of a table, and the table as text to be pasted again.

    Args:
        data: CSV, TSV, XLSX or ODS, or pasted text in UTF-8.

    Raises:
        FileProblems: it is no table.
    """
    table = read_bytes(data, name)
    return stops_of(table), table_text(table)


def stops_of(table: TextTable) -> ReadStops:
    """The stops of a table: one query for their sites, two for their groups."""
    columns = columns_of(table.columns, table.file)
    problems = [*columns.problems]
    left_out = tuple(_("Column “%(header)s”: this header is not known") % {"header": one} for one in columns.left_out)
    if not table.row_numbers:
        problems.append(Problem(table.file, "", _("there are no rows below the header"), _("One row a stop.")))
    if len(table.row_numbers) > MOST_ROWS:
        found = _("the table has %(n)d rows") % {"n": len(table.row_numbers)}
        problems.append(Problem(table.file, "", found, _("At most %(n)d are taken at once.") % {"n": MOST_ROWS}))
    if problems:
        return ReadStops(problems=tuple(problems), left_out=left_out)
    held = {meaning: table.data[number] for meaning, number in columns.of.items()}
    headers = {meaning: table.columns[number].strip() for meaning, number in columns.of.items()}
    sites = _sites(held.get("site", ()))
    stops, found_problems, readers = [], [], []
    for place, number in enumerate(table.row_numbers):
        cells = {meaning: column[place].strip() for meaning, column in held.items()}
        reader = RowReader(cells, sites, partial(_where, table, headers, number))
        draft = reader.draft()
        readers.append((number, draft, reader))
    known = KnownGroups(row for _number, draft, _reader in readers for row in draft.targets or ())
    for number, draft, reader in readers:
        placed = reader.placed(draft, known)
        found_problems += [Problem(table.file, *problem) for problem in reader.problems]
        stops.append(ReadStop(number, placed, tuple(reader.notes)))
    return ReadStops(tuple(stops), tuple(found_problems), left_out, tuple(_same_names(stops, bool(found_problems))))


def _where(table: TextTable, headers: Mapping[str, str], row: int, meaning: str) -> str:
    return table.where(row, headers.get(meaning, ""))


def _sites(cells: Iterable[str]) -> dict[str, list[Site]]:
    """The sites that cells name, by their folded code or name; a code wins over a name."""
    keys = {folded(cell) for cell in cells if cell.strip()}
    found: dict[str, list[Site]] = {}
    if not keys:
        return found
    sites = list(Site.objects.filter(name_key__in=keys) | Site.objects.filter(code_key__in=keys))
    for site in sites:
        found.setdefault(site.name_key, []).append(site)
    return found | {site.code_key: [site] for site in sites}


def _same_names(stops: Iterable[ReadStop], has_problems: bool) -> Iterable[str]:
    rows: dict[str, list[int]] = {}
    for stop in stops if not has_problems else ():
        rows.setdefault(str(stop.draft.values["name"]).casefold(), []).append(stop.row)
    for name, numbers in rows.items():
        if len(numbers) > 1:
            told = _("Rows %(rows)s have one name, %(name)s, and become stops of their own.")
            yield told % {"rows": ", ".join(map(str, numbers)), "name": name}


def table_text(table: TextTable) -> str:
    """The table as it would be pasted: cells parted by tabs."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, delimiter="\t", lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows(zip(*table.data, strict=True))
    return buffer.getvalue()
