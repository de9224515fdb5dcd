"""The verdict of one layer for every unit (VERDICTS section 7), step by step."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from governance.engine.layer_case import LayerCase
from governance.engine.nearest import NearestPaper
from governance.engine.outcomes import Outcomes
from governance.engine.requirements import Required, requirement
from governance.engine.single import SinglePaper
from governance.engine.tables import DateReading, Finding, IntColumn, Verdict
from governance.engine.together import SeveralPapers


def judge_layer(case: LayerCase) -> tuple[Outcomes, IntColumn]:
    """The layer's distinct outcomes, and the outcome of each unit. Each step settles units that are still open (-1)."""
    outcome = np.full(len(case.unit_event), -1, np.int32)
    SinglePaper(case).cover(outcome)
    SeveralPapers(case).cover(outcome)
    _leave_out(case, outcome)
    _miss(case, outcome)
    NearestPaper(case).find(outcome)
    return case.outcomes.table(), outcome


def _leave_out(case: LayerCase, outcome: IntColumn) -> None:
    required = _required(case)[case.unit_event]
    open_units = outcome < 0
    for state, verdict, code in (
        (Required.NOT_REQUIRED, Verdict.NOT_REQUIRED, ""),
        (Required.UNKNOWN, Verdict.CANNOT_TELL, "requirement-unknown"),
        (Required.NO_RULE, Verdict.CANNOT_TELL, "no-rule"),
    ):
        units = np.flatnonzero(open_units & (required == state))
        if len(units):
            outcome[units] = case.outcomes.add_one(verdict, [Finding(code)] if code else [])


def _required(case: LayerCase) -> npt.NDArray[np.uint8]:
    """Whether the layer is required at each event, shape (n_events,)."""
    if case.shared.requirements.rules is None:
        return np.zeros(len(case.events), np.uint8)
    dates, places = case.shared.material.dates, case.shared.material.places
    known: dict[tuple[str, int], int] = {}
    for country, date in {
        (places.country[p], int(d)) for p, d in zip(case.events.place, case.events.date, strict=True)
    }:
        interval = (
            (int(dates.earliest[date]), int(dates.latest[date])) if dates.reading[date] <= DateReading.VAGUE else None
        )
        known[country, date] = requirement(case.shared.requirements, case.layer, country, interval)
    rows = zip(case.events.place.tolist(), case.events.date.tolist(), strict=True)
    return np.array([known[places.country[p], d] for p, d in rows], np.uint8)


def _miss(case: LayerCase, outcome: IntColumn) -> None:
    linked = np.diff(case.starts)[case.unit_event] > 0
    units = np.flatnonzero((outcome < 0) & ~linked)
    if len(units):
        finding = Finding(case.shared.search_state.code)
        outcome[units] = case.outcomes.add_one(Verdict.MISSING, [finding])
