"""The due-diligence sheet: the fields that a user seeks, keeps and passes on, filled from the register and by people.

What is not known stays not known, whatever would be likely. The sheet gives what is on file; whether due diligence was
exercised is the user's to declare, and is nowhere said here.

Source: ``jurisdictions/data/diligence_fields.yaml``: Regulation (EU) 511/2014, Art. 4(3), and Implementing Regulation
(EU) 2015/1866, Annexes II and III; each field says whether its source was read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Final

from django.db.models import Q

from accessions.material.models import Accession, SamplingEvent, Specimen
from accessions.people.models import User
from governance.engine.tables import Layer
from governance.engine.uses import RecipientKind, Said
from governance.jurisdictions import diligence_fields
from governance.papers.lifetimes import Standing, in_order, lifetime
from governance.papers.models import Paper, PaperKind, UseTerm
from governance.reports.composing import material as reading
from governance.reports.composing.agreements import Agreements, Told, agreements
from governance.reports.composing.certificate import has_identifier_form
from governance.reports.composing.codes import NO_MATERIAL, UNDATED, UNPLACED
from governance.reports.composing.framing import framed, kept_back, source_of
from governance.reports.composing.material import Material
from governance.reports.composing.own_scope import OwnScope
from governance.reports.composing.owners import PrivateOwners
from governance.reports.composing.scope import Progress, Scope
from governance.reports.contents import (
    ColumnType,
    Composed,
    Disclosure,
    Fact,
    Figure,
    Note,
    Proof,
    Row,
    TableData,
    figure,
)
from governance.reports.models import Report
from governance.reports.tables import table
from governance.usedesk.deeds import FOR_GOOD, LOANS, Deed
from governance.usedesk.models import DeskRules, MadeUse
from governance.usedesk.queries.material import among

_NOT_KNOWN: Final = Told(None, "not-known")
_MOST: Final = 20
"""Values of one field that are listed; how many more there are is said by "+ n"."""

_CONSENT, _TERMS = PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.MUTUALLY_AGREED_TERMS
_CERTIFICATE: Final = PaperKind.CERTIFICATE_OF_COMPLIANCE
_NO_PERMITS: Final = frozenset({_CONSENT, _TERMS, _CERTIFICATE})


@dataclass(frozen=True)
class _Sheet:
    """What the fields are filled from. withheld: how many of each kind of thing stayed out."""

    scope: Scope
    around: Agreements
    owners: PrivateOwners
    withheld: Counter[str] = field(default_factory=Counter)

    @cached_property
    def material(self) -> Material:
        return reading.read(self.scope)

    @cached_property
    def whole(self) -> list[reading.Taken]:
        return [row for row in self.material.rows if not self.material.is_derived(row)]

    @cached_property
    def regions(self) -> Mapping[int, str]:
        """By event its country and region; "" where no country is known. Nothing nearer is told."""
        rows = SamplingEvent.objects.filter(among("pk", {row.event for row in self.whole})).order_by()
        return {
            pk: f"{country}: {region}" if country and region else country
            for pk, country, region in rows.values_list("pk", "country", "state_province")
        }

    @cached_property
    def terms(self) -> list[UseTerm]:
        """What the told agreements say of uses, in the versions that stand today; a silent term says nothing."""
        versions = []
        for one in self.around.on_file:
            if one.is_told and (one.paper.kind == _TERMS or _is_permit(one.paper) or one.paper.kind == _CONSENT):
                last = in_order(one.paper.versions.all())[-1:]
                standing = lifetime(one.paper, self.scope.today).version
                versions += [standing] if standing else last
        rows = UseTerm.objects.filter(version__in=[version.pk for version in versions]).exclude(said=int(Said.SILENT))
        return list(rows.select_related("version__paper").order_by("version__paper", "use"))

    def text(self, *keys: str) -> Told:
        """What people told."""
        told = [text for key in keys if (text := str(self.scope.report.texts.get(key) or "").strip())]
        return Told("; ".join(told), "told") if told else _NOT_KNOWN

    def of_papers(
        self, serves: Callable[[Paper], bool], value: Callable[[Paper], str], stated: str = "on-file"
    ) -> Told:
        return self.around.where(serves).answer(value, self.owners, stated, "not-known")

    def listed(self, values: Iterable[str]) -> Told:
        """Values of the material: in part where some of it has none."""
        found = list(values)
        named = sorted({self.owners.masked(value) for value in found if value})
        if not named:
            return _NOT_KNOWN
        return Told(_some(named), "on-file" if all(found) else "in-part")


def _some(values: list[str]) -> str:
    more = [f"+ {len(values) - _MOST}"] if len(values) > _MOST else []
    return "; ".join([*values[:_MOST], *more])


def _is_permit(paper: Paper) -> bool:
    """An access permit, or its equivalent: another paper that answers the layer of access."""
    return paper.kind == PaperKind.ACCESS_PERMIT or (
        bool(paper.layers >> Layer.ACCESS & 1) and paper.kind not in _NO_PERMITS
    )


def _gives_access(paper: Paper) -> bool:
    """Whether it is a consent or terms that answer the layer of access."""
    return paper.kind in (_CONSENT, _TERMS) and bool(paper.layers >> Layer.ACCESS & 1)


def _reference(paper: Paper) -> str:
    return paper.reference


def _days(sheet: _Sheet) -> Told:
    """The first and the last day of taking that are known to the day, as ISO 8601 writes an interval."""
    places = [sheet.material.places[row.event] for row in sheet.whole]
    days = sorted({place.first_on for place in places if place.is_dated and place.first_on})
    if not days:
        return _NOT_KNOWN
    span = days[0] if days[0] == days[-1] else f"{days[0]}/{days[-1]}"
    return Told(span, "on-file" if all(place.is_dated for place in places) else "in-part")


def _source(sheet: _Sheet) -> Told:
    """From whom the accessions came; a private owner is not named."""
    sources = Accession.objects.filter(among("pk", {row.accession for row in sheet.material.rows})).order_by("number")
    rows = list(sources.values_list("source", "source__name"))
    named = [name for agent, name in rows if agent is not None and agent not in sheet.owners.keys]
    hidden = sum(1 for agent, _name in rows if agent in sheet.owners.keys)
    sheet.withheld["owners"] += hidden
    if not named:
        return Told(None, "kept-back") if hidden else _NOT_KNOWN
    return Told(_some(sorted(set(named))), "on-file" if len(named) == len(rows) else "in-part")


def _user(_sheet: _Sheet) -> Told:
    house = DeskRules.objects.first()
    told = [text for text in (house.institution, house.address) if text] if house else []
    return Told(", ".join(told), "on-file") if told else _NOT_KNOWN


def _later_users(sheet: _Sheet) -> Told:
    """Institutions that received some of it; people, and those of whom nobody knows what they are, are not named."""
    deeds = (LOANS | FOR_GOOD) - {Deed.DISPOSAL}
    uses = sheet.scope.items().filter(use__voided_at__isnull=True, use__deed__in=deeds).values("use")
    rows = MadeUse.objects.filter(pk__in=uses, recipient__isnull=False).order_by()
    people = Q(recipient__kind__isnull=True) | Q(recipient__kind=int(RecipientKind.INDIVIDUAL))
    named = sorted(set(rows.exclude(people).values_list("recipient__name", flat=True)))
    hidden = rows.filter(people).values("recipient").distinct().count()
    sheet.withheld["recipients"] += hidden
    if not named:
        return Told(None, "kept-back" if hidden else "not-found")
    return Told(_some([sheet.owners.masked(name) for name in named]), "in-part" if hidden else "on-file")


def _rights(sheet: _Sheet) -> Told:
    """Which agreements were read to say something of uses; that none was is not that there are no obligations."""
    papers = {term.version.paper_id for term in sheet.terms}
    return sheet.of_papers(lambda paper: paper.pk in papers, _reference, "in-terms")


def _content(sheet: _Sheet) -> Told:
    """The clauses of the agreed terms, in their words."""
    clauses = [
        f"{term.version.paper.reference} {term.clause_number}".strip() + f": {term.clause}"
        for term in sheet.terms if term.version.paper.kind == _TERMS and term.clause
    ]  # fmt: skip
    covering = sheet.of_papers(lambda paper: paper.kind == _TERMS, _reference, "in-terms")
    if not clauses or covering.value is None:
        return Told(None, covering.state if covering.state == "kept-back" else "not-known")
    return Told(sheet.owners.masked(" | ".join(dict.fromkeys(clauses))), covering.state)


def _access_permit(sheet: _Sheet) -> Told:
    """The permit; where none is on file, the agreement under which access was given, told as one."""
    permit = sheet.of_papers(_is_permit, _reference)
    return permit if permit.state != "not-known" else sheet.of_papers(_gives_access, _reference, "linked")


_Filling = Callable[[_Sheet], Told]

_FILLINGS: Final[Mapping[str, _Filling]] = {
    "research_subject": lambda sheet: sheet.text("research", "grant"),
    "funding_recipient": lambda sheet: sheet.text("recipient"),
    "certificate_identifier": lambda sheet: sheet.of_papers(lambda paper: paper.kind == _CERTIFICATE, _reference),
    "place_of_access": lambda sheet: sheet.listed(sheet.regions.values()),
    "description": lambda sheet: sheet.listed({sheet.material.names[row.name].shown for row in sheet.whole}),
    "date_of_access": _days,
    "access_permit": _access_permit,
    "pic_granted_by": lambda sheet: sheet.of_papers(lambda paper: paper.kind == _CONSENT, lambda paper: paper.issuer),
    "pic_granted_to": lambda sheet: sheet.of_papers(lambda paper: paper.kind == _CONSENT, lambda paper: paper.holder),
    "mat": lambda sheet: sheet.of_papers(lambda paper: paper.kind == _TERMS, _reference, "yes"),
    "source": _source,
    "funding_source": lambda sheet: sheet.text("funding"),
    "confidential": lambda sheet: sheet.text("confidential"),
    "product": lambda sheet: sheet.text("product"),
    "user": _user,
    "event": lambda sheet: sheet.text("event"),
    "rights_and_obligations": _rights,
    "subsequent_users": _later_users,
    "mat_content": _content,
}
"""How each field is filled; one without a filling is known neither to the register nor to anybody who told it."""


def composed(report: Report, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """The sheet of the accession or the paper of a report."""
    scope = _scope(Scope.of(report, reader, today, progress))
    sheet = _Sheet(scope, agreements(scope), PrivateOwners())
    answers = {key: _FILLINGS[key](sheet) if key in _FILLINGS else _NOT_KNOWN for key in diligence_fields()}
    fields = table("fields", _rows(answers, is_certified=_is_certified(sheet)))
    unknown = table("unknown", _unknown(sheet))
    sheet.withheld["owners"] += sum(told.withheld for told in answers.values())
    closed = [one.paper.pk for one in sheet.around.on_file if not one.is_told]
    sheet.withheld["papers"] += closed.count(report.paper_id or 0)
    sheet.withheld["whole_papers"] += len(closed) - closed.count(report.paper_id or 0)
    sheet.withheld["localities"] += sum(
        1 for row in sheet.whole
        if sheet.material.places[row.event].latitude or sheet.material.places[row.event].locality
    )  # fmt: skip
    disclosure = Disclosure("diligence", "region", kept_back=kept_back(**sheet.withheld))
    return framed(
        scope, _subject(sheet), disclosure, [fields, unknown], facts=_facts(sheet),
        figures=_figures(fields, unknown), notes=_notes(sheet, fields, unknown),
    )  # fmt: skip


def _scope(scope: Scope) -> Scope:
    """Of an accession its specimens; of a paper what it bears on."""
    accession = scope.report.accession_id
    if accession is None:
        return scope
    own = Specimen.objects.filter(accession=accession).order_by().values_list("pk", flat=True)
    return OwnScope(scope.report, scope.reader, scope.today, scope.progress, scope.period, frozenset(own))


def _subject(sheet: _Sheet) -> str:
    report = sheet.scope.report
    return report.accession.number if report.accession else sheet.owners.masked(str(report.paper))


def _is_certified(sheet: _Sheet) -> bool:
    """Whether certificates of the Clearing-House that were in force when it was taken cover all of the material. Of a
    day that nobody knows this is not known."""
    days = [day for row in sheet.whole for day in _span(sheet.material.places[row.event])]
    known = [day for day in days if day is not None]
    if not known or len(known) < len(days):
        return False
    span = {min(known), max(known)}

    def stands(paper: Paper) -> bool:
        is_one = paper.kind == _CERTIFICATE and has_identifier_form(paper.reference)
        is_suspended = is_one and lifetime(paper, sheet.scope.today).standing == Standing.SUSPENDED
        return is_one and not is_suspended and all(_was_in_force(paper, day) for day in span)

    return sheet.of_papers(stands, _reference).state == "on-file"


def _span(place: reading.Place) -> tuple[date | None, date | None]:
    first, last = place.first_on, place.last_on
    return date.fromisoformat(first) if first else None, date.fromisoformat(last) if last else None


def _was_in_force(paper: Paper, on: date) -> bool:
    """Whether a version whose first day is known was in force on a day."""
    life = lifetime(paper, on)
    return life.standing == Standing.IN_FORCE and life.version is not None and life.version.in_force_from is not None


def _rows(answers: Mapping[str, Told], *, is_certified: bool) -> list[Row]:
    """The fields in order. Where certificates stand in for all of the material, fields that say so are not needed."""
    rows: list[Row] = []
    for one in diligence_fields().values():
        told = Told(None, "not-needed") if is_certified and one.without_certificate else answers[one.code]
        rows.append((one.number, one.code, told.value, told.state, source_of(one.source), one.basis))
    return rows


def _unknown(sheet: _Sheet) -> list[Row]:
    """Specimens without one day, or without a country, of taking; that there is no material at all."""
    if not sheet.whole:
        return [(NO_MATERIAL, None, None, _subject(sheet))]
    rows: list[Row] = []
    for row in sheet.whole:
        number, accession = sheet.material.numbers[row.pk], sheet.material.accessions[row.accession]
        if not sheet.material.places[row.event].is_dated:
            rows.append((UNDATED, number, accession, None))
        if not sheet.regions[row.event]:
            rows.append((UNPLACED, number, accession, None))
    return sorted(rows, key=lambda row: str(row[0]))


def _facts(sheet: _Sheet) -> list[Fact]:
    accession, paper = sheet.scope.report.accession, sheet.scope.report.paper
    return [
        *([Fact("accession", accession.number)] if accession else []),
        *([Fact("paper_number", sheet.owners.masked(paper.reference))] if paper and not accession else []),
        Fact("made_on", sheet.scope.today.isoformat(), ColumnType.DAY),
    ]


def _figures(fields: TableData, unknown: TableData) -> list[Figure]:
    return [
        figure("fields", fields),
        *(figure(f"fields_{state.replace('-', '_')}", fields, where={"state": state})
          for state in ("not-known", "in-part", "kept-back", "not-needed")),
        figure("fields_from_memory", fields, where={"basis": "memory"}),
        figure("not_known", unknown),
    ]  # fmt: skip


def _notes(sheet: _Sheet, fields: TableData, unknown: TableData) -> list[Note]:
    notes = [
        Note("to_be_confirmed", "fields", {"n": sum(1 for row in fields.rows if row[-1] == "memory")},
             Proof("fields", {"basis": "memory"})),
        Note("not_a_declaration", "declaration"),
        Note("sign_here", "declaration"),
    ]  # fmt: skip
    if any(row[1] == "certificate_identifier" and row[2] for row in fields.rows):
        notes.append(Note("certificate_of_its_user", "fields"))
    if sheet.around.ended:
        notes.append(Note("agreements_ended", "fields", {"n": sheet.around.ended}))
    for question in (NO_MATERIAL, UNDATED, UNPLACED):
        if number := sum(1 for row in unknown.rows if row[0] == question):
            key = "days_not_exact" if question == UNDATED else f"unknown_{question}"
            notes.append(Note(key, "unknown", {"n": number}, Proof("unknown", {"question": question})))
    return notes
