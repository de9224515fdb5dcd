"""The audit: saved questions with their followers, what was opened, keeping and disposal, heads of the seal."""

from governance.audit.models.bundles import EvidenceBundle
from governance.audit.models.heads import KeptHead, SealCheck
from governance.audit.models.keeping import Disposal, KeepingRule, KeptKind, Minimisation, UtilisationEnd
from governance.audit.models.opened import Opening
from governance.audit.models.quality import QualityCount, QualityNote
from governance.audit.models.questions import AnswerTaken, Follower, SavedQuestion, Schedule

__all__ = [
    "AnswerTaken",
    "Disposal",
    "EvidenceBundle",
    "Follower",
    "KeepingRule",
    "KeptHead",
    "KeptKind",
    "Minimisation",
    "Opening",
    "QualityCount",
    "QualityNote",
    "SavedQuestion",
    "Schedule",
    "SealCheck",
    "UtilisationEnd",
]
