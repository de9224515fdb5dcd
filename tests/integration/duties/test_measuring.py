"""On which day a promise was met, and by what: sums and shares worked out by hand beside each case."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from governance.duties.actions import benefits as actions
from governance.duties.actions.errors import DutyError
from governance.duties.actions.working_out import work_out
from governance.duties.models import BenefitPromise, Duty
from governance.duties.queries.benefits import PromiseState, promises
from governance.duties.queries.ledger import basis
from governance.papers.models import Paper
from tests.factories import duties, register, usedesk

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 26)


def done_on() -> date | None:
    duties.duty_house(follow_from=date(2024, 1, 1))
    work_out(by=None, why="a test")
    return Duty.objects.get().done_on


def test_met_on_the_day_of_the_last_part_that_was_needed() -> None:
    """3 days by 1 March: 1 in January, 2 on 1 February make 3. What came on 4 May, and money, came beside."""
    promise = duties.promise(due_on=date(2026, 3, 1))
    duties.given(promise, on=date(2026, 2, 1), quantity=2)
    duties.given(promise, on=date(2026, 1, 9), quantity=1)
    duties.given(promise, on=date(2026, 5, 4), quantity=1)
    duties.given(promise, on=date(2026, 6, 1), quantity=None, unit="", amount=Decimal(50), currency="EUR")
    assert done_on() == date(2026, 2, 1)


def test_what_lasts_is_given_on_its_last_day() -> None:
    """A course from 20 February to 10 March was not whole by 1 March."""
    promise = duties.promise(due_on=date(2026, 3, 1))
    duties.given(promise, on=date(2026, 2, 20), until_on=date(2026, 3, 10))
    assert done_on() == date(2026, 3, 10)


def test_nothing_is_changed_under_a_promise_that_was_closed() -> None:
    """Not its quantity, and it is not taken away from the promise either."""
    by, promise = register.person("registrar"), duties.promise()
    row = duties.given(promise)
    actions.close_promise(promise, by=by, why="agreed with the partner")
    for values in ({"quantity": 99}, {"promise": None}):
        with pytest.raises(DutyError, match="was closed"):
            actions.edit_given(row, by=by, why="slip", **values)
    row.refresh_from_db()
    assert (row.quantity, row.promise) == (3, promise)


# Shares ---------------------------------------------------------------------------------------------------------------


@pytest.fixture
def paper() -> Paper:
    return register.paper("COL-2024-052")


def half(paper: Paper, **values: Any) -> BenefitPromise:
    told = {"is_deposit": True, "share_percent": Decimal(50), "quantity": None, "unit": "", "code": "N-e"}
    return duties.promise(paper, **(told | values))


def material(paper: Paper, count: int) -> list[Any]:
    found = [register.specimen() for _ in range(count)]
    for one in found:
        register.link(paper, specimen=one)
    return found


def test_what_was_given_away_stays_in_the_base(paper: Paper) -> None:
    """10 specimens: 8 given to Norway, 1 deposited in Georgia, 1 here. 1 of 10 is 10 %, not 1 of 2."""
    specimens = material(paper, 10)
    half(paper)
    usedesk.made_use(*specimens[:8], deed="gift", recipient=usedesk.recipient(country="NO"))
    back = usedesk.made_use(specimens[8], deed="return", recipient=usedesk.recipient(country="GE"))
    duties.deposit(paper=paper, use=back, specimens=None, receipt="N-1")
    (line,) = promises(paper=paper, today=TODAY)
    assert (line.given, line.state) == (Decimal(10), PromiseState.OPEN)
    assert line.share is not None
    assert "1 of 10 records" in basis(line.share)
    assert "8 went elsewhere for good" in basis(line.share)


def test_what_was_deposited_in_another_country_stays_in_the_base(paper: Paper) -> None:
    """4 here, 4 that were never entered deposited in Georgia, 4 in Norway: 4 of 12 is a third."""
    material(paper, 4)
    half(paper)
    duties.deposit(paper=paper, specimens=4)
    duties.deposit(paper=paper, specimens=4, country="NO")
    (line,) = promises(paper=paper, today=TODAY)
    assert line.given == Decimal("33.33")


def test_one_deposit_meets_one_promise(paper: Paper) -> None:
    """2 here, 2 deposited without a word for which of two promises of a half: nobody can tell. Named, it is 50 %."""
    material(paper, 2)
    first, second = half(paper), half(paper)
    deposit = duties.deposit(paper=paper, specimens=2)
    lines = promises(paper=paper, today=TODAY)
    assert [(line.given, line.state) for line in lines] == [(None, PromiseState.NOT_MEASURED)] * 2
    assert lines[0].share is not None
    assert "1 deposit names no promise" in basis(lines[0].share)
    deposit.promise = first
    deposit.save()
    found = {line.promise.pk: (line.given, line.state) for line in promises(paper=paper, today=TODAY)}
    assert found == {first.pk: (Decimal(50), PromiseState.MET), second.pk: (Decimal(0), PromiseState.OPEN)}


def test_countries_tell_which_promise_a_deposit_is_for(paper: Paper) -> None:
    """2 here, 2 deposited in Georgia: half to Georgia is met, half to Norway not begun."""
    material(paper, 2)
    half(paper), half(paper, country="NO")
    duties.deposit(paper=paper, specimens=2)
    found = {line.promise.country: line.state for line in promises(paper=paper, today=TODAY)}
    assert found == {"GE": PromiseState.MET, "NO": PromiseState.OPEN}


def test_the_duty_is_done_on_the_day_of_the_deposit_that_made_the_share(paper: Paper) -> None:
    """4 here and 6 deposited make 10, half is 5: 1 by March, 1 + 4 = 5 on 9 May; the sixth in August came beside."""
    material(paper, 4)
    half(paper, due_on=date(2025, 6, 1))
    for day, count in ((date(2025, 3, 1), 1), (date(2025, 5, 9), 4), (date(2025, 8, 1), 1)):
        duties.deposit(paper=paper, specimens=count, on=day, receipt="N-1", receipt_on=day)
    assert done_on() == date(2025, 5, 9)
