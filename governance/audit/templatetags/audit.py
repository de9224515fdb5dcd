"""Answers of questions on pages: their cells, strips, and the words of both clocks."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.loader import get_template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from governance.audit.asking import Asked, Cell, Column, ColumnKind, Linked, Missing, Plain, Question, Row
from governance.audit.queries.differing import Changed
from governance.audit.questions.addresses import page_of
from governance.audit.writing.cells import heading, iso_words, plain, verdict_cell, words
from governance.audit.writing.told import missing_words, value_words
from governance.verdicts.cells import Cell as VerdictCell
from governance.verdicts.cells import strip_cells

register = template.Library()

_CLASSES = {ColumnKind.NUMBER: "num", ColumnKind.CODE: "ref", ColumnKind.TAXON: "taxon", ColumnKind.DAY: "nowrap",
            ColumnKind.MOMENT: "nowrap"}  # fmt: skip

_LONGEST_REFERENCE = 24
_LONG = 50
_SAME = object()


@register.filter
def strip_of(digits: str) -> list[VerdictCell]:
    """The nine cells of a strip of digits; none of what is no strip."""
    return strip_cells(digits) if len(digits) == 9 and digits.isdigit() else []


@register.simple_tag
def record_page(kind: str, key: int) -> str:
    """The address of the page of a record whose history is kept, "" where it has no page of its own."""
    return page_of(kind, key)


@register.filter
def missing_in_words(missing: Missing) -> str:
    """What is missing, with how many where the words do not say it."""
    return missing_words(missing)


@register.filter
def column_heading(column: Column) -> str:
    """Its label with the unit."""
    return heading(column)


@register.filter
def is_number(column: Column) -> bool:
    """Whether it stands at the right edge."""
    return column.kind is ColumnKind.NUMBER


@register.simple_tag
def cells_of(columns: tuple[Column, ...], row: Row) -> SafeString:
    """The cells of a row as markup: the first names it. In one tag, since a page may have a thousand of them."""
    made = [
        _cell(column, cell, is_head=place == 0)
        for place, (column, cell) in enumerate(zip(columns, row.cells, strict=True))
    ]
    return SafeString("".join(made))


def _cell(column: Column, cell: Cell, *, is_head: bool, then: Any = _SAME) -> SafeString:
    inside = _inside(column, plain(cell))
    if isinstance(cell, Linked) and cell.address:
        inside = format_html('<a href="{}">{}</a>', cell.address, inside)
    if then is not _SAME:
        inside = format_html("<del>{}</del> <ins>{}</ins>", _inside(column, then), inside)
    look = _CLASSES.get(column.kind, "") or _look(cell)
    marked = format_html(' class="{}"', look) if look else ""
    if is_head:
        return format_html('<th scope="row"{}>{}</th>', marked, inside)
    return format_html("<td{}>{}</td>", marked, inside)


def _look(cell: Cell) -> str:
    """A number or reference is never broken over lines; a long text is given room."""
    text = str(plain(cell))
    if isinstance(cell, Linked) and len(text) <= _LONGEST_REFERENCE and " " not in text and "." not in text:
        return "ref"
    return "ask-long" if len(text) > _LONG else ""


def _inside(column: Column, value: Plain) -> str:
    if value is None or value == "":
        return format_html('<span class="muted">{}</span>', "–")
    drawn = _drawn(column, value)
    return drawn if drawn else words(column, value)


def _drawn(column: Column, value: Plain) -> SafeString | None:
    if column.kind is ColumnKind.STRIP and strip_of(str(value)):
        return SafeString(get_template("_components/strip.html").render({"cells": strip_of(str(value))}))
    if column.kind is ColumnKind.VERDICT and (cell := verdict_cell(value)):
        return SafeString(get_template("_components/verdict.html").render({"cell": cell}))
    if column.kind in (ColumnKind.DAY, ColumnKind.MOMENT) and not isinstance(value, str):
        return format_html('<time datetime="{}">{}</time>', iso_words(column, value), words(column, value))
    return None


@register.simple_tag
def asked_pairs(question: Question, asked: Asked) -> list[tuple[Any, str]]:
    """Each parameter with what was said for it."""
    return [(one.label, value_words(one, asked[one.key])) for one in question.parameters]


@register.simple_tag
def changed_cells(columns: tuple[Column, ...], changed: Changed) -> SafeString:
    """The cells of a row that changed: what stood there then, struck through, before what stands there now."""
    pairs = zip(columns, changed.then.cells, changed.now.cells, strict=True)
    made = [
        _cell(column, now, is_head=place == 0, then=plain(then) if place in changed.differing else _SAME)
        for place, (column, then, now) in enumerate(pairs)
    ]
    return SafeString("".join(made))
