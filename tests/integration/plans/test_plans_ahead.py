"""Open plans and applications on Today: what is known without a check, in few queries."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role, User
from governance.plans.models import FieldPlan
from governance.plans.queries.ahead import plans_ahead
from tests.factories import plans, register
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db

DAY = date(2026, 11, 26)


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def nora() -> User:
    return register.person(Role.CURATOR)


def begins(first: date | None, last: date | None = None, **values: object) -> FieldPlan:
    plan = plans.field_plan(**values)
    plans.stop(plan, first_on=first, last_on=last)
    return plan


@pytest.mark.parametrize(
    ("first", "last", "is_shown"),
    [
        (date(2026, 11, 20), date(2026, 11, 25), False),
        (date(2026, 11, 20), date(2026, 11, 26), True),
        (date(2026, 11, 20), None, False),
        (date(2026, 11, 26), None, True),
        (date(2027, 8, 27), date(2027, 8, 28), True),
        (date(2027, 8, 28), date(2027, 8, 29), False),
        (None, None, True),
    ],
)
def test_which_plans_are_ahead(nora: User, first: date | None, last: date | None, is_shown: bool) -> None:
    """Not over on 26 November 2026, and begun 274 days on at the latest. Hand: 4 days of November, 31 December,
    31 + 28 + 31 + 30 + 31 + 30 + 31 days from January to July make 247 to 31 July 2027; 27 more: 27 August."""
    plan = begins(first, last)
    assert [one.plan for one in plans_ahead(DAY, nora).plans] == ([plan] if is_shown else [])


def test_closed_plans_are_left_out(nora: User) -> None:
    plan = begins(date(2027, 6, 1), closed_at=timezone.now(), closed_by=nora, closed_why="no money")
    plans.application(plan, assignee=nora)
    assert not plans_ahead(DAY, nora)


def test_what_is_written_down_of_each(nora: User) -> None:
    plan = begins(date(2027, 6, 1), date(2027, 6, 3))
    plans.stop(plan, first_on=date(2027, 5, 20), last_on=date(2027, 5, 21))
    plans.application(plan, start_by=date(2026, 11, 25))
    plans.application(plan, start_by=date(2026, 11, 26))
    plans.application(plan, start_by=date(2026, 1, 1), asked_on=date(2026, 1, 2), promised_on=date(2026, 11, 25))
    plans.application(plan, start_by=date(2026, 1, 1), asked_on=date(2026, 1, 2), refused_on=date(2026, 2, 2))
    [one] = plans_ahead(DAY, nora).plans
    assert (one.first_on, one.stops, one.days) == (date(2027, 5, 20), 2, 175)
    assert (one.waiting, one.late, one.start_by) == (3, 2, date(2026, 11, 25))


def test_mine_by_day_without_an_answer(nora: User) -> None:
    plan = begins(date(2027, 6, 1))
    last = plans.application(plan, assignee=nora)
    first = plans.application(plan, assignee=nora, start_by=DAY)
    plans.application(plan, assignee=nora, dropped_on=DAY)
    plans.application(plan, assignee=register.person(Role.REGISTRAR), start_by=DAY)
    assert [line.application for line in plans_ahead(DAY, nora).mine] == [first, last]


def test_on_the_page_of_the_day(client: Client, nora: User) -> None:
    """It says that nothing was checked, and leads to the plan."""
    client.force_login(nora)
    judged(register.specimen())
    assert "Field plans ahead" not in client.get("/").content.decode()
    plan = begins(date(2027, 6, 1), title="Nazvri headwaters")
    made = plans.application(plan, assignee=nora, start_by=date(2026, 11, 25))
    text = client.get("/").content.decode()
    plain = " ".join(re.sub(r"<[^>]*>", " ", text).split())
    assert "Of 1 application the day has passed. The earliest day to ask by is 25 November 2026." in plain
    assert "no plan was checked for this page" in plain
    for name, key in (("plan", plan.pk), ("application", made.pk)):
        assert f'href="{reverse(f"plans:{name}", args=[key])}"' in text


def test_queries_do_not_grow(nora: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Plans; applications of the reader; their stops."""
    for _ in range(2):
        for _n in range(4):
            plans.application(begins(date(2027, 6, 1)), assignee=nora, start_by=DAY)
        with django_assert_num_queries(3):
            plans_ahead(DAY, nora)
