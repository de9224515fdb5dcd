"""Writes of the verdicts room."""

from governance.verdicts.actions.assessing import assess
from governance.verdicts.actions.taking_up import take_up, take_up_soon

__all__ = ["assess", "take_up", "take_up_soon"]
