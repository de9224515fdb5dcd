"""Every figure of a report counted again from the rows behind it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.resolving import report_of
from governance.papers.restriction import RestrictedPaperError
from governance.reports.contents import ROWS, Composed, Figure, measured, rows_behind
from governance.reports.models import Report
from governance.reports.queries.one_report import check_visible, rows_address
from governance.reports.queries.seals import seals_of
from governance.reports.queries.stored import stored
from governance.reports.queries.told_papers import check_told
from governance.reports.writing.language import words_of

_COLUMNS: Final = (
    Column("figure", gettext_lazy("Figure")), Column("said", gettext_lazy("The report says"), ColumnKind.NUMBER),
    Column("counted", gettext_lazy("Counted again"), ColumnKind.NUMBER), Column("unit", gettext_lazy("Unit")),
    Column("holds", gettext_lazy("Holds")), Column("rows", gettext_lazy("Rows behind it"), ColumnKind.NUMBER),
    Column("table", gettext_lazy("Table")), Column("how", gettext_lazy("How it is counted")),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    report = report_of(asked)
    try:
        check_visible(report, asked.reader)
        check_told(report, asked.reader)
    except RestrictedPaperError as error:
        words = _("%(report)s is about or tells of a paper that is not open to you.") % {"report": report.reference}
        return Answer(words, _COLUMNS, kept_back=(str(error),), total=0)
    if report.contents is None:
        return Answer(_("%(report)s was not composed yet: it has no figures.") % {"report": report.reference}, _COLUMNS)
    whole = stored(report)
    rows = [_row(report, whole, number, figure) for number, figure in enumerate(whole.contents.figures, start=1)]
    return Answer(
        " ".join(_sentences(report, rows)), _COLUMNS, ListedRows(rows), total=len(_wrong(rows)),
        notes=(_("A figure is a measure over rows that are kept with the report: they are counted here by the same "
                 "measure, from the rows as they are kept. What the register of today says stands under "
                 "“differences” of the report."),),
    )  # fmt: skip


def _row(report: Report, whole: Composed, number: int, figure: Figure) -> Row:
    table = whole.tables.get(figure.proof.table)
    behind = rows_behind(figure.proof, table) if table is not None else []
    again = measured(figure.proof, table, behind) if table is not None else ""
    words = words_of("en")
    address = rows_address(report, figure.proof)
    return Row(f"figure:{number}:{figure.key}", (
        words.figure(figure.key), figure.value, again, figure.unit, _("yes") if again == figure.value else _("no"),
        Linked(len(behind), address) if table is not None else None, words.of("tables", figure.proof.table),
        _how(figure),
    ))  # fmt: skip


def _how(figure: Figure) -> str:
    measure, _colon, column = figure.proof.measure.partition(":")
    if figure.proof.measure == ROWS:
        counted = _("number of rows")
    elif measure == "sum":
        counted = _("sum of %(column)s") % {"column": column}
    else:
        counted = _("different values of %(column)s") % {"column": column}
    where = ", ".join(f"{key} = {'–' if value is None else value}" for key, value in figure.proof.where.items())
    return f"{counted}; {where}" if where else counted


def _wrong(rows: list[Row]) -> list[Row]:
    return [row for row in rows if row.cells[4] != _("yes")]


def _sentences(report: Report, rows: list[Row]) -> Iterator[str]:
    wrong = _wrong(rows)
    told: dict[str, Any] = {"report": report.reference, "n": len(rows), "wrong": len(wrong)}
    if not rows:
        yield _("%(report)s holds no figures.") % told
    elif wrong:
        yield ngettext("%(wrong)s of %(n)s figures of %(report)s does not hold: %(which)s.",
                       "%(wrong)s of %(n)s figures of %(report)s do not hold: %(which)s.", len(wrong)) % {
            **told, "which": ", ".join(_name(row.cells[0]) for row in wrong[:5])}  # fmt: skip
    else:
        yield ngettext("The one figure of %(report)s holds: it was counted again from its rows.",
                       "All %(n)s figures of %(report)s hold: each was counted again from its rows.",
                       len(rows)) % told  # fmt: skip
    yield from _sealed(report)


def _name(cell: Cell) -> str:
    return str(getattr(cell, "value", cell))


def _sealed(report: Report) -> Iterator[str]:
    """Of an issued report, whether the rows are the ones that were issued."""
    if report.issued_at is None:
        yield _("It is a draft: composing it anew may change them.")
        return
    broken = [seal.name for seal in seals_of(report) if not seal.holds]
    if broken:
        yield _("What is kept is not what was issued: %(list)s differ.") % {"list": ", ".join(broken)}
    else:
        yield _("The rows are those that were issued: every hash holds.")


QUESTION: Final = Question(
    "report-figures", Group.RECORDS, gettext_lazy("Do the numbers of this report hold? Which rows are behind each?"),
    gettext_lazy("Each figure with the number that its rows give when they are counted again, and a link to the rows."),
    _answer,
    (Parameter("report", ParameterKind.REPORT, gettext_lazy("Report"), is_required=True,
               help=gettext_lazy("Its number.")),),
)  # fmt: skip
