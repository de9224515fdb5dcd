"""The papers: what was granted, from when to when, where, for what, to whom; and what each is linked to."""

from governance.papers.models.links import PaperLink
from governance.papers.models.paper import (
    LAYER_NAMES,
    Paper,
    PaperContinuation,
    PaperKind,
    PaperStatus,
    PaperVersion,
)
from governance.papers.models.received import ReceivedFile
from governance.papers.models.scans import AcceptedOffer, PaperScan, ReadingPage
from governance.papers.models.terms import (
    Condition,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.papers.models.title import TitleRecord
from governance.papers.models.uses import (
    EVERY_RECIPIENT,
    EVERY_USE,
    OWNERSHIP_NAMES,
    RECIPIENT_NAMES,
    SAID_NAMES,
    USE_NAMES,
    TermsReading,
    UseTerm,
)

__all__ = [
    "EVERY_RECIPIENT",
    "EVERY_USE",
    "LAYER_NAMES",
    "OWNERSHIP_NAMES",
    "RECIPIENT_NAMES",
    "SAID_NAMES",
    "USE_NAMES",
    "AcceptedOffer",
    "Condition",
    "Paper",
    "PaperContinuation",
    "PaperKind",
    "PaperLink",
    "PaperScan",
    "PaperStatus",
    "PaperVersion",
    "ReadingPage",
    "ReceivedFile",
    "TermsReading",
    "TitleRecord",
    "UseTerm",
    "VersionCap",
    "VersionPerson",
    "VersionPlace",
    "VersionSeason",
    "VersionTaxon",
    "VersionWord",
]
