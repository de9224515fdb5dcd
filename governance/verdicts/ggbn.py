"""What is said to the outside of the permits of a specimen, in the terms of the GGBN Data Standard, permit vocabulary.

Pure: verdicts, papers, searches and decisions in, terms out; one set of terms a permit. Said is only what is known:

- *Permit available* is a permit that covers a layer. One that is on file and does not cover it is none of these terms.
- *Permit not required* is a layer that is not required, with the rule or the decision as its reason.
- *Permit not available* is a layer without a covering permit of which that is known: by a search, or by a permit on
  file whose terms it is outside of.
- *Unknown* is the rest. By the standard, "material collected after 2014-10-12 cannot be in 'Unknown' permit status";
  there the status stays blank and the qualifier says what would settle it. A collecting date that lies on both sides of
  that day leaves the rule undetermined, and the qualifier says so.

Source: TDWG Terms Wiki, GGBN Permit Vocabulary: permitType, permitStatus, permitStatusQualifier, permitText, permitURI.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from governance.engine.tables import Layer, SearchState, Verdict

HEADER: Final = ("catalogNumber", "permitType", "permitStatus", "permitStatusQualifier", "permitText", "permitURI")
"""Columns of the file: the number that says of which specimen a row is, and the terms of the standard."""

LAST_DAY_OF_UNKNOWN: Final = date(2014, 10, 12)
"""The day on which the Nagoya Protocol came into force; what was collected after it cannot be Unknown."""


class PermitType(StrEnum):
    """The values of permitType."""

    COLLECTING = "Collecting Permit"
    IMPORT = "Import Permit"
    EXPORT = "Export Permit"
    IRCC = "Internationally Recognized Certificate of Compliance (IRCC)"
    MTA = "Material Transfer Agreement (MTA)"
    MOU = "Memorandum of Understanding (MoU)"
    MOC = "Memorandum of Cooperation (MoC)"
    CONTRACT = "Contract"
    IPR = "Intellectual Property Rights (IPR)"
    COPYRIGHT = "Copyright"
    PATENT = "Patent"
    DATA_USE = "Data use"
    PHYTOSANITARY = "Phytosanitary"
    VETERINARY = "Veterinary Certificate"
    SALVAGE = "Salvage"
    EXEMPTION = "Exemption Permit"
    GMO = "Genetically Modified Organism"
    PATHOGENS = "Human Pathogens"
    OTHER = "Other"


class PermitStatus(StrEnum):
    """The values of permitStatus; UNDETERMINED is none of them: nothing may be said yet."""

    AVAILABLE = "Permit available"
    NOT_REQUIRED = "Permit not required"
    NOT_AVAILABLE = "Permit not available"
    UNKNOWN = "Unknown"
    UNDETERMINED = ""


TYPE_OF_KIND: Final[Mapping[str, PermitType]] = {
    "collecting-permit": PermitType.COLLECTING, "research-permit": PermitType.COLLECTING,
    "species-licence": PermitType.COLLECTING, "protected-site-consent": PermitType.COLLECTING,
    "mutually-agreed-terms": PermitType.CONTRACT, "certificate-of-compliance": PermitType.IRCC,
    "export-permit": PermitType.EXPORT, "cites-export-permit": PermitType.EXPORT,
    "cites-reexport-certificate": PermitType.EXPORT, "import-permit": PermitType.IMPORT,
    "cites-import-permit": PermitType.IMPORT, "phytosanitary-certificate": PermitType.PHYTOSANITARY,
    "veterinary-certificate": PermitType.VETERINARY, "material-transfer-agreement": PermitType.MTA,
    "deed-of-transfer": PermitType.CONTRACT, "deed-of-gift": PermitType.CONTRACT,
    "proof-of-purchase": PermitType.CONTRACT, "exchange-agreement": PermitType.CONTRACT,
    "salvage-permit": PermitType.SALVAGE, "exemption": PermitType.EXEMPTION,
}  # fmt: skip
"""Kinds of papers that the standard has a value for; every other kind is *Other*. A permit of access is no IRCC: it
becomes one only when it is published in the Clearing-House (Nagoya Protocol, Art. 17(2)), and then is a paper of its
own kind."""

_TYPE_OF_LAYER: Final[Mapping[Layer, PermitType]] = {
    Layer.COLLECTING: PermitType.COLLECTING, Layer.SPECIES: PermitType.COLLECTING,
    Layer.PROTECTED_SITE: PermitType.COLLECTING, Layer.EXPORT: PermitType.EXPORT, Layer.IMPORT: PermitType.IMPORT,
    Layer.TRANSFER: PermitType.MTA,
}  # fmt: skip

_DOES_NOT_COVER: Final = (Verdict.OUTSIDE, Verdict.STRADDLES)


@dataclass(frozen=True)
class Permit:
    """A paper. text, uri: what may be given to the outside; "" for a restricted paper."""

    reference: str
    kind: str
    text: str = ""
    uri: str = ""

    @property
    def permit_type(self) -> PermitType:
        return TYPE_OF_KIND.get(self.kind, PermitType.OTHER)


@dataclass(frozen=True)
class Searched:
    """The latest search for the papers of a layer."""

    state: SearchState
    on: date
    by: str


@dataclass(frozen=True)
class LayerFact:
    """What is known of one layer of a specimen.

    permits: those that cover it together, or the one that came nearest. why: the rule or decision by which it is not
    required; else why it cannot be told.
    """

    layer: Layer
    verdict: Verdict
    permits: tuple[Permit, ...] = ()
    why: str = ""
    searched: Searched | None = None


@dataclass(frozen=True)
class PermitTerms:
    """One set of terms."""

    permit_type: PermitType
    status: PermitStatus
    qualifier: str = ""
    text: str = ""
    uri: str = ""

    @property
    def cells(self) -> tuple[str, ...]:
        """In the order of ``HEADER``, without the number."""
        return (self.permit_type.value, self.status.value, self.qualifier, self.text, self.uri)


def unknown_is_allowed(first: date | None, last: date | None) -> bool | None:
    """Whether the standard allows *Unknown* for material collected from one day to another; None: undetermined.

    >>> unknown_is_allowed(date(2014, 10, 12), date(2014, 10, 12))
    True
    >>> unknown_is_allowed(date(2014, 10, 13), date(2014, 10, 13))
    False
    >>> unknown_is_allowed(date(2014, 10, 1), date(2014, 10, 31)) is unknown_is_allowed(None, None) is None
    True
    """
    if last is not None and last <= LAST_DAY_OF_UNKNOWN:
        return True
    return False if first is not None and first > LAST_DAY_OF_UNKNOWN else None


def permit_terms(facts: Sequence[LayerFact], first: date | None, last: date | None) -> list[PermitTerms]:
    """The terms of a specimen: its covering permits, then the layers without one; what reads alike is said once.

    Args:
        facts: of the layers, in their order.
        first, last: the collecting date; None: not known, or open.
    """
    allowed = unknown_is_allowed(first, last)
    return [*_available(facts), *_joined(_gap(fact, allowed) for fact in facts if fact.verdict != Verdict.COVERED)]


def _available(facts: Sequence[LayerFact]) -> Iterator[PermitTerms]:
    """A set of terms for each permit that covers a layer, alone or with others."""
    alone: dict[Permit, bool] = {}
    layers: dict[Permit, list[str]] = {}
    for fact in facts:
        for permit in fact.permits if fact.verdict == Verdict.COVERED else ():
            alone[permit] = alone.get(permit, False) or len(fact.permits) == 1
            layers.setdefault(permit, []).append(fact.layer.code)
    for permit, answered in layers.items():
        qualifier = ", ".join(answered) + ("" if alone[permit] else ": together with another permit")
        yield PermitTerms(permit.permit_type, PermitStatus.AVAILABLE, qualifier, permit.text, permit.uri)


_Gap = tuple[PermitType, PermitStatus, str, str]
"""Type, status, what is said of it, and the layer."""


def _gap(fact: LayerFact, allowed: bool | None) -> _Gap:
    """A layer that no permit covers."""
    kind = fact.permits[0].permit_type if fact.permits else _TYPE_OF_LAYER.get(fact.layer, PermitType.OTHER)
    code = fact.layer.code
    if fact.verdict == Verdict.NOT_REQUIRED:
        return _TYPE_OF_LAYER.get(fact.layer, PermitType.OTHER), PermitStatus.NOT_REQUIRED, fact.why, code
    if fact.permits and fact.verdict in _DOES_NOT_COVER:
        said = f"a permit on file, {fact.permits[0].reference}, does not cover it"
        return kind, PermitStatus.NOT_AVAILABLE, said, code
    if not fact.permits and fact.searched is not None and fact.searched.state != SearchState.NOT_SEARCHED:
        return kind, PermitStatus.NOT_AVAILABLE, _search_words(fact.searched), code
    return (kind, *_unknown(fact, allowed), code)


def _search_words(searched: Searched) -> str:
    by = f"search of {searched.on.isoformat()} by {searched.by}"
    if searched.state == SearchState.KNOWN_NOT_LOCATED:
        return f"a permit is known to exist and was not located, {by}"
    return f"no permit located after {by}"


def _unknown(fact: LayerFact, allowed: bool | None) -> tuple[PermitStatus, str]:
    if fact.permits:
        said = f"a permit is on file, {fact.permits[0].reference}; whether it covers this cannot be told"
    else:
        said = "no permit on file, no search recorded"
    said += f" ({fact.why})" if fact.why else ""
    day = LAST_DAY_OF_UNKNOWN.isoformat()
    if allowed is None:
        said += f"; the collecting date does not say whether it was after {day}, when Unknown is no longer a status"
    elif not allowed:
        said += f"; no status can be given yet: collected after {day}, it cannot be Unknown"
    return PermitStatus.UNDETERMINED if allowed is False else PermitStatus.UNKNOWN, said


def _joined(gaps: Iterable[_Gap]) -> Iterator[PermitTerms]:
    """Layers of which the same is said, in one set."""
    layers: dict[tuple[PermitType, PermitStatus, str], list[str]] = {}
    for kind, status, said, layer in gaps:
        layers.setdefault((kind, status, said), []).append(layer)
    for (kind, status, said), codes in layers.items():
        yield PermitTerms(kind, status, f"{', '.join(codes)}: {said}")
