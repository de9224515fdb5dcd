"""A terms sheet in the words of a language: first page, terms by group, duties, papers, signatures, list."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from governance.papers.printed.blocks import (
    Alert,
    Block,
    Cell,
    Facts,
    Line,
    Para,
    Printed,
    Section,
    Table,
    Text,
    lines_of,
    plain,
    strong,
)
from governance.papers.printed.language import PrintedLanguage
from governance.usedesk.sheet.codes import code_picture
from governance.usedesk.sheet.contents import Party, Sheet
from governance.usedesk.sheet.duties import acknowledgement, comes_back, permits
from governance.usedesk.sheet.group_terms import what_may
from governance.usedesk.sheet.language import use_word
from governance.usedesk.sheet.list_table import specimen_list

_SHEET_CODE_CM = 2.6


def printed_sheet(sheet: Sheet, w: PrintedLanguage, *, with_codes: bool = True, most: int | None = None) -> Printed:
    """The sheet as sections. most: specimens that the list shows, for a page; None: all."""
    title = w("title_loan" if sheet.is_loan else "title_use", number=sheet.number)
    sections = [Section(title, list(_first_page(sheet, w)), key="cover")]
    if not sheet.is_draft:
        sections += [
            what_may(sheet, w), comes_back(sheet, w), acknowledgement(sheet, w), permits(sheet, w),
            Section(w("signatures"), list(_signatures(w)), key="signatures"),
            specimen_list(sheet, w, with_codes=with_codes, most=most),
        ]  # fmt: skip
    return Printed(
        w.code, sheet.number, sheet.sender.name, w("terms_sheet"), w("made_on", day=w.day(sheet.made_on)),
        w("page_of", page="\0", pages="\1"), sections,
    )  # fmt: skip


def _first_page(sheet: Sheet, w: PrintedLanguage) -> Iterator[Block]:
    if sheet.is_draft:
        yield Alert(w("draft"), [plain(w("draft_text"))])
    yield _parties(sheet, w)
    yield Facts(w("terms_sheet"), list(_facts(sheet, w)))
    yield Para(plain(w("caution")), "note")
    yield Para(plain(w("original_words")), "note")


def _parties(sheet: Sheet, w: PrintedLanguage) -> Table:
    """Sender and recipient side by side, the number of the sheet as a code."""
    house = _party(sheet.sender, w) if sheet.sender.name else [strong(w("house_unknown"))]
    there = _party(sheet.recipient, w) if sheet.recipient else [strong(w("to_unknown"))]
    if sheet.asked_by:
        there.append(plain(w("asked_by", value=sheet.asked_by)))
    code = code_picture(sheet.number, w("code_alt", number=sheet.number), _SHEET_CODE_CM)
    row = [
        Cell([(Text(w("from"), role="note"),), *house]), Cell([(Text(w("to"), role="note"),), *there]),
        Cell([(Text(sheet.number, role="strong"),)], picture=code),
    ]  # fmt: skip
    return Table(f"{w('from')}, {w('to')}", ["", "", ""], [row], [40, 40, 20], bare=True)


def _party(party: Party, w: PrintedLanguage) -> list[Line]:
    lines = [strong(party.name), *lines_of(party.address)]
    if party.country:
        lines.append(plain(w.country(party.country)))
    if party.contact:
        lines.append(plain(w("contact", value=" · ".join(_words(party.contact)))))
    if party.cites_code:
        lines.append(plain(w("cites_number", value=party.cites_code)))
    return lines


def _words(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _facts(sheet: Sheet, w: PrintedLanguage) -> Iterator[tuple[str, list[Line]]]:
    yield w("what"), [strong(sheet.title)]
    yield w("purpose"), lines_of(sheet.purpose) or [plain(w("purpose_unknown"))]
    if not sheet.is_draft:
        yield w("may_be_done"), [strong("; ".join(use_word(w, use) for use in sheet.uses))]
    commercial = {"yes": "commercial_yes", "no": "commercial_no"}.get(sheet.commercial, "commercial_unknown")
    yield w("commercial"), [plain(w(commercial))]
    yield w("days"), [plain(_days(sheet.from_on, sheet.until_on, w))]
    if sheet.is_loan:
        yield w("due_back"), [strong(w.day(sheet.until_on) if sheet.until_on else w("not_fixed"))]
    if not sheet.is_draft:
        groups = w("groups_count", n=len(sheet.groups))
        yield w("specimens"), [plain(w("specimens_count", n=len(sheet.specimens))), plain(groups)]
    if sheet.way:
        yield w("travels"), [plain(line) for line in way_lines(sheet, w)]


def way_lines(sheet: Sheet, w: PrintedLanguage) -> list[str]:
    """The papers of the way there, one a line."""
    return [
        w("exchange_label", number=paper.reference) if paper.is_label
        else w.pair(w.of("way", paper.layer), paper.reference)
        for paper in sheet.way
    ]  # fmt: skip


def _days(first: date | None, last: date | None, w: PrintedLanguage) -> str:
    if first and last:
        return w.span(first, last)
    if first:
        return w("from_day", day=w.day(first))
    return w.pair(w("until"), w.day(last)) if last else w("not_fixed")


def _signatures(w: PrintedLanguage) -> Iterator[Block]:
    yield Para(plain(w("statement")), keep=True)
    rows = [[Cell([strong(w(word))]), Cell(), Cell()] for word in ("name", "office", "day", "signature")]
    yield Table(w("signatures"), ["", w("for_recipient"), w("for_house")], rows, [16, 42, 42], tall=True)
