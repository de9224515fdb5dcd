"""What a row says that cannot be read, or reads oddly: said before the commit, stopping nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from accessions.intake.kept import COUNT_TERMS, DELIVERY_TERMS
from accessions.intake.places import Sites
from accessions.intake.plan import Plan
from accessions.intake.problems import shown
from accessions.intake.rows import FileRows, RowProblem
from accessions.material.reading import read_event
from accessions.names.placing import read_written
from accessions.values import read_count, read_event_date

_KEPT_AS_WRITTEN = ""
"""Nothing to add: the page says of every warning that the cell is kept as written."""


def warnings_of(plan: Plan) -> list[RowProblem]:
    """One warning for each odd cell of each row, in the order of the rows. Each distinct text is read once."""
    found = [
        *_of_events(plan),
        *_of_names(plan),
        *_of_counts(plan.rows),
        *(problem for term in plan.rows.present(DELIVERY_TERMS) for problem in _of_days(plan.rows, term)),
        *_of_numbers(plan.rows),
    ]
    return sorted(found, key=lambda problem: problem.row)


def _of_events(plan: Plan) -> Iterator[RowProblem]:
    sites = Sites()
    hints: dict[int, list[tuple[str, str]]] = {}
    for number, written in enumerate(plan.events.written):
        clauses = [
            (term, f"{shown(written[term])}: {hint}" if written.get(term) else hint)
            for term, hint in read_event(written).hints
        ]
        if sites.is_ambiguous(written):
            clauses.append(("siteName", f"several sites are called {shown(written['siteName'])}; give the locationID"))
        if clauses:
            hints[number] = clauses
    for row, number in enumerate(plan.events.of_row):
        for term, clause in hints.get(number, ()):
            yield RowProblem(row, term, clause, _KEPT_AS_WRITTEN, "warning")


def _of_names(plan: Plan) -> Iterator[RowProblem]:
    hints = {number: hint for number, written in enumerate(plan.names.written) if (hint := read_written(written).hint)}
    for row, number in enumerate(plan.names.of_row):
        if number in hints:
            text = plan.names.written[number].get("scientificName", "")
            clause = f"{shown(text)}: {hints[number]}" if text else hints[number]
            yield RowProblem(row, "scientificName", clause, _KEPT_AS_WRITTEN, "warning")


def _of_counts(rows: FileRows) -> Iterator[RowProblem]:
    cells = list(zip(*map(rows.column, COUNT_TERMS), strict=True))
    hints = {texts: hint for texts in set(cells) if (hint := read_count(*texts).hint)}
    if not hints:
        return
    for row, texts in enumerate(cells):
        if texts in hints:
            term = "countRange" if texts[1] else "individualCount"
            clause = f"{shown(texts[1] or texts[0])}: {hints[texts]}"
            yield RowProblem(row, term, clause, "It counts as one or more.", "warning")


def _of_days(rows: FileRows, term: str) -> Iterator[RowProblem]:
    cells: Sequence[str] = rows.columns[term]
    hints = {text: read.hint for text in set(cells) if (read := read_event_date(text)).reading == "unreadable"}
    for row, text in enumerate(cells):
        if text in hints:
            yield RowProblem(row, term, f"{shown(text)}: {hints[text]}", _KEPT_AS_WRITTEN, "warning")


def _of_numbers(rows: FileRows) -> Iterator[RowProblem]:
    if "catalogNumber" not in rows.columns:
        return
    for row, number in enumerate(rows.columns["catalogNumber"]):
        if not number:
            yield RowProblem(row, "catalogNumber", "there is no catalogue number",
                             "The row is known again only as long as it stays as it is.", "warning")  # fmt: skip
