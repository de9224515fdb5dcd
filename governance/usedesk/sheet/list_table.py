"""The list of specimens, with a code beside each number."""

from __future__ import annotations

from typing import Final

from governance.papers.printed.blocks import Block, Cell, Para, Section, Table, Text, plain, strong
from governance.papers.printed.language import PrintedLanguage
from governance.usedesk.sheet.codes import code_picture
from governance.usedesk.sheet.contents import Sheet, SheetSpecimen

CODE_CM: Final = 0.95
"""Of a code with its quiet zone: 29 modules of a third of a millimetre for numbers of up to 20 letters and figures."""

MOST_CODES: Final = 1000
"""Longer lists have no codes: the file would grow, and a list of that length is read from a file."""


def specimen_list(sheet: Sheet, w: PrintedLanguage, *, with_codes: bool, most: int | None) -> Section:
    """The list begins a page. most: rows that are shown; None: all."""
    shown = sheet.specimens if most is None else sheet.specimens[:most]
    codes = with_codes and len(sheet.specimens) <= MOST_CODES
    rows = [_row(one, w, with_code=codes, with_back=sheet.is_loan) for one in shown]
    head = [w("catalogue_number"), w("taxon"), w("country_date"), w("count"), w("group_column")]
    widths = [23, 27, 24, 9, 9]
    if codes:
        head, widths = [w("code"), *head], [8, *widths]
    if sheet.is_loan:
        head, widths = [*head, w("back")], [*widths, 10]
    blocks: list[Block] = [
        Para(plain(w("list_lead" if codes else "list_lead_plain")), "note"),
        Table(w("list"), head, rows, widths, small=True),
    ]
    if len(shown) < len(sheet.specimens):
        blocks.append(Para(strong(w("list_cut", n=len(sheet.specimens) - len(shown)))))
    return Section(w("list"), blocks, new_page=True, key="list")


def _row(one: SheetSpecimen, w: PrintedLanguage, *, with_code: bool, with_back: bool) -> list[Cell]:
    number = one.number or w("no_number")
    cells = [
        Cell([strong(number), *([plain(one.preparation)] if one.preparation else [])]),
        Cell([(Text(one.name, role="taxon"),) if one.name else plain(w("unnamed"))]),
        Cell([plain(line) for line in (w.country(one.country) if one.country else "", _days(one)) if line]),
        Cell([plain(one.count)]), Cell([strong(one.letter)]),
    ]  # fmt: skip
    if with_code:
        code = code_picture(one.number, w("code_alt", number=number), CODE_CM) if one.number else None
        cells.insert(0, Cell(picture=code))
    return [*cells, Cell([plain("\u2610")])] if with_back else cells


def _days(one: SheetSpecimen) -> str:
    """In ISO 8601, as on labels; an interval where the day is not known to the day."""
    if one.first_on is None or one.last_on is None:
        return ""
    first, last = one.first_on.isoformat(), one.last_on.isoformat()
    return first if first == last else f"{first}/{last}"
