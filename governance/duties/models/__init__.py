"""Duties: what papers ask for by rule, the duties that follow, benefits, deposits, reminders."""

from governance.duties.models.benefits import BenefitGiven, BenefitPromise, Deposit
from governance.duties.models.duties import Duty, DutyRun
from governance.duties.models.reminders import CalendarAddress, ReminderSent, ReminderWish
from governance.duties.models.rules import DutyHouse, DutyKind, DutyRule

__all__ = [
    "BenefitGiven",
    "BenefitPromise",
    "CalendarAddress",
    "Deposit",
    "Duty",
    "DutyHouse",
    "DutyKind",
    "DutyRule",
    "DutyRun",
    "ReminderSent",
    "ReminderWish",
]
