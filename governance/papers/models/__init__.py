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

__all__ = [
    "LAYER_NAMES",
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
    "TitleRecord",
    "VersionCap",
    "VersionPerson",
    "VersionPlace",
    "VersionSeason",
    "VersionTaxon",
    "VersionWord",
]
