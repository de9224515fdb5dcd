"""Writes of the verdicts room."""

from governance.verdicts.actions.assessing import assess
from governance.verdicts.actions.taking_up import take_up

__all__ = ["assess", "take_up"]
