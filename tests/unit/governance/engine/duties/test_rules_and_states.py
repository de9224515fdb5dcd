"""What a rule may say, and how a duty stands on a day."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from governance.engine.duties import Rule, State, When, state_of
from governance.engine.tables import EngineError

TODAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"when": When.EACH_YEAR}, "needs it"),
        ({"when": When.AFTER_ISSUE, "month_day": "01-31"}, "each year"),
        ({"when": When.EACH_YEAR, "month_day": "1-31"}, "MM-DD"),
        ({"when": When.EACH_YEAR, "month_day": "13-01"}, "MM-DD"),
        ({"when": When.ON_A_DAY}, "needs it"),
        ({"when": When.AFTER_ISSUE, "on": TODAY}, "one day"),
        ({"when": When.AFTER_ISSUE, "number": -1}, "0 or more"),
    ],
)
def test_parts_that_do_not_go_together(parts: dict[str, Any], words: str) -> None:
    with pytest.raises(EngineError, match=words):
        Rule(**parts)


@pytest.mark.parametrize(
    ("due", "state"),
    [
        (date(2026, 11, 25), State.LATE),  # the day before
        (date(2026, 11, 26), State.DUE),  # the day itself
        (date(2026, 12, 26), State.DUE),  # 26 November + 4 = 30 November, + 26 = 30 days
        (date(2026, 12, 27), State.COMING),
        (None, State.DAY_NOT_KNOWN),
    ],
)
def test_state_of_what_is_open(due: date | None, state: State) -> None:
    assert state_of(due, today=TODAY, ahead_days=30) == state


@pytest.mark.parametrize(
    ("became", "state"),
    [
        ({"done": True, "accepted": True, "dropped": True}, State.ACCEPTED),
        ({"done": True, "dropped": True}, State.DONE),
        ({"waived": True, "dropped": True}, State.WAIVED),
        ({"dropped": True}, State.NO_LONGER_ASKED),
    ],
)
def test_what_was_done_stays_done(became: dict[str, bool], state: State) -> None:
    assert state_of(date(2026, 1, 1), today=TODAY, ahead_days=30, **became) == state
