"""A stored file read again: its table, the terms of its columns, its plan."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Final

from accessions.intake.columns import header_key, recognise
from accessions.intake.country_names import with_country_codes
from accessions.intake.grid import TextTable
from accessions.intake.kept import KEPT
from accessions.intake.label_dates import with_standard_dates
from accessions.intake.models import Batch, ColumnChoice
from accessions.intake.plan import Plan, make_plan
from accessions.intake.register import Known
from accessions.intake.rows import FileRows, rows_of
from accessions.intake.tables import read_table

COUNTRY_BY_NAME: Final = ("country", "countryCode")
"""The key of a header that holds names of countries, and the term that they are put under, as codes."""

_LONGEST_NAME_BYTES: Final = 200
_TABLES_HELD: Final = 2
_tables: dict[tuple[str, str], TextTable] = {}
"""The last files read: the pages of one file ask for it again and again. A file never changes under its hash."""


def read_bytes(data: bytes, file_name: str) -> TextTable:
    """A file that was sent, as a table.

    Raises:
        FileProblems: it cannot be read as a table.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / _short(Path(file_name).name or "file")
        path.write_bytes(data)
        return read_table(path)


def _short(name: str) -> str:
    """The end of a name that a file system would find too long."""
    return name.encode()[-_LONGEST_NAME_BYTES:].decode(errors="ignore")


def table_of(batch: Batch) -> TextTable:
    """The table of a stored file.

    Raises:
        FileProblems: the file cannot be read as a table.
    """
    table = _tables.get((batch.sha256, batch.file_name))
    return table or hold(batch.sha256, batch.file_name, read_bytes(bytes(batch.data), batch.file_name))


def hold(sha256: str, file_name: str, table: TextTable) -> TextTable:
    """Keep a table in memory for the next pages of its file."""
    while len(_tables) >= _TABLES_HELD:
        _tables.pop(next(iter(_tables)), None)
    _tables[sha256, file_name] = table
    return table


def suggested_mapping(table: TextTable) -> dict[str, str]:
    """A term for each header: as people chose it before, else as it is recognised; "" for none.

    Of two columns for one term neither gets it: a person chooses.
    """
    recognition = recognise(table.columns, table.file)
    mapping = dict.fromkeys(table.columns, "")
    mapping |= {table.columns[index]: term for term, index in recognition.by_term.items() if term in KEPT}
    keys = {header: header_key(header) for header in table.columns}
    if "countryCode" not in mapping.values():  # names of countries are put as codes (with_country_codes)
        of_names, code = COUNTRY_BY_NAME
        mapping |= {header: code for header in [h for h, key in keys.items() if key == of_names][:1]}
    chosen = dict(ColumnChoice.objects.filter(header_key__in=set(keys.values()) - {""}).values_list(
        "header_key", "term"))  # fmt: skip
    taken = set(mapping.values())
    for header, key in keys.items():
        term = chosen.get(key, "")
        if term in KEPT and not mapping[header] and term not in taken:
            mapping[header] = term
            taken.add(term)
    return mapping


def rows_of_batch(batch: Batch) -> FileRows:
    """The rows of a stored file under the terms it was mapped to, dates in the forms that were confirmed, countries as
    codes.

    Raises:
        FileProblems: the file cannot be read as a table.
    """
    return with_country_codes(with_standard_dates(rows_as_written(batch), batch.dates))


def rows_as_written(batch: Batch) -> FileRows:
    """The same before dates were put into standard form."""
    table = table_of(batch)
    return rows_of(table, batch.mapping, table.notes)


def plan_of(batch: Batch) -> Plan:
    """What a stored file would do to the register now. It queries.

    Raises:
        FileProblems: the file cannot be read as a table.
    """
    return make_plan(rows_of_batch(batch), Known(), batch.accession.number if batch.accession else "")
