"""The page of the label of a scientific exchange: what is kept, what it answers, and that it counts on the way there.

Source of the conditions: CITES Article VII(6) and Resolution Conf. 11.15 (``tests/unit/governance/usedesk``).
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.uses import Tri, Use, WayCode
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.exchange import keep_label
from governance.usedesk.models import DeskRules, ExchangeLabel, UseRequest
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.exchange import exchange_holds
from tests.factories import register, scans, usedesk

pytestmark = pytest.mark.django_db

SEEN = {
    "non_commercial": "yes", "sender_code": "SE 007", "recipient_code": "IS 002", "preserved": "museum",
    "label_by_authority": "yes", "label_number": "L-44", "legally_acquired": "yes", "evidence": "Permit COL-2019-004",
    "paper": "", "why": "",
}  # fmt: skip


@pytest.fixture
def asked() -> UseRequest:
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE", "cites_code": "SE 007"})
    there = usedesk.recipient(country="IS", cites_code="IS 002", cites_checked_on=date(2026, 11, 2))
    return usedesk.use_request(Use.LOAN_ABROAD, specimens=[register.specimen()], recipient=there)


def signed_in(role: str = Role.VOLUNTEER) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def address(asked: UseRequest) -> str:
    return reverse("usedesk:exchange-label", args=[asked.pk])


def send(asked: UseRequest, role: str = Role.VOLUNTEER, **changed: Any) -> Any:
    return signed_in(role).post(address(asked), SEEN | changed)


def test_nothing_is_told_before_anybody_looked(asked: UseRequest) -> None:
    answer = signed_in().get(address(asked))
    assert "0 of five conditions are seen to hold." in answer.content.decode()
    assert [one.met for one in answer.context["conditions"]] == [Tri.NOT_TOLD] * 5
    assert not ExchangeLabel.objects.exists()


def test_what_was_seen_is_kept_with_history(asked: UseRequest) -> None:
    answer = send(asked)
    assert answer.status_code == 302
    label = ExchangeLabel.objects.get(request=asked)
    assert (label.sender_code, label.label_number, label.evidence) == ("SE 007", "L-44", "Permit COL-2019-004")
    entry = label.history.get()
    assert entry.history_user.role == Role.VOLUNTEER
    page = signed_in().get(address(asked)).content.decode()
    assert "All five conditions are seen to hold: the label counts." in page
    assert "The Management Authority decides whether a label is valid" in page


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"preserved": "other"}, Tri.NO),
        ({"label_by_authority": ""}, Tri.NOT_TOLD),
        ({"recipient_code": "NO 002"}, Tri.NO),
        ({}, Tri.YES),
    ],
)
def test_the_label_counts_on_the_way_only_if_all_five_hold(asked: UseRequest, changed: Any, told: Tri) -> None:
    """Of listed material the way there needs a CITES paper, unless the label holds."""
    send(asked, **changed)
    assert exchange_holds(asked) == told
    way = desk_answer(asked).way.way
    assert way is not None
    assert (way.cites == WayCode.EXCHANGE_LABEL) == (told == Tri.YES)


def test_a_request_that_turns_commercial_takes_the_label_out_of_count(asked: UseRequest) -> None:
    send(asked)
    UseRequest.objects.filter(pk=asked.pk).update(commercial="yes")
    asked.refresh_from_db()
    assert exchange_holds(asked) == Tri.NO


def test_legally_acquired_wants_what_shows_it(asked: UseRequest) -> None:
    answer = send(asked, evidence="")
    assert answer.status_code == 422
    assert "Say what shows that it was legally acquired." in answer.content.decode()
    assert not ExchangeLabel.objects.exists()


def test_a_second_look_changes_the_same_record(asked: UseRequest) -> None:
    send(asked)
    send(asked, legally_acquired="", why="The permit is of another year")
    label = ExchangeLabel.objects.get(request=asked)
    assert label.legally_acquired == ""
    assert label.history.first().history_change_reason == "The permit is of another year"
    assert label.history.count() == 2


def test_a_scan_comes_from_who_may_add_scans(asked: UseRequest) -> None:
    """A volunteer types what stands on the label; scans are for those who may add them."""
    assert "file" not in signed_in().get(address(asked)).context["form"].fields
    file = SimpleUploadedFile("label.pdf", scans.pdf(text="Label"))
    assert send(asked, Role.CURATOR, file=file).status_code == 302
    label = ExchangeLabel.objects.get(request=asked)
    assert label.scan is not None
    assert label.scan.original_name == "label.pdf"
    assert 'class="pane-side"' in signed_in().get(address(asked)).content.decode()


def test_a_file_that_is_refused_is_said_at_its_field(asked: UseRequest) -> None:
    answer = send(asked, Role.CURATOR, file=SimpleUploadedFile("label.exe", b"MZ" + bytes(200)))
    assert answer.status_code == 422
    assert answer.context["form"].errors["file"]
    assert not ExchangeLabel.objects.exists()


def test_a_closed_request_keeps_its_label(asked: UseRequest) -> None:
    curator = register.person(Role.CURATOR)
    UseRequest.objects.filter(pk=asked.pk).update(closed_at=timezone.now(), closed_by=curator, closed_why="taken back")
    with pytest.raises(DeskError, match="closed"):
        keep_label(request=asked, values={"preserved": "museum"}, by=curator)
    answer = send(asked)
    assert answer.status_code == 422
    assert "closed" in answer.content.decode()


def test_who_may_not_take_requests_keeps_nothing(asked: UseRequest) -> None:
    with pytest.raises(NotAllowedError):
        keep_label(request=asked, values={"preserved": "museum"}, by=register.person(Role.AUDITOR))


def test_queries_of_the_page(asked: UseRequest, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    send(asked)
    client = signed_in()
    with django_assert_num_queries(7):
        client.get(address(asked))
