"""The verdict of one layer for every unit (VERDICTS section 7), step by step."""

from __future__ import annotations

import numpy as np

from governance.engine.layer_case import LayerCase
from governance.engine.nearest import NearestPaper
from governance.engine.outcomes import Outcomes
from governance.engine.requirements import Required, requirement
from governance.engine.single import SinglePaper
from governance.engine.tables import ByteColumn, DateReading, Finding, IntColumn, Verdict
from governance.engine.together import SeveralPapers


def judge_layer(case: LayerCase) -> tuple[Outcomes, IntColumn]:
    """The layer's distinct outcomes, and the outcome of each unit, int32, shape (n_units,).

    Each step settles units that are still open (-1).
    """
    outcome = np.full(len(case.unit_event), -1, np.int32)
    SinglePaper(case).cover(outcome)
    SeveralPapers(case).cover(outcome)
    _leave_out(case, outcome)
    _miss(case, outcome)
    NearestPaper(case).find(outcome)
    return case.outcomes.table(), outcome


def _leave_out(case: LayerCase, outcome: IntColumn) -> None:
    """Units of which the layer is not required, or of which that cannot be told (VERDICTS section 7.1)."""
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


def _required(case: LayerCase) -> ByteColumn:
    """Whether the layer is required at each event, as ``Required``, shape (n_events,). Decisions stand above rules."""
    required = _by_rules(case)
    accessions = case.shared.material.accessions
    decided = [(case.layer, text) in case.shared.requirements.decided for text in accessions]
    required[np.array([*decided, False], bool)[case.events.accession]] = Required.NOT_REQUIRED
    return required


def _by_rules(case: LayerCase) -> ByteColumn:
    """The same by the rules alone."""
    if case.shared.requirements.rules is None:
        return np.zeros(len(case.events), np.uint8)
    dates, places = case.shared.material.dates, case.shared.material.places
    rows = zip(case.events.place.tolist(), case.events.date.tolist(), strict=True)
    asked = [(places.country[place], date) for place, date in rows]
    known: dict[tuple[str, int], int] = {}
    for country, date in set(asked):
        has_days = dates.reading[date] <= DateReading.VAGUE
        days = (int(dates.earliest[date]), int(dates.latest[date])) if has_days else None
        known[country, date] = requirement(case.shared.requirements, case.layer, country, days)
    return np.array([known[one] for one in asked], np.uint8)


def _miss(case: LayerCase, outcome: IntColumn) -> None:
    """Units that no paper is linked to (VERDICTS section 7.2)."""
    linked = np.diff(case.starts)[case.unit_event] > 0
    units = np.flatnonzero((outcome < 0) & ~linked)
    if len(units):
        finding = Finding(case.shared.search_state.code)
        outcome[units] = case.outcomes.add_one(Verdict.MISSING, [finding])
