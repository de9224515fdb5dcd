"""Whether something was taken in the time that a return is about: asked before anybody says that nothing was."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import Final

from governance.duties.models import Duty
from governance.duties.queries.paper_material import specimens_under
from governance.usedesk.queries.by_keys import day_of_row, rows_by_keys

_EVENTS: Final = "SELECT id, event_id FROM material_specimen WHERE id {keys}"
_DAYS: Final = "SELECT id, earliest_on, latest_on FROM material_samplingevent WHERE id {keys}"


def taken_in_its_time(duty: Duty) -> int:
    """How many specimens under its paper were taken in the time that it is about, or may have been: also those of
    which the day is not known. 0 where it is of no paper, or about no time."""
    if duty.paper_id is None or duty.about_from is None or duty.about_to is None:
        return 0
    specimens = list(specimens_under([duty.paper_id])[duty.paper_id])
    counted = Counter(event for _pk, event in rows_by_keys(_EVENTS, specimens)) if specimens else Counter()
    days = rows_by_keys(_DAYS, list(counted)) if counted else ()
    span = (duty.about_from, duty.about_to)
    return sum(counted[event] for event, first, last in days if _may_meet(day_of_row(first), day_of_row(last), *span))


def _may_meet(first: date | None, last: date | None, about_from: date, about_to: date) -> bool:
    return (first is None or first <= about_to) and (last is None or last >= about_from)
