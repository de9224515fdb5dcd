"""Loans that are late or fall due, on the page of the day: counted whole, the first five of each shown."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from governance.usedesk.models import DeskRules
from governance.usedesk.queries.overdue import waiting
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)


def lent(days: int) -> int:
    """A loan that is due so many days from today; its key."""
    return usedesk.made_use(register.specimen(), due_on=TODAY + timedelta(days)).pk


def test_late_and_soon_by_their_days(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Seven days of grace: what was due 8 days ago is late, 7 days ago not; of what is ahead, 30 days count."""
    DeskRules.objects.create(pk=1, overdue_grace_days=7)
    late = [lent(-days) for days in (13, 12, 11, 10, 9, 8)]
    soon = [lent(days) for days in (-7, -1, 0, 30)]
    lent(31)
    person = register.person(Role.REGISTRAR)
    with django_assert_num_queries(4):
        found = waiting(TODAY, person)
    assert [line.made.pk for line in found.late] == late[:5]
    assert [line.overdue_days for line in found.late] == [13, 12, 11, 10, 9]
    assert [line.made.pk for line in found.soon] == soon
    assert (found.late_count, found.soon_count, found.remedy_count) == (6, 4, 0)


def test_two_queries_where_nothing_waits(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    person = register.person(Role.REGISTRAR)
    with django_assert_num_queries(2):
        assert not waiting(TODAY, person)
