"""What must come back and be done, the words of acknowledgement, and the numbers of the papers."""

from __future__ import annotations

from collections.abc import Iterator

from governance.papers.printed.blocks import Block, Cell, Para, Section, Table, lines_of, plain, strong
from governance.papers.printed.language import PrintedLanguage
from governance.usedesk.sheet.contents import Sheet
from governance.usedesk.sheet.group_terms import kind_word, quoted, where_lines
from governance.usedesk.sheet.language import counted, use_word


def comes_back(sheet: Sheet, w: PrintedLanguage) -> Section:
    """The day of return, then the duties in the words in which they were entered: none is added."""
    blocks: list[Block] = [Para(strong(_return_words(sheet, w)), "lead")]
    rows = list(_duty_rows(sheet, w))
    if rows:
        head = [w("group_column"), w("for_use"), w("duty"), w("where")]
        blocks += [Para(plain(w("duties_lead")), keep=True), Table(w("comes_back"), head, rows, [11, 19, 48, 22])]
    else:
        blocks.append(Para(plain(w("no_duties"))))
    closed = [paper.reference for paper in sheet.papers if not paper.is_readable]
    if closed:
        blocks.append(Para(strong(w("closed_duties", papers=", ".join(closed)))))
    return Section(w("comes_back"), blocks, key="back")


def _return_words(sheet: Sheet, w: PrintedLanguage) -> str:
    n = len(sheet.specimens)
    if not sheet.is_loan:
        return w("none_back")
    if sheet.until_on is None:
        return counted(w, "all_back_open", n)
    return counted(w, "some_kept" if sheet.is_kept else "all_back", n, day=w.day(sheet.until_on))


def _duty_rows(sheet: Sheet, w: PrintedLanguage) -> Iterator[list[Cell]]:
    for paper in sheet.papers:
        for use in sheet.uses:
            clause = paper.clauses.get(use)
            if clause is None or not clause.duties:
                continue
            yield [
                Cell([strong(sheet.letters_of(paper))]), Cell([plain(use_word(w, use))]), Cell(lines_of(clause.duties)),
                Cell(where_lines(clause, paper, w)),
            ]  # fmt: skip


def acknowledgement(sheet: Sheet, w: PrintedLanguage) -> Section:
    """The words that papers want in print."""
    rows = [
        [Cell([strong(sheet.letters_of(paper))]), Cell([(quoted(paper.acknowledgement, paper),)]),
         Cell([strong(paper.reference)])]
        for paper in sheet.papers if paper.acknowledgement.strip()
    ]  # fmt: skip
    if not rows:
        return Section(w("acknowledgement"), [Para(plain(w("no_acknowledgement")))])
    head = [w("group_column"), w("words_of_papers"), w("where")]
    table = Table(w("acknowledgement"), head, rows, [11, 67, 22])
    return Section(
        w("acknowledgement"), [Para(plain(w("acknowledgement_lead")), keep=True), table], key="acknowledgement"
    )


def permits(sheet: Sheet, w: PrintedLanguage) -> Section:
    """The papers by number, then those of the way there."""
    rows = [
        [Cell([strong(sheet.letters_of(paper))]), Cell([strong(paper.reference)]), Cell([plain(kind_word(paper, w))]),
         Cell([plain(paper.issuer)]), Cell([plain(w.day(paper.since))] if paper.since else [])]
        for paper in sheet.papers
    ]  # fmt: skip
    rows += [
        [Cell([plain(w("all_groups"))]), Cell([strong(paper.reference)]),
         Cell([plain(w.of("kinds", "cites-exchange-label") if paper.is_label else w.of("way", paper.layer))]), Cell(),
         Cell()]
        for paper in sheet.way
    ]  # fmt: skip
    if not rows:
        return Section(w("permits"), [Para(plain(w("no_papers")))])
    head = [w("group_column"), w("number"), w("kind"), w("given_by"), w("in_force_from")]
    return Section(w("permits"), [Table(w("permits"), head, rows, [11, 22, 25, 25, 17])], key="papers")
