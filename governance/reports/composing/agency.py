"""The return to the authority of a permit: what was taken under it in a period, by taxon; or that nothing was.

What was released or salvaged is not in the register: people tell it. What nobody told is not known, never 0.

Source of what is asked: permit report form of the Australian Government under Part 8A of the EPBC Regulations, eight
items (a published copy was read, 2026-11-20), and annual returns of state agencies for numbers by taxon.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Final

from accessions.people.models import User
from governance.engine.tables import Layer
from governance.papers.lifetimes import Lifetime, lifetime
from governance.papers.models import Paper
from governance.reports.composing import benefits
from governance.reports.composing import material as reading
from governance.reports.composing import papers as papers_of
from governance.reports.composing import uses as uses_of
from governance.reports.composing import verdicts as verdicts_of
from governance.reports.composing import whereabouts as whereabouts_of
from governance.reports.composing.codes import IN, INDIVIDUALS, MAYBE, NOT_KNOWN, PERIOD, UNDATED, UNREGISTERED, YES
from governance.reports.composing.declared import NUMBERS_BY_TAXON, Numbers, numbers_by_taxon, taxon_key, unread_notes
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.framing import framed, paper_of
from governance.reports.composing.from_specimens import come_from_elsewhere, from_specimens, is_from_a_specimen
from governance.reports.composing.limits import Limit, Limits, limits_of
from governance.reports.composing.material import Material, Shown, Taken
from governance.reports.composing.scope import Period, Progress, Scope
from governance.reports.composing.unregistered import accessions_not_registered, came_before, taken_without_papers
from governance.reports.contents import (
    DISTINCT,
    SUM,
    ColumnType,
    Composed,
    Disclosure,
    Fact,
    Figure,
    Note,
    Proof,
    Row,
    TableData,
    Value,
    figure,
    measured,
    rows_behind,
)
from governance.reports.models import Report
from governance.reports.tables import table
from governance.usedesk.deeds import Deed
from governance.usedesk.models import DeskRules
from governance.verdicts.queries.pending import pending_touches

FINDINGS_WORDS: Final = 250
"""About how many words the findings have. Source: item 3 of the Australian form; other authorities may want others."""


@dataclass
class _OfTaxon:
    """What was taken of one taxon. written: keys of the names under which it stands."""

    shown: str
    individuals: int = 0
    days: list[str] = field(default_factory=list)
    sites: set[str] = field(default_factory=set)
    written: set[int] = field(default_factory=set)


@dataclass(frozen=True)
class _Return:
    """All that the return is composed from. whole: the specimens that were taken in the field; those without a sure day
    that were here before the period are left out."""

    scope: Scope
    paper: Paper
    life: Lifetime
    material: Material
    whole: Sequence[Taken]
    told: dict[str, Numbers]
    disclosing: Disclosing

    @property
    def is_told(self) -> bool:
        """Whether what stands in the permit may stand in the report."""
        return self.disclosing.goes_in(self.paper.pk)

    @cached_property
    def secret(self) -> frozenset[int]:
        """Specimens whose place stays out."""
        return papers_of.read(self.scope, self.material).secret()

    @cached_property
    def parts(self) -> list[Taken]:
        """What was taken from specimens and may be of the period: nothing that was taken in the field."""
        return from_specimens(self.material, (IN, MAYBE, NOT_KNOWN))

    @cached_property
    def judged(self) -> verdicts_of.Verdicts:
        return verdicts_of.read(self.scope)

    def in_period(self, *codes: str) -> list[Taken]:
        return [row for row in self.whole if self.material.places[row.event].in_period in codes]


def composed(report: Report, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """The return of the permit of a report."""
    scope = Scope.of(report, reader, today, progress)
    of = _read(scope)
    limits = limits_of(of.paper, scope.period) if of.is_told else Limits((), is_one_year=False)
    taken, samples = table("taken", _taken(of, limits)), table("material", _samples(of))
    unknown = table("unknown", _unknown(of))
    movements, uses, published = _done_with(of)
    exceptions = table("exceptions", _exceptions(of))
    own = {row.accession for row in of.whole}
    deposits = table("deposits", benefits.deposits(replace(scope, period=Period()), of.disclosing, own))
    if not of.is_told:
        of.disclosing.count("kept_papers")
    facts = [*_facts(of), Fact("nil_return", _nil(of, taken, unknown), ColumnType.WORD, "nil_answers")]
    notes = [
        *_notes(of, limits, deposits), *_on_exceptions(of, exceptions), *_declarations(movements, uses),
        *unread_notes("taken", of.told), *_doubts(of, taken, unknown),
    ]  # fmt: skip
    subject = of.disclosing.masked(of.paper.reference) or ""
    return framed(
        scope, subject, Disclosure("agency", "exact", kept_back=of.disclosing.notes()),
        [taken, exceptions, samples, published, deposits, movements, uses, unknown], facts=facts,
        figures=_figures(taken, samples, exceptions, published, deposits, movements, uses, unknown), notes=notes,
    )  # fmt: skip


def _read(scope: Scope) -> _Return:
    report = scope.report
    paper = paper_of(scope)
    material = reading.read(scope)
    told = {key: numbers_by_taxon(report.texts.get(key) or "") for key in NUMBERS_BY_TAXON}
    return _Return(
        scope, paper, lifetime(paper, scope.today), material,
        _taken_in_the_field(material, scope.period), told,
        Disclosing(scope, {paper.pk: paper}),
    )  # fmt: skip


def _taken_in_the_field(material: Material, period: Period) -> list[Taken]:
    before = came_before({row.accession for row in material.rows}, period)
    return [
        row for row in material.rows
        if not is_from_a_specimen(material, row)
        and (row.accession not in before or material.places[row.event].in_period not in (MAYBE, NOT_KNOWN))
    ]  # fmt: skip


def _taken(of: _Return, limits: Limits) -> list[Row]:
    """A row a taxon, by name. What is in the register was removed for good, wherever it is by now."""
    found: dict[str, _OfTaxon] = {}
    for row in of.in_period(IN):
        name, place = of.material.names[row.name], of.material.places[row.event]
        one = found.setdefault(taxon_key(name.shown), _OfTaxon(name.shown))
        one.individuals += row.low
        one.written.add(row.name)
        one.days += [place.first_on] if place.is_dated and place.first_on else []
        one.sites.add("" if row.pk in of.secret else of.disclosing.masked(place.site) or "")
    for told in of.told.values():
        for key, name_as_told in told.names.items():
            found.setdefault(key, _OfTaxon(name_as_told))
    ordered = sorted(found.items(), key=lambda item: (item[0] == "", item[0]))
    return [_of_taxon(of, one, key, limits.of(key, one.written)) for key, one in ordered]


def _of_taxon(of: _Return, one: _OfTaxon, key: str, limit: Limit) -> Row:
    return (
        one.shown or None, one.individuals, one.individuals, of.told["released"].of(key), of.told["salvaged"].of(key),
        limit.number, limit.of, min(one.days, default=None), max(one.days, default=None),
        "; ".join(sorted(one.sites - {""})),
    )  # fmt: skip


def _exceptions(of: _Return) -> list[Row]:
    """What stands against the permit: the findings of its layers that are not in order, of what was or may have been
    taken in the period. Nothing is judged here."""
    layers = {layer.code for layer in Layer if of.paper.layers >> layer & 1}
    rows = replace(of.material, rows=of.in_period(IN, MAYBE, NOT_KNOWN))
    before = of.disclosing.kept_back["kept_findings"]
    found = verdicts_of.rows_of(rows, of.judged, of.secret, of.disclosing)
    told = [row for row in found if row[2] in layers]
    of.disclosing.kept_back["kept_findings"] = before + sum(1 for row in told if row[4] is None)
    return told


def _samples(of: _Return) -> list[Row]:
    """Every specimen that was taken in the period, or may have been; without a verdict, which nobody asks for here."""
    rows = of.in_period(IN, MAYBE, NOT_KNOWN)
    shown = Shown({}, whereabouts_of.read(of.scope), of.secret)
    place = table("material", ()).place("verdict")
    material = replace(of.material, rows=rows)
    return [(*row[:place], None, *row[place + 1 :]) for row in reading.rows_of(material, shown, of.disclosing)]


def _unknown(of: _Return) -> list[Row]:
    """What may have been taken in the period, of how many nobody knows, and what was not registered yet."""

    def rows(question: str, specimens: Sequence[Taken]) -> Iterator[Row]:
        numbers, accessions = of.material.numbers, of.material.accessions
        return ((question, numbers[row.pk], accessions[row.accession], None) for row in specimens)

    uncounted = [row for row in of.in_period(IN) if row.assumed or row.low != row.high]
    unregistered = accessions_not_registered(of.paper, of.scope.period)
    return [
        *rows(UNDATED, of.in_period(NOT_KNOWN)), *rows(PERIOD, of.in_period(MAYBE)), *rows(INDIVIDUALS, uncounted),
        *((UNREGISTERED, None, number, None) for number in unregistered),
    ]  # fmt: skip


def _done_with(of: _Return) -> tuple[TableData, TableData, TableData]:
    """What went to third parties, what others did with it or anybody did commercially, and what was published.

    Whenever it was: neither declarations nor findings know a period."""
    scope = replace(of.scope, period=Period())
    uses = uses_of.read(scope, of.material, whereabouts_of.read(scope))
    moved = table("movements", uses_of.movements(uses, of.disclosing))
    done = table("uses", uses_of.uses_of(uses, of.disclosing))
    deed, commercial, recipient = moved.place("deed"), done.place("commercial"), done.place("recipient")
    return (
        table("movements", (row for row in moved.rows if row[deed] != Deed.RETURN)),
        table("uses", (row for row in done.rows if row[commercial] == YES or row[recipient])),
        table("publications", uses_of.publications(uses, of.disclosing.masked)),
    )


def _nil(of: _Return, taken: TableData, unknown: TableData) -> str:
    """Whether it is a nil return: only where nothing was taken, and nothing can have been that is not known here."""
    if _was_taken(taken):
        return "not-nil"
    is_unread = any(told.problems for told in of.told.values())
    is_open = is_unread or come_from_elsewhere(of.material, of.parts)
    return "cannot-tell" if unknown.rows or is_open or _unlinked(of) else "nil"


def _was_taken(taken: TableData) -> bool:
    """Whether something was taken, released or salvaged for certain; a 0 that people told is none."""
    columns = [taken.place(key) for key in ("taken", "released", "salvaged")]
    return any(row[place] for row in taken.rows for place in columns)


def _unlinked(of: _Return) -> int:
    """Specimens of the country that may have been taken in the period, and on which no paper bears at all."""
    return taken_without_papers(of.scope.country, of.scope.period)


def _doubts(of: _Return, taken: TableData, unknown: TableData) -> list[Note]:
    """Why a nil return cannot be told."""
    found = [
        Note(f"unknown_{question}", "unknown", {"n": number}, Proof("unknown", {"question": question}))
        for question in (UNDATED, PERIOD, INDIVIDUALS, UNREGISTERED)
        if (number := sum(1 for row in unknown.rows if row[0] == question))
    ]
    if not _was_taken(taken) and (number := _unlinked(of)):
        found.append(Note("unlinked_material", "unknown", {"n": number}))
    if of.parts:
        found.append(Note("from_specimens", "taken", {"n": len(of.parts)}))
    return found


def _facts(of: _Return) -> list[Fact]:
    """Item 1: the permit; and for item 8 who signs for whom."""
    paper, house = of.paper, DeskRules.objects.first()
    first, last = (day.isoformat() if day else None for day in (of.life.first, of.life.last))
    face = [
        Fact("second_number", of.disclosing.masked(paper.second_number) or None),
        Fact("holder", of.disclosing.masked(paper.holder) or None),
        Fact("issuer", of.disclosing.issuer(paper) or None),
        Fact("issued_on", paper.issued_on.isoformat() if paper.issued_on else None, ColumnType.DAY),
    ]
    return [
        Fact("paper_kind", paper.kind, ColumnType.WORD, "paper_kinds"),
        Fact("paper_number", of.disclosing.masked(paper.reference)),
        *(face if of.is_told else ()),
        Fact("valid_from", first, ColumnType.DAY),
        Fact("valid_to", last, ColumnType.DAY),
        Fact("institution", (house and house.institution) or None),
        Fact("address", (house and house.address) or None),
    ]


def _figures(taken: TableData, samples: TableData, *more: TableData) -> list[Figure]:
    """Numbers that nobody told have no figure: their sum would read as 0."""
    exceptions, published, deposits, movements, uses, unknown = more
    told = [key for key in NUMBERS_BY_TAXON if any(row[taken.place(key)] is not None for row in taken.rows)]
    return [
        figure("taken", taken, measure=SUM + "taken"),
        figure("removed", taken, measure=SUM + "removed"),
        *(figure(key, taken, measure=SUM + key) for key in told),
        figure("taxa", taken),
        figure("samples", samples, where={"in_period": IN}),
        figure("samples_maybe", samples, where={"in_period": MAYBE}),
        figure("samples_undated", samples, where={"in_period": NOT_KNOWN}),
        figure("exception_specimens", exceptions, measure=DISTINCT + "specimen"),
        figure("publications", published),
        figure("deposits", deposits),
        figure("transfers", movements),
        figure("commercial_uses", uses, where={"commercial": YES}),
        figure("not_known", unknown),
    ]


def _on_exceptions(of: _Return, exceptions: TableData) -> Iterator[Note]:
    """How many specimens have findings, or that none has; and of how many nothing stands yet."""
    proof = Proof("exceptions", {}, DISTINCT + "specimen")
    number = int(measured(proof, exceptions))
    standing = of.judged.standing
    unjudged = sum(1 for row in of.in_period(IN, MAYBE, NOT_KNOWN) if row.pk not in standing)
    if number:
        yield Note("exceptions_exist", "exceptions", {"n": number}, proof)
    if waiting := pending_touches():
        yield Note("verdicts_waiting", "exceptions", {"n": waiting})
    elif not number and not unjudged:
        yield Note("exceptions_none", "exceptions", {}, Proof("exceptions"))
    if unjudged:
        yield Note("not_judged", "exceptions", {"n": unjudged})


def _notes(of: _Return, limits: Limits, deposits: TableData) -> list[Note]:
    """What is missing of what the form asks, and what limits the permit has."""
    texts = of.scope.report.texts
    words = len(str(texts.get("findings") or "").split())
    notes = [
        Note("findings_words", "findings", {"n": words, "most": FINDINGS_WORDS}) if words else
        Note("findings_missing", "findings"),
        _on_duplicate(of, deposits),
        Note("sign_here", "signature"),
        *limits.notes("taken"),
    ]  # fmt: skip
    if vague := sum(1 for row in of.in_period(IN) if not of.material.places[row.event].is_dated):
        notes.append(Note("days_not_exact", "taken", {"n": vague}))
    if words > FINDINGS_WORDS:
        notes.append(Note("findings_long", "findings", {"n": words, "most": FINDINGS_WORDS}))
    notes += [
        Note(f"{key}_not_told", "taken") for key, told in of.told.items() if not told.numbers and not told.problems
    ]
    return notes


def _on_duplicate(of: _Return, deposits: TableData) -> Note:
    """What people told, else the deposits on file; that neither is there is said."""
    if str(of.scope.report.texts.get("duplicate") or "").strip():
        return Note("duplicate_told", "duplicate")
    if not deposits.rows:
        return Note("duplicate_missing", "duplicate")
    receipts = sum(1 for row in deposits.rows if row[deposits.place("receipt")])
    return Note("duplicate_on_file", "duplicate", {"n": len(deposits.rows), "receipts": receipts}, Proof("deposits"))


def _declarations(movements: TableData, uses: TableData) -> list[Note]:
    """Items 5 to 7: what the signatory declares, each beside what the register holds of it."""
    return [
        Note("declare_correct", "declarations"),
        Note("declare_no_commercial_use", "declarations"),
        _recorded("commercial_uses", uses, {"commercial": YES}),
        Note("declare_no_transfer", "declarations"),
        *_passed_on(movements, uses),
    ]


def _passed_on(movements: TableData, uses: TableData) -> Iterator[Note]:
    """Transfers on file; and uses by others, who had the material or data of it though no transfer may be on file."""
    by_others = sum(1 for row in uses.rows if row[uses.place("recipient")])
    if movements.rows or not by_others:
        yield _recorded("transfers", movements)
    if by_others:
        yield Note("uses_by_others", "declarations", {"n": by_others})


def _recorded(key: str, of: TableData, where: Mapping[str, Value] | None = None) -> Note:
    proof = Proof(of.key, where or {})
    number = len(rows_behind(proof, of))
    if not number:
        return Note(f"{key}_none", "declarations")
    return Note(f"{key}_recorded", "declarations", {"n": number}, proof)
