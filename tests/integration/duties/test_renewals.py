"""A renewal that is applied for or refused takes nothing from the time in which the paper held.

A report each year by 31 January is due for each year on which the paper stood; days worked out by hand.
"""

from __future__ import annotations

from datetime import date

import pytest

from governance.duties.actions.working_out import work_out
from governance.duties.models import Duty
from governance.papers.models import Paper
from tests.factories import duties, register

pytestmark = pytest.mark.django_db
RENEWAL = date(2026, 2, 1)


@pytest.fixture
def paper() -> Paper:
    """In force from 1 April 2024 to 31 March 2026: reports on 2024, 2025 and 2026."""
    duties.duty_house()
    found = register.paper("COL-2024-052", issued_on=date(2024, 4, 1))
    duties.condition(register.version(found, "2024-04-01", "2026-03-31"))
    return found


def due_days() -> list[date | None]:
    work_out(by=None, why="a test")
    return list(Duty.objects.filter(dropped_on=None).order_by("due_on").values_list("due_on", flat=True))


ALL_THREE = [date(2025, 1, 31), date(2026, 1, 31), date(2027, 1, 31)]


@pytest.mark.parametrize("state", ["applied", "refused"])
@pytest.mark.parametrize("is_granted_told", [True, False])
def test_the_years_before_stay_owed(paper: Paper, state: str, is_granted_told: bool) -> None:
    if is_granted_told:
        paper.statuses.create(state="granted", from_on=date(2024, 4, 1))
    assert due_days() == ALL_THREE
    paper.statuses.create(state=state, from_on=RENEWAL)
    assert due_days() == ALL_THREE


def test_what_a_refused_renewal_would_have_asked_is_not_owed(paper: Paper) -> None:
    """The version of 2026 to 2028 was entered with the application: no report on 2027 follows of it."""
    duties.condition(register.version(paper, "2026-04-01", "2028-03-31"))
    paper.statuses.create(state="granted", from_on=date(2024, 4, 1))
    paper.statuses.create(state="applied", from_on=RENEWAL)
    paper.statuses.create(state="refused", from_on=date(2026, 3, 15))
    assert due_days() == ALL_THREE


def test_an_open_paper_ends_with_the_refusal() -> None:
    """30 days after 31 January 2026, the day before the refusal: 2 March (28 days of February, and 2)."""
    duties.duty_house()
    paper = register.paper(issued_on=date(2024, 4, 1))
    register.version(paper, "2024-04-01", None)
    duties.duty_rule(paper)
    paper.statuses.create(state="granted", from_on=date(2024, 4, 1))
    assert due_days() == [None]
    paper.statuses.create(state="applied", from_on=date(2026, 1, 15))
    assert due_days() == [None]
    paper.statuses.create(state="refused", from_on=RENEWAL)
    assert due_days() == [date(2026, 3, 2)]
