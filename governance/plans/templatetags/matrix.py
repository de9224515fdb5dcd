"""The cells of the coverage matrix: ``{% matrix_cells row %}``. A long plan has hundreds: each is one piece of text."""

from __future__ import annotations

from functools import lru_cache

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from governance.engine.tables import Verdict
from governance.plans.queries.matrix import MatrixCell, MatrixRow
from governance.verdicts.cells import Cell

register = template.Library()

_NOWRAP_CHARACTERS = 17
"""A reference that is shorter than this stays on one line."""


@register.simple_tag
def matrix_cells(row: MatrixRow) -> SafeString:
    """The nine cells of a row, each with its way in; every text is escaped here."""
    name = escape(row.name)
    return mark_safe("".join(_cell(name, shown) for shown in row.cells))


def _cell(row_name: str, shown: MatrixCell) -> str:
    cell = shown.cell
    words = f'<span class="vh">{row_name}, {escape(cell.layer_name)}: </span><b>{escape(cell.word)}</b>'
    way_in = f'<a class="mx-cell" id="{shown.key}" href="{escape(shown.href)}">{_glyph(cell.verdict)}{words}</a>'
    return f"<td{_attributes(cell.verdict, shown.is_in_calm_layer)}>{way_in}{_below(shown)}</td>"


@lru_cache
def _attributes(verdict: Verdict, is_calm: bool) -> str:
    look = " data-look" if Cell(verdict).needs_a_look else ""
    return f' data-v="{Cell(verdict).data_v}"' + (' class="mx-calm"' if is_calm else "") + look


@lru_cache
def _glyph(verdict: Verdict) -> str:
    cell = Cell(verdict)
    return (
        '<svg class="g" viewBox="0 0 28 26" aria-hidden="true"><rect class="tile" width="28" height="26" rx="3"/>'
        f'<use href="#v-{cell.data_v}" x="4" y="3" width="20" height="20"/></svg>'
        f'<span class="mx-letter" aria-hidden="true">{escape(cell.letter)}</span>'
    )


def _below(shown: MatrixCell) -> str:
    """The papers, what is lacking, how near the end is, by when to start."""
    start = f"when{' late' if shown.is_late else ''}"
    return (
        _papers(shown.references) + _line(shown.reason) + _line(shown.margin) + _line(shown.start, start)
    )  # fmt: skip


def _line(text: str, more: str = "") -> str:
    return f'<span class="mx-by{f" {more}" if more else ""}">{escape(text)}</span>' if text else ""


def _papers(references: tuple[str, ...]) -> str:
    """The first by its reference, how many more there are, and those for who points or listens."""
    if not references:
        return ""
    first, others = references[0], escape(", ".join(references[1:]))
    nowrap = " nowrap" if len(first) < _NOWRAP_CHARACTERS else ""
    more = f' <span title="{others}">+{len(references) - 1}</span><span class="vh">: {others}</span>' if others else ""
    return f'<span class="mx-by ref{nowrap}">{escape(first)}{more}</span>'
