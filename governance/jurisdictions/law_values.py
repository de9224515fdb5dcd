"""What the dated law and treaty data look like once read: frozen values, each with its source and its day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class UnknownKeyError(KeyError):
    """A code that the data do not have. The message gives the codes there are."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True, kw_only=True)
class Value:
    """What every value carries. basis: ``published`` or ``memory``."""

    source: str
    checked_on: date
    basis: str

    @property
    def decides(self) -> bool:
        """Whether the value may decide alone: never if it is from memory."""
        return self.basis == "published"


class NagoyaStatus(StrEnum):
    """Standing of a place under the Nagoya Protocol on one day."""

    PARTY = "party"
    NOT_PARTY = "not-party"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Standing:
    """Standing on the day asked about. since: first day as a Party, None where not known or not a Party at all.

    decides: False where status is a belief (from memory), a date is missing, or nobody looked that far.
    """

    status: NagoyaStatus
    since: date | None
    decides: bool
    source: str
    checked_on: date | None


@dataclass(frozen=True, kw_only=True)
class NagoyaState(Value):
    """One state (or the EU). listed: party, party_date_from_memory, party_date_not_found, party_unverified or
    not_party_2019. not_party_until: last day for which it is known to be no Party."""

    code: str
    alpha3: str
    name: str
    listed: str
    party_since: date | None
    not_party_until: date | None
    cbd_party_since: date | None


@dataclass(frozen=True, kw_only=True)
class ExcludedTerritory(Value):
    """A territory that the instrument of its state leaves out; known up to not_party_until."""

    code: str
    state: str
    not_party_until: date


@dataclass(frozen=True, kw_only=True)
class Benefit(Value):
    """A kind of benefit of the Protocol's Annex. code: M-a to M-j (monetary), N-a to N-q (non-monetary)."""

    code: str
    kind: str
    text: str


@dataclass(frozen=True, kw_only=True)
class CitesCode(Value):
    """kind: ``purpose`` (of a transaction) or ``source`` (of a specimen); code: one letter."""

    kind: str
    code: str
    text: str


@dataclass(frozen=True, kw_only=True)
class CertificateField(Value):
    """A field of a certificate of compliance. minimum: one of the nine of Article 17(4)."""

    code: str
    text: str
    minimum: bool


@dataclass(frozen=True, kw_only=True)
class DiligenceField(Value):
    """A field of a due-diligence sheet. number: its place on the sheet. annex: of Implementing Regulation (EU)
    2015/1866, ``II``, ``III`` or "" for one of Regulation (EU) 511/2014 alone. by: who knows it, the ``register`` or
    ``people``. without_certificate: asked for only where there is no certificate of compliance."""

    code: str
    number: int
    text: str
    annex: str
    by: str
    without_certificate: bool
