"""Advice that follows from the check of a plan: it is tried with the engine, never reckoned."""

from governance.plans.advice.advising import advise
from governance.plans.advice.saying import Advice, Deed

__all__ = ["Advice", "Deed", "advise"]
