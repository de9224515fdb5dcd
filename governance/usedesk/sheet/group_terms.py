"""What may be done and what not, group by group, in the words of the papers. Nothing is judged here: what was approved
may be done, and the papers are quoted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from governance.engine.uses import ELSEWHERE, Ownership, Said, Use
from governance.papers.printed.blocks import Block, Cell, Line, Para, Section, Table, Text, lines_of, plain, strong
from governance.papers.printed.language import PrintedLanguage
from governance.usedesk.sheet.contents import Clause, PaperTerms, Sheet, TermsGroup
from governance.usedesk.sheet.language import counted, use_word

_WIDTHS = [22, 56, 22]


def what_may(sheet: Sheet, w: PrintedLanguage) -> Section:
    """All groups, those with the same terms together; and what holds for whatever no group names."""
    parts = [_groups(groups, sheet, w) for groups in _bundled(sheet.groups)]
    lead = [Para(plain(w("what_may_lead"))), Para(strong(w("anything_else")))]
    return Section(w("what_may"), lead, parts, key="terms")


def _bundled(groups: Sequence[TermsGroup]) -> list[list[TermsGroup]]:
    """Groups of which the same is to be said: they differ by papers that say nothing of uses."""
    found: dict[frozenset[tuple[int, date | None]], list[TermsGroup]] = {}
    for group in groups:
        found.setdefault(frozenset((paper.key, paper.since) for paper in _speaking(group)), []).append(group)
    return list(found.values())


def _speaking(group: TermsGroup) -> list[PaperTerms]:
    return [paper for paper in group.papers if _speaks(paper)]


def _speaks(paper: PaperTerms) -> bool:
    """Whether something of it is to be said: a clause, whose the material is, or that its terms are not all known."""
    is_silent = all(clause.said == Said.SILENT for clause in paper.clauses.values())
    return not (
        is_silent and len(paper.clauses) == len(Use) and paper.ownership not in ELSEWHERE and not paper.agreements
    )


def _groups(groups: Sequence[TermsGroup], sheet: Sheet, w: PrintedLanguage) -> Section:
    """Title with letters, papers, and a table each of what is permitted, forbidden, and asked about first."""
    papers, count = _speaking(groups[0]), sum(group.count for group in groups)
    blocks: list[Block] = [Para(line, keep=True) for line in _papers_lines(papers, w)]
    blocks.append(_table("may_be_done", [row for use in sheet.uses for row in _permitted(use, papers, w)], w))
    for said, word in ((Said.NOT_ALLOWED, "not_allowed"), (Said.ASK_FIRST, "ask_first")):
        if rows := list(_others(said, papers, sheet, w)):
            blocks.append(_table(word, rows, w))
    blocks += [Para(line) for line in _not_printed(papers, w)]
    if len(groups) > 1:
        title = w("groups_title", letters=", ".join(group.letter for group in groups), n=count)
    else:
        title = counted(w, "group_title", count, letter=groups[0].letter)
    return Section(title, blocks, level=2)


def _table(word: str, rows: Sequence[Sequence[Cell]], w: PrintedLanguage) -> Table:
    return Table(w(word), [w(word), w("words_of_papers"), w("where")], rows, _WIDTHS, terms=True, kept_below=4)


def _papers_lines(papers: Sequence[PaperTerms], w: PrintedLanguage) -> Iterator[Line]:
    """The papers with their kinds; whose the material is, where that is somebody else."""
    if not papers:
        yield plain(w("no_papers"))
        return
    named = [f"{paper.reference} ({kind_word(paper, w)})" if paper.kind else paper.reference for paper in papers]
    yield plain(w.pair(w("papers"), "; ".join(named)))
    for paper in papers:
        if paper.ownership in ELSEWHERE:
            where = f" {place(paper, '', paper.ownership_page, w)}."
            yield (Text(w.of("ownership", Ownership(paper.ownership).code), role="strong"), Text(where, role="note"))
            if paper.ownership_clause:
                yield (quoted(paper.ownership_clause, paper),)


def kind_word(paper: PaperTerms, w: PrintedLanguage) -> str:
    """The kind of a paper."""
    return w.of("kinds", paper.kind) if paper.kind else w("deposit")


def _permitted(use: Use, papers: Sequence[PaperTerms], w: PrintedLanguage) -> Iterator[list[Cell]]:
    """A row for each paper that speaks of an approved use, and for each provider that agreed to it."""
    name = [strong(use_word(w, use))]
    rows = [row for paper in papers for row in _of_paper(use, paper, w)]
    if not rows:
        yield [Cell(name), Cell([plain(w("by_institution"))]), Cell()]
    for number, (words, where) in enumerate(rows):
        yield [Cell(name if number == 0 else []), Cell(words), Cell(where)]


def _of_paper(use: Use, paper: PaperTerms, w: PrintedLanguage) -> Iterator[tuple[list[Line], list[Line]]]:
    clause = paper.clauses.get(use)
    if clause is not None and clause.said not in (Said.SILENT, Said.NOT_ALLOWED):
        yield _clause_lines(clause, paper, w), where_lines(clause, paper, w)
    for agreement in paper.agreements:
        if use in agreement.uses:
            said = plain(w("agreed", who=agreement.by, day=w.day(agreement.on)))
            yield [said, (quoted(agreement.words, paper),)], [strong(paper.reference)]


def _clause_lines(clause: Clause, paper: PaperTerms, w: PrintedLanguage) -> list[Line]:
    lines: list[Line] = [(quoted(clause.text, paper),)] if clause.text else []
    lines += [plain(words) for words in condition_words(clause, w)]
    if clause.other_condition:
        lines += [(quoted(line[0].text, paper),) for line in lines_of(clause.other_condition)]
    if clause.duties:
        lines.append(strong(w("with_duties")))
    return lines


def _others(said: Said, papers: Sequence[PaperTerms], sheet: Sheet, w: PrintedLanguage) -> Iterator[list[Cell]]:
    """Clauses that forbid; and those that ask, on uses that were not approved."""
    for use in Use:
        clauses = [(paper, paper.clauses[use]) for paper in papers if use in paper.clauses]
        if use in sheet.uses and said != Said.NOT_ALLOWED:
            continue
        spoken = [(paper, clause) for paper, clause in clauses if clause.said == said]
        for number, (paper, clause) in enumerate(spoken):
            name = [strong(use_word(w, use))] if number == 0 else []
            yield [Cell(name), Cell([(quoted(clause.text, paper),)]), Cell(where_lines(clause, paper, w))]


def _not_printed(papers: Sequence[PaperTerms], w: PrintedLanguage) -> Iterator[Line]:
    """Papers that bind as well, but whose terms are not here."""
    for paper in papers:
        if not paper.is_readable:
            yield strong(w("closed_terms", reference=paper.reference))
        elif not paper.clauses:
            yield strong(w("no_terms_on_file", reference=paper.reference))
        elif len(paper.clauses) < len(Use):
            yield plain(w("unread_terms", reference=paper.reference))


def quoted(text: str, paper: PaperTerms) -> Text:
    """Words of a paper, in its language."""
    return Text(f"“{text.strip()}”", lang=paper.language, role="paper")


def where_lines(clause: Clause, paper: PaperTerms, w: PrintedLanguage) -> list[Line]:
    """Paper, clause, page."""
    return [strong(paper.reference), *([plain(rest)] if (rest := _place(clause.number, clause.page, w)) else [])]


def place(paper: PaperTerms, number: str, page: int | None, w: PrintedLanguage) -> str:
    """The same in one line."""
    return ", ".join(part for part in (paper.reference, _place(number, page, w)) if part)


def _place(number: str, page: int | None, w: PrintedLanguage) -> str:
    parts = [w("clause", number=number)] if number else []
    return ", ".join([*parts, *([w("page", page=str(page))] if page else [])])


def condition_words(clause: Clause, w: PrintedLanguage) -> list[str]:
    """The conditions of a clause, a sentence each."""
    return [w.of("conditions", word).format(value=_value(word, value, w)) for word, value in clause.conditions]


def _value(word: str, value: object, w: PrintedLanguage) -> str:
    if isinstance(value, tuple):
        names = [w.of("recipients", one) if word == "only_to" else w.country(one) for one in value]
        return w.several(names)
    if isinstance(value, date):
        return w.day(value)
    return w.number(value) if isinstance(value, int) else str(value or "")
