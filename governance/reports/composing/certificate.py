"""The check of a certificate of compliance: the nine items of Art. 17(4) of the Nagoya Protocol, each found or not.

Then the other common fields, marked as not among the nine: that one of them is absent is no defect. That terms were
agreed and consent was given is told by papers on file alone. What is found is told; whether it is true is not judged.

Source: Nagoya Protocol, Art. 17(2) to (4). Checked 2026-11-20.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final

from accessions.people.models import User
from governance.engine.uses import Said, Use
from governance.jurisdictions import CertificateField, certificate_fields, is_country
from governance.papers.lifetimes import Lifetime, in_order, lifetime
from governance.papers.models import Paper, PaperKind, PaperVersion, UseTerm
from governance.reports.composing.agreements import NOT_STANDING, Agreements, Told, agreements
from governance.reports.composing.codes import NO_MATERIAL
from governance.reports.composing.declared import Confidential, confidential_items
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.framing import framed, kept_back, paper_of, source_of
from governance.reports.composing.owners import PrivateOwners
from governance.reports.composing.scope import Progress, Scope
from governance.reports.contents import ColumnType, Composed, Disclosure, Fact, Figure, Note, Row, TableData, figure
from governance.reports.models import Report
from governance.reports.tables import table

_IDENTIFIER: Final = re.compile(r"ABSCH-IRCC-([A-Z]{2})-[0-9]+-[0-9]+", re.ASCII)
"""Identifier of the Clearing-House: country, number, revision. From memory (``certificate_fields.yaml``)."""

_NOT_FOUND: Final = Told(None, "not-found")
_NOT_STATED: Final = Told(None, "not-stated")
_KEPT_BACK: Final = Told(None, "kept-back")


def has_identifier_form(text: str) -> bool:
    """Whether a text looks like an identifier of the Clearing-House; it is not looked up. From memory.

    >>> has_identifier_form("ABSCH-IRCC-GE-123456-1"), has_identifier_form("GE-123456")
    (True, False)
    """
    found = _IDENTIFIER.fullmatch(text.strip())
    return found is not None and is_country(found[1])


@dataclass(frozen=True)
class _Certificate:
    """The paper with what was read of it. is_told: whether the reader may read it."""

    paper: Paper
    life: Lifetime
    is_told: bool
    around: Agreements
    owners: PrivateOwners

    @cached_property
    def version(self) -> PaperVersion | None:
        """The version in force on the day, else the newest."""
        versions = in_order(self.paper.versions.all())
        return self.life.version or (versions[-1] if versions else None)

    @cached_property
    def terms(self) -> dict[int, UseTerm]:
        """What the version says of uses, by use."""
        return {term.use: term for term in self.version.use_terms.all()} if self.version else {}

    @property
    def is_certificate(self) -> bool:
        return self.paper.kind == PaperKind.CERTIFICATE_OF_COMPLIANCE

    @property
    def number(self) -> str:
        """The number by which it is known, without names of owners."""
        return self.owners.masked(self.paper.reference)

    @property
    def identifiers(self) -> list[str]:
        """Its numbers that have the form of the Clearing-House; of a closed paper everybody knows the first alone."""
        numbers = (self.paper.reference, self.paper.second_number if self.is_told else "")
        return [text for text in numbers if has_identifier_form(text)]

    def on_face(self, text: str | date | None) -> Told:
        """What stands on the paper itself."""
        if not text:
            return _NOT_FOUND
        return Told(None, "kept-back", 1) if self.owners.are_named_in(str(text)) else Told(str(text), "on-face")

    def linked(self, *kinds: str, value: Callable[[Paper], str] = lambda paper: paper.reference) -> Told:
        """What other papers of a kind, on file for the same material, say."""
        others = self.around.where(lambda paper: paper.kind in kinds and paper.pk != self.paper.pk)
        return others.answer(value, self.owners, "linked", "not-found")


_Reading = Callable[[_Certificate], Told]


def _provider(of: _Certificate) -> Told:
    """Who provides the resource: whoever gave the consent."""
    if of.paper.kind in (PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.COMMUNITY_CONSENT) and of.is_told:
        return of.on_face(of.paper.issuer)
    return of.linked(PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.COMMUNITY_CONSENT, value=lambda paper: paper.issuer)


def _identifier(of: _Certificate) -> Told:
    """A permit that was not made available to the Clearing-House is no certificate (Art. 17(2)): its own number is
    none, unless it has the form of one."""
    if of.identifiers:
        return Told(of.identifiers[0], "on-face")
    return Told(of.number, "on-face") if of.is_certificate else _NOT_FOUND


def _granted_to(of: _Certificate) -> Told:
    found = of.linked(PaperKind.PRIOR_INFORMED_CONSENT, value=lambda paper: paper.holder)
    is_consent = of.is_certificate or of.paper.kind == PaperKind.PRIOR_INFORMED_CONSENT
    return of.on_face(of.paper.holder) if is_consent and of.paper.holder else found


def _subject_matter(of: _Certificate) -> Told:
    if of.version is None:
        return _NOT_FOUND
    names = [taxon.name for taxon in of.version.versiontaxons.all() if not taxon.excluded]
    return Told("; ".join(names), "in-terms") if names else _NOT_FOUND


def _confirmed(kind: str) -> _Reading:
    """That something was agreed: by a paper of that kind on file, for all of the material or for some of it."""

    def reading(of: _Certificate) -> Told:
        if of.paper.kind == kind and of.life.standing not in NOT_STANDING:
            return Told(of.number, "yes")
        return of.around.of_kinds(kind).answer(lambda paper: paper.reference, of.owners, "yes", "not-stated")

    return reading


def _use_type(of: _Certificate) -> Told:
    """Commercial use, by the term on it as it was read."""
    term = of.terms.get(int(Use.COMMERCIAL_USE))
    if term is None or term.said == Said.SILENT:
        return _NOT_STATED
    state = {Said.NOT_ALLOWED: "non-commercial", Said.ASK_FIRST: "ask-first"}.get(Said(term.said), "commercial")
    return Told(_clause(term), state)


def _clause(term: UseTerm) -> str | None:
    return " ".join(part for part in (term.clause_number, term.clause) if part) or None


def _term_on(use: Use) -> _Reading:
    def reading(of: _Certificate) -> Told:
        term = of.terms.get(int(use))
        return _NOT_FOUND if term is None or term.said == Said.SILENT else Told(_clause(term), "in-terms")

    return reading


def _national_number(of: _Certificate) -> Told:
    numbers = (of.paper.second_number,) if of.is_certificate else (of.paper.reference, of.paper.second_number)
    return of.on_face("; ".join(text for text in numbers if text and not has_identifier_form(text)))


def _place(of: _Certificate) -> Told:
    """Places are not told here, only whether the paper names any."""
    has_places = of.version is not None and of.version.versionplaces.exists()
    return _KEPT_BACK if has_places else _NOT_FOUND


def _amended(of: _Certificate) -> Told:
    earlier = [one.earlier.reference for one in of.paper.continues.select_related("earlier")]
    return Told("; ".join(earlier), "on-file") if earlier else _NOT_FOUND


def _revoked(of: _Certificate) -> Told:
    days = [turn.from_on.isoformat() for turn in of.paper.statuses.all() if turn.state == "revoked"]
    return Told(days[0], "on-file") if days else _NOT_FOUND


_READINGS: Final[Mapping[str, _Reading]] = {
    "issuing_authority": lambda of: of.on_face(of.paper.issuer),
    "date_of_issuance": lambda of: of.on_face(of.paper.issued_on),
    "provider": _provider,
    "unique_identifier": _identifier,
    "pic_granted_to": _granted_to,
    "subject_matter": _subject_matter,
    "mat_established": _confirmed(PaperKind.MUTUALLY_AGREED_TERMS),
    "pic_obtained": _confirmed(PaperKind.PRIOR_INFORMED_CONSENT),
    "use_type": _use_type,
    "absch_record_uid": lambda of: Told(of.identifiers[0], "on-face") if of.identifiers else _NOT_FOUND,
    "national_permit_reference": _national_number,
    "date_of_expiry": lambda of: of.on_face(of.life.last),
    "provider_entitled": lambda of: of.linked(PaperKind.COMMUNITY_CONSENT),
    "pic_consent_information": lambda of: of.linked(PaperKind.PRIOR_INFORMED_CONSENT),
    "mat_information": lambda of: of.linked(PaperKind.MUTUALLY_AGREED_TERMS),
    "taxonomy": _subject_matter,
    "collection_location": _place,
    "third_party_transfer": _term_on(Use.GIFT_OR_EXCHANGE),
    "amendment_of": _amended,
    "revocation": _revoked,
}
"""How each field is found. A field without a reading is nowhere in the register, so it is not found."""

_OPEN_TO_ALL: Final = frozenset({"unique_identifier", "absch_record_uid", "date_of_expiry", "revocation"})
"""What everybody may know of a paper that is open to some roles only: its number, and when it is in force."""

_CONFIRMED_BY_OTHERS: Final = frozenset(
    {"provider", "mat_established", "pic_obtained", "provider_entitled", "pic_consent_information", "mat_information"}
)
"""What other papers say, each of which is open or not by itself."""


def composed(report: Report, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """The check of the paper of a report."""
    scope = Scope.of(report, reader, today, progress)
    paper = paper_of(scope)
    owners = PrivateOwners()
    of = _Certificate(
        paper, lifetime(paper, today), Disclosing(scope, {paper.pk: paper}).goes_in(paper.pk), agreements(scope), owners
    )
    confidential = confidential_items(report.texts.get("confidential") or "")
    answers = {key: _answer(of, key) for key in certificate_fields()}
    rows = [
        _row(number, field, answers[field.code], confidential)
        for number, field in enumerate(certificate_fields().values(), 1)
    ]
    items, unknown = table("items", rows), table("unknown", _unknown(of))
    withheld = {
        "papers": 0 if of.is_told else 1,
        "whole_papers": sum(1 for one in of.around.on_file if not one.is_told and one.paper.pk != paper.pk),
        "owners": sum(told.withheld for told in answers.values()),
        "places": 1 if answers["collection_location"].state == "kept-back" else 0,
        "confidential": len(confidential.reasons),
    }
    return framed(
        scope, of.number, Disclosure("certificate", "none", kept_back=kept_back(**withheld)), [items, unknown],
        facts=_facts(of), figures=_figures(items), notes=_notes(of, confidential, unknown),
    )  # fmt: skip


def _answer(of: _Certificate, key: str) -> Told:
    reading = _READINGS.get(key)
    if reading is None:
        return _NOT_FOUND
    if not of.is_told and key not in _OPEN_TO_ALL | _CONFIRMED_BY_OTHERS:
        return _KEPT_BACK
    return reading(of)


def _row(number: int, field: CertificateField, told: Told, confidential: Confidential) -> Row:
    minimum = "yes" if field.minimum else "no"
    source = source_of(field.source, instead="; to be confirmed at its text")
    if number in confidential.reasons:
        return (number, field.code, confidential.reasons[number], "confidential", source, minimum)
    if field.code == "confidential_fields" and confidential.reasons:
        told = Told(", ".join(map(str, sorted(confidential.reasons))), "told")
    return (number, field.code, told.value, told.state, source, minimum)


def _unknown(of: _Certificate) -> list[Row]:
    """That nothing on file is linked to it, so that no agreement can be found by the material."""
    return [] if of.around.total else [(NO_MATERIAL, None, None, of.number)]


def _facts(of: _Certificate) -> list[Fact]:
    first, last = (day.isoformat() if day else None for day in (of.life.first, of.life.last))
    return [
        Fact("paper_kind", of.paper.kind, ColumnType.WORD, "paper_kinds"),
        Fact("paper_number", of.number),
        Fact("valid_from", first, ColumnType.DAY),
        Fact("valid_to", last, ColumnType.DAY),
        Fact("paper_state", of.life.standing.value, ColumnType.WORD, "paper_states"),
    ]


def _figures(items: TableData) -> list[Figure]:
    asked = [("minimum_items", {}), *((f"minimum_{state.replace('-', '_')}", {"state": state}) for state in (
        "not-found", "not-stated", "in-part", "confidential", "kept-back"
    ))]  # fmt: skip
    return [figure(key, items, where={"minimum": "yes", **where}) for key, where in asked]


def _notes(of: _Certificate, confidential: Confidential, unknown: TableData) -> list[Note]:
    notes = [Note("nine_items", "items"), Note("other_fields", "items"), Note("not_judged_here", "items")]
    if not of.is_certificate:
        notes.append(Note("not_a_certificate", "items", {"paper": of.number}))
    elif not of.identifiers:
        notes.append(Note("identifier_form", "items", {"paper": of.number}))
    if confidential.problems:
        notes.append(Note("text_unread", "items", {"text": "confidential", "lines": len(confidential.problems)}))
    if of.around.ended:
        notes.append(Note("agreements_ended", "items", {"n": of.around.ended}))
    if unknown.rows:
        notes.append(Note("no_material", "unknown", {"paper": of.number}))
    return notes
