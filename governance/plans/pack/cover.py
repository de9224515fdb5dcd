"""The first pages: which plan, from when; what is not settled, first; whom to tell; which papers to carry."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from accessions.values import split_people
from governance.papers.lifetimes import Standing, lifetime
from governance.papers.printed.blocks import (
    Alert,
    Block,
    Cell,
    Facts,
    Line,
    Para,
    Section,
    Table,
    Text,
    Ticks,
    lines_of,
    plain,
    strong,
)
from governance.plans.pack.sources import NumberedStop, PackSources
from governance.plans.pack.verdict_words import layer_word, open_cells, stop_words, word_of


def cover(src: PackSources, today: date) -> Section:
    """What is looked at before the car is packed."""
    w, plan = src.words, src.plan
    facts: list[tuple[str, list[Line]]] = [
        (w("number"), [strong(plan.reference)]),
        (w("days"), [plain(line) for line in plan_days(src)]),
        (w("led_by"), [plain(plan.leader or w("not_said"))]),
        (w("people_planned"), [plain(w.several(_people(src)) or w("not_said"))]),
        (w("plan"), [plain(made_words(src, today)), *signed_lines(src)]),
    ]
    blocks: list[Block] = []
    if not plan.is_open:
        blocks.append(Alert(w("closed"), [plain(plan.closed_why)] if plan.closed_why else []))
    blocks.append(Facts(w("plan"), facts))
    if len(src.stops) < len(src.check.loaded.stops):
        stops = w.several([str(stop.number) for stop in src.stops])
        blocks.append(Para(plain(w("only_stops", stops=stops, all=len(src.check.loaded.stops)))))
    return Section(plan.title, blocks, [_state(src, today), _contacts(src), _carry(src, ())], key="cover")


def with_copies(section: Section, src: PackSources, copied: Collection[int]) -> Section:
    """The cover, whose list of papers says of which there are copies."""
    *others, _last = section.sections
    return Section(section.title, section.blocks, [*others, _carry(src, copied)], key=section.key)


def plan_days(src: PackSources) -> list[str]:
    """From the first day to the last of what is fixed; then the stops whose days are not."""
    w = src.words
    fixed = [days for stop in src.stops if None not in (days := stop.one.days)]
    open_ones = [str(stop.number) for stop in src.stops if None in stop.one.days]
    first = min((first for first, _ in fixed if first), default=None)
    told = [w.days(first, max((last for _, last in fixed if last), default=None))] if fixed or not open_ones else []
    return told + ([w.pair(f"{w('stop')} {w.several(open_ones)}", w("days_open"))] if open_ones else [])


def _people(src: PackSources) -> list[str]:
    return list(dict.fromkeys(name for stop in src.stops for name in split_people(stop.one.stop.people)))


def made_words(src: PackSources, today: date) -> str:
    w = src.words
    if src.newest is None:
        return w("made_without", day=w.day(today))
    return w("made", day=w.day(today), version=src.newest.number)


def signed_lines(src: PackSources) -> list[Line]:
    """Whether it is signed off, and whether something changed since."""
    w, signed = src.words, src.signed
    if signed is None:
        return [strong(w("not_signed"))]
    key = "signed_changed" if signed.changed else "signed" if signed.is_as_signed else "signed_moved"
    told = {
        "version": signed.version.number, "day": w.day(signed.sign_off.signed_at.date()),
        "person": signed.sign_off.signed_by.shown_name,
    }  # fmt: skip
    remark = (Text(w("remark") + " ", role="note"), Text(signed.sign_off.remark))
    return [plain(w(key, **told)) if key == "signed" else strong(w(key, **told)), remark]


def _state(src: PackSources, today: date) -> Section:
    """What the check says, stops with something to settle first."""
    w = src.words
    unsettled = [stop for stop in src.stops if open_cells(stop, src)]
    calm = [stop for stop in src.stops if not open_cells(stop, src)]
    blocks: list[Block] = []
    if unsettled:
        blocks.append(Alert(w("some_open", open=len(unsettled), all=len(src.stops)),
                            [line for stop in unsettled for line in _open_lines(stop, src)]))  # fmt: skip
    if not src.stops:
        blocks.append(Para(plain(w("no_stops"))))
    if calm:
        rows = [
            [Cell([plain(str(stop.number))]), Cell([strong(stop.one.stop.name)]), Cell([plain(w.days(*stop.one.days))]),
             Cell([plain(w("calm"))], "covered")]
            for stop in calm
        ]  # fmt: skip
        if not unsettled:
            blocks.append(Para(plain(w("all_calm")), "lead"))
        blocks.append(Table(w("state"), ["", w("stop"), w("days"), w("verdict")], rows, [5, 30, 30, 35]))
    blocks.append(Para(plain(w("state_of", day=w.day(today))), "note"))
    blocks.append(Para(plain(w("legal")), "note"))
    return Section(w("state"), blocks, level=2)


def _open_lines(stop: NumberedStop, src: PackSources) -> list[Line]:
    """A stop on a line: what must not be done, then what is not settled."""
    w = src.words
    cells = [w.pair(layer_word(cell.layer, src), word_of(cell, src)) for cell in open_cells(stop, src)]
    head = f"{w('stop_no', number=stop.number)}, {stop.one.stop.name} ({w.days(*stop.one.days)}). "
    return [(Text(head + " ".join(stop_words(stop, src)), role="strong"), Text(" " + "; ".join(cells) + "."))]


def _contacts(src: PackSources) -> Section:
    w = src.words
    blocks: list[Block] = [Para(plain(w("contacts_lead")))]
    if src.plan.contacts.strip():
        blocks += [Para(line, "lead") for line in lines_of(src.plan.contacts)]
    else:
        blank = [[Cell(), Cell()] for _ in range(3)]
        blocks += [Para(strong(w("no_contacts"))), Table(w("contacts"), ["", ""], blank, [60, 40], tall=True)]
    return Section(w("contacts"), blocks, level=2)


def _carry(src: PackSources, copied: Collection[int]) -> Section:
    """Every paper that covers something or is linked, to tick off."""
    w = src.words
    lines: list[Line] = []
    for paper in src.carried:
        if lifetime(paper, src.check.today).standing in (Standing.APPLIED, Standing.REFUSED):
            note = w("carry_not_granted")
        elif not src.may_read(paper):
            note = w("carry_restricted", roles=src.roles(paper))
        else:
            note = w("carry_copy") if paper.pk in copied else w("carry_no_copy")
        lines.append((Text(paper.reference, role="strong"), Text(f", {w.of('kinds', paper.kind)}"),
                      Text(f" ({note})", role="note")))  # fmt: skip
    blocks: list[Block] = [Ticks(lines)] if lines else [Para(plain(w("carry_none")))]
    return Section(w("carry"), blocks, level=2)
