"""The use desk: house rules, requests with their decisions, and the uses that were made."""

from governance.usedesk.models.basket import RequestItem, ScanLine
from governance.usedesk.models.made import LoanReturn, MadeUse, Remedy, Sequence, UseItem
from governance.usedesk.models.questions import ProviderQuestion
from governance.usedesk.models.requests import Recipient, RequestDecision, Told, UseRequest
from governance.usedesk.models.rules import (
    ANSWER_NAMES,
    CitesListing,
    DeskRules,
    FootingRule,
    SilenceRule,
)
from governance.usedesk.models.ways import ExchangeLabel, WayDecision

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
