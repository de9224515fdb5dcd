"""What waits at the desk, on the page of the day."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from governance.usedesk.actions.requests import close_request
from governance.usedesk.models import ProviderQuestion
from governance.usedesk.queries.waiting import waiting_at_the_desk
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db


def test_late_requests_first_and_the_longest_wait_first() -> None:
    """Of a closed request nothing waits, neither its answer nor its question."""
    today, by = timezone.localdate(), register.person()
    usedesk.use_request(reference="SOON", answer_by=today + timedelta(3))
    late = usedesk.use_request(reference="LATE", answer_by=today - timedelta(1), specimens=[register.specimen()])
    closed = usedesk.use_request(reference="GONE", answer_by=today - timedelta(9))
    for request, days in ((late, 5), (late, 40), (closed, 90)):
        ProviderQuestion.objects.create(
            request=request, paper=register.paper(f"P-{days}"), uses=4, asked_of="Directorate",
            asked_on=today - timedelta(days), recorded_by=by,
        )  # fmt: skip
    close_request(request=closed, by=by, why="withdrawn")

    found = waiting_at_the_desk(today)

    assert [line.request.reference for line in found.lines] == ["LATE", "SOON"]
    assert (found.request_count, found.late_count, found.question_count) == (2, 1, 2)
    assert [(asked.question.paper.reference, asked.days) for asked in found.questions] == [("P-40", 40), ("P-5", 5)]


def test_five_are_shown_and_all_are_counted() -> None:
    today, by = timezone.localdate(), register.person()
    requests = [usedesk.use_request() for _ in range(7)]
    paper = register.paper()
    ProviderQuestion.objects.bulk_create(
        ProviderQuestion(request=one, paper=paper, uses=4, asked_of="D", asked_on=today, recorded_by=by)
        for one in requests
    )
    found = waiting_at_the_desk(today)
    assert (len(found.lines), found.request_count) == (5, 7)
    assert (len(found.questions), found.question_count) == (5, 7)


def test_queries(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """One where nothing is open; counts, lines and questions else."""
    today = timezone.localdate()
    with django_assert_num_queries(1):
        assert not waiting_at_the_desk(today)
    usedesk.use_request()
    with django_assert_num_queries(3):
        assert waiting_at_the_desk(today)


def test_panel_on_today(client: Client) -> None:
    """Nothing of the desk where nothing waits; who reads only sees it, too."""
    client.force_login(register.person(Role.AUDITOR))
    register.specimen()
    assert "At the use desk" not in client.get(reverse("verdicts:today")).content.decode()
    request = usedesk.use_request(title="Caddisflies, loan", answer_by=timezone.localdate() - timedelta(2))
    text = client.get(reverse("verdicts:today")).content.decode()
    assert "At the use desk" in text
    assert "1 request wants an answer, 1 late" in " ".join(text.split())
    assert reverse("usedesk:request", args=[request.pk]) in text
    assert "2 days ago" in text
