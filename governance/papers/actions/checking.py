"""Objects of papers held against everything that could stop them, before anything is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django.db import models

from accessions.intake.problems import FileProblems, Problem
from governance.papers.columns import Columns, VersionColumns, paper_columns, status_columns, version_columns
from governance.papers.document import place_words
from governance.papers.exchange import PapersFile, papers_from_value
from governance.papers.models import Paper, PaperStatus, PaperVersion, TermsReading, UseTerm, VersionWord
from governance.papers.terms_of_use import KEY

_MOST_LINES: Final = 10_000
_PATHS: Final[Mapping[tuple[str, str], str]] = {
    ("VersionPlace", "site"): "places", ("VersionTaxon", "name"): "taxa", ("VersionTaxon", "kingdom"): "taxa",
    ("VersionPerson", "name"): "people.named", ("VersionCap", "taxon"): "caps", ("VersionCap", "kingdom"): "caps",
    ("UseTerm", "only_countries"): "only_in", ("UseTerm", "not_countries"): "not_in",
}  # fmt: skip
"""Key of a version under which the column of a line stands, where it is not the name of the column."""


def checked(objects: Sequence[Mapping[str, Any]], file: str) -> PapersFile:
    """Read the objects as a papers file is read, and hold them against the columns of the register.

    Raises:
        FileProblems: with every problem at once.
    """
    return checked_value({"papers": list(objects)}, file)


def checked_value(value: Any, file: str) -> PapersFile:
    """The same for the whole value of a papers file."""
    read = papers_from_value(value, file)
    problems = [problem for n, entry in enumerate(read.entries) for problem in _too_long(entry, n, file)]
    if problems:
        raise FileProblems(problems)
    return read


def _too_long(entry: Mapping[str, Any], number: int, file: str) -> Iterator[Problem]:
    """Texts that are longer than their columns, and lists that are longer than anybody writes."""
    face, path = paper_columns(entry), f"papers[{number}]"
    found = [*_long_texts(Paper, face, path)]
    for turn in status_columns(entry):
        found += _long_texts(PaperStatus, turn, f"{path}.statuses")
    for position, version in enumerate(version_columns(entry)):
        found += _long_in_version(version, f"{path}.versions[{position}]")
    for where, what, expected in found:
        yield Problem(file, place_words(where, face["reference"]), what, expected)


def _long_in_version(version: VersionColumns, path: str) -> Iterator[tuple[str, str, str]]:
    yield from _long_texts(PaperVersion, version.own, path)
    for table, rows in version.terms.items():
        if len(rows) > _MOST_LINES:
            name = str(table._meta.verbose_name_plural)
            yield path, f"it has {len(rows):,} {name}", f"At most {_MOST_LINES:,} are kept; name higher taxa or areas."
        for row in rows:
            yield from _long_texts(table, row, path)
    if version.uses is not None:
        yield from _long_texts(TermsReading, version.uses.reading, f"{path}.{KEY}")
        for number, row in enumerate(version.uses.terms.values()):
            yield from _long_texts(UseTerm, row, f"{path}.{KEY}.uses[{number}]")


def _long_texts(table: type[models.Model], row: Columns, path: str) -> Iterator[tuple[str, str, str]]:
    for name, value in row.items():
        limit = getattr(table._meta.get_field(name), "max_length", None)
        if limit is not None and isinstance(value, str) and len(value) > limit:
            key = row["subject"] if table is VersionWord else _PATHS.get((table.__name__, name), name)
            yield f"{path}.{key}", f"a text of {len(value)} characters stands there", f"At most {limit} are kept."
