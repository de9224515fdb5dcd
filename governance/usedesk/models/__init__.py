"""The use desk: house rules, requests with their decisions, and the uses that were made."""

from governance.usedesk.models.made import LoanReturn, MadeUse, Remedy, Sequence, UseItem
from governance.usedesk.models.requests import (
    ExchangeLabel,
    ProviderQuestion,
    Recipient,
    RequestDecision,
    RequestItem,
    ScanLine,
    Told,
    UseRequest,
    WayDecision,
)
from governance.usedesk.models.rules import (
    ANSWER_NAMES,
    CitesListing,
    DeskRules,
    FootingRule,
    SilenceRule,
)

__all__ = [
    "ANSWER_NAMES",
    "CitesListing",
    "DeskRules",
    "ExchangeLabel",
    "FootingRule",
    "LoanReturn",
    "MadeUse",
    "ProviderQuestion",
    "Recipient",
    "Remedy",
    "RequestDecision",
    "RequestItem",
    "ScanLine",
    "Sequence",
    "SilenceRule",
    "Told",
    "UseItem",
    "UseRequest",
    "WayDecision",
]
