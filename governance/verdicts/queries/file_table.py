"""The cells of a legal file as lines of a table, for a file: one line a row and layer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext as _

from governance.verdicts.models import LayerDecision, Search
from governance.verdicts.queries.file_papers import CellPaper
from governance.verdicts.queries.legal_file import FileCell, LegalFile

HEADER = (
    "accessionNumber", "row", "layer", "worst verdict", "specimens with it", "need a look", "checked", "specimens",
    "papers", "search", "searched by", "searched on", "not required because", "evidence", "decided by", "decided on",
    "day of the way", "to fill it",
)  # fmt: skip
WIDTHS = (18, 18, 16, 18, 10, 10, 10, 10, 60, 24, 20, 13, 40, 40, 20, 13, 16, 70)


def table_rows(file: LegalFile) -> Iterator[tuple[str | int | date | None, ...]]:
    """In the order of the page."""
    for row in file.rows:
        for cell in row.cells:
            yield (
                file.accession.number, row.label, cell.name_cell.layer_name,
                cell.cell.word if cell.cell else _("not yet checked"),
                cell.worst, cell.open, cell.checked, cell.specimens, "; ".join(map(paper_words, cell.papers)),
                *_search_columns(cell), *_decision_columns(cell.decision), cell.day, cell.fill,
            )  # fmt: skip


def paper_words(used: CellPaper) -> str:
    """A paper in one text: reference, what it is linked to, the version in force."""
    more = [used.through, _("not read yet") if used.is_unread else used.period]
    return f"{used.paper.reference} ({'; '.join(text for text in more if text)})"


def _search_columns(cell: FileCell) -> tuple[str | date | None, ...]:
    search: Search | None = cell.search
    if search is None:
        return ("", "", None)
    return (str(search.get_state_display()), search.searched_by, search.searched_on)


def _decision_columns(decision: LayerDecision | None) -> tuple[str | date | None, ...]:
    if decision is None:
        return ("", "", "", None)
    return (decision.reason, decision.evidence, decision.decided_by.shown_name, decision.decided_at.date())
