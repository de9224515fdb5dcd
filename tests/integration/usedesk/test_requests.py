"""Requests taken down, corrected, answered, closed; their list and the recipients."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.engine.uses import Use
from governance.usedesk.actions import recipients as recipient_actions
from governance.usedesk.actions import requests as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import ProviderQuestion, Recipient, RequestDecision, RequestItem, UseRequest
from governance.usedesk.queries.listing import State, Wanted, line_of, next_reference, use_requests
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


def signed_in(person: User) -> Client:
    client = Client()
    client.force_login(person)
    return client


def typed(**more: Any) -> dict[str, Any]:
    """The least that the form of a request takes."""
    return {"reference": "UR-2026-001", "title": "Caddisflies, loan", "asked_on": "2026-11-20", "uses": ["2"], **more}


def decided(request: UseRequest, by: User, **values: Any) -> RequestDecision:
    """A decision on everything in the basket, past the action."""
    made = RequestDecision.objects.create(
        request=request, is_approved=True, answer=0, reasons=[{"code": "allowed"}], decided_by=by, **values
    )
    request.items.update(decision=made)
    return made


# Taken down -----------------------------------------------------------------------------------------------------------


def test_least_that_is_told_is_enough(curator: User) -> None:
    """A number, a title and a use; everything else stays not told."""
    answer = signed_in(curator).post(reverse("usedesk:request-new"), typed())
    made = UseRequest.objects.get()
    assert answer.status_code == 302
    assert answer["Location"] == reverse("usedesk:request", args=[made.pk])
    assert made.use_list == [Use.LOAN_ABROAD]
    assert (made.recipient, made.country, made.commercial, made.identification_only) == (None, "", "", "")
    entry = made.history.get()
    assert (entry.history_user, entry.history_change_reason) == (curator, "taken down")


def test_recipient_is_begun_in_the_same_form(curator: User) -> None:
    more = {
        "recipient": "new", "recipient_name": "Hafnarvik Institute for Lakes", "recipient_kind": "0",
        "recipient_country": "Iceland", "recipient_cites_code": "IS 001", "recipient_cites_checked_on": "2026-11-20",
    }  # fmt: skip
    signed_in(curator).post(reverse("usedesk:request-new"), typed(**more))
    found = UseRequest.objects.get().recipient
    assert found is not None
    assert (found.name, found.kind, found.country) == ("Hafnarvik Institute for Lakes", 0, "IS")
    assert found.cites_code == "IS 001"


def test_all_that_is_wrong_is_said_at_once(curator: User) -> None:
    """And nothing is half saved: not the recipient either."""
    wrong = typed(
        title="", uses=[], country="Atlantis", recipient="new", starts_on="2026-12-02", ends_on="2026-12-01",
        answer_by="2026-11-01", asked_on="2026-11-20",
    )  # fmt: skip
    answer = signed_in(curator).post(reverse("usedesk:request-new"), wrong)
    text = answer.content.decode()
    assert answer.status_code == 422
    for words in (
        "Choose at least one use.", "“Atlantis” is no country of ISO 3166-1", "Name the new recipient",
        "2026-12-01 is before 2026-12-02", "2026-11-01 is before the day on which it was asked",
    ):  # fmt: skip
        assert words in text, words
    assert not UseRequest.objects.exists()
    assert not Recipient.objects.exists()


def test_a_recipient_on_file_is_not_begun_twice(curator: User) -> None:
    """The error stands beside the name, and the request is not saved without its recipient."""
    usedesk.recipient(name="Hafnarvik Institute for Lakes", country="IS")
    more = {"recipient_name": "Hafnarvik Institute for Lakes", "recipient_country": "IS"}
    answer = signed_in(curator).post(reverse("usedesk:request-new"), typed(**more))
    assert answer.status_code == 422
    assert "This recipient is on file already." in answer.content.decode()
    assert not UseRequest.objects.exists()


def test_number_is_of_one_request(curator: User) -> None:
    usedesk.use_request(reference="UR-2026-001", title="Mayflies")
    answer = signed_in(curator).post(reverse("usedesk:request-new"), typed(reference="ur-2026-001"))
    assert answer.status_code == 422
    assert "is the number of “Mayflies”" in answer.content.decode()


def test_next_number_is_offered() -> None:
    """After the highest of the year, whatever the gaps; other forms of numbers and other years do not count."""
    assert next_reference(TODAY) == "UR-2026-001"
    for number in ("UR-2026-002", "UR-2026-017", "UR-2025-400", "UR-2026-x", "loan 99"):
        usedesk.use_request(reference=number)
    assert next_reference(TODAY) == "UR-2026-018"


def test_letter_is_kept_as_a_scan(curator: User) -> None:
    letter = SimpleUploadedFile("letter.txt", b"Dear colleagues, may we borrow forty boxes?", "text/plain")
    signed_in(curator).post(reverse("usedesk:request-new"), typed(letter=letter))
    scan = UseRequest.objects.get().scan
    assert scan is not None
    assert scan.original_name == "letter.txt"


def test_volunteer_takes_down_but_adds_no_scans() -> None:
    """Who may not add scans gets no box for one."""
    client = signed_in(register.person(Role.VOLUNTEER))
    assert b'name="letter"' not in client.get(reverse("usedesk:request-new")).content
    assert client.post(reverse("usedesk:request-new"), typed()).status_code == 302


def test_refused_file_is_told_beside_its_box(curator: User) -> None:
    letter = SimpleUploadedFile("letter.exe", b"MZ\x90\x00" + bytes(60), "application/octet-stream")
    answer = signed_in(curator).post(reverse("usedesk:request-new"), typed(letter=letter))
    assert answer.status_code == 422
    assert 'href="#id_letter"' in answer.content.decode()
    assert not UseRequest.objects.exists()


def test_day_to_come_is_refused(curator: User) -> None:
    tomorrow = timezone.localdate() + timedelta(1)
    with pytest.raises(ValidationError, match="still to come"):
        actions.add_request(
            values={"reference": "A", "title": "B", "uses": 1, "asked_on": tomorrow, "recipient": None}, by=curator
        )


# Corrected ------------------------------------------------------------------------------------------------------------

FACTS: dict[str, Any] = {
    "uses": 1, "country": "NO", "commercial": "yes", "identification_only": "yes", "parts": "leg",
    "asked_on": date(2026, 11, 19),
}  # fmt: skip


@pytest.mark.parametrize("name", [*FACTS, "recipient"])
def test_facts_under_a_decision_stand(name: str, curator: User, registrar: User) -> None:
    """What a decision rests on is not changed under it; withdrawn, the same change goes through."""
    request = usedesk.use_request(Use.LOAN_ABROAD, specimens=[register.specimen()])
    decision = decided(request, registrar)
    values = {name: FACTS[name] if name in FACTS else usedesk.recipient()}
    with pytest.raises(DeskError, match="1 decision stands"):
        actions.edit_request(request=request, values=values, by=curator, why="told otherwise")
    request.items.update(decision=None)
    decision.withdrawn_at, decision.withdrawn_by = timezone.now(), registrar
    decision.save()
    assert actions.edit_request(request=request, values=values, by=curator, why="told otherwise") == [name]


def test_title_and_days_change_at_any_time(curator: User, registrar: User) -> None:
    request = usedesk.use_request(specimens=[register.specimen()])
    decided(request, registrar)
    values = {"title": "Mayflies", "answer_by": date(2026, 12, 7), "purpose": "A key to larvae"}
    assert set(actions.edit_request(request=request, values=values, by=curator, why="told")) == set(values)


def test_new_recipient_under_a_decision_is_refused_whole(curator: User, registrar: User) -> None:
    request = usedesk.use_request(specimens=[register.specimen()])
    decided(request, registrar)
    with pytest.raises(DeskError):
        actions.edit_request(request=request, values={}, new_recipient={"name": "New"}, by=curator, why="x")
    assert not Recipient.objects.exists()


def test_edit_form_shows_what_stands(curator: User) -> None:
    request = usedesk.use_request(Use.SEQUENCING, recipient=usedesk.recipient(name="Lake House"), country="IS")
    text = signed_in(curator).get(reverse("usedesk:request-edit", args=[request.pk])).content.decode()
    assert 'value="Iceland (IS)"' in text
    assert f'<option value="{request.recipient_id}" selected>' in text
    assert f'name="uses" value="{int(Use.SEQUENCING)}"' in text


def test_closed_request_is_not_changed(curator: User) -> None:
    request = usedesk.use_request()
    actions.close_request(request=request, by=curator, why="withdrawn by the asker")
    with pytest.raises(DeskError, match="is closed"):
        actions.edit_request(request=request, values={"title": "Other"}, by=curator, why="x")
    with pytest.raises(DeskError, match="is closed"):
        actions.close_request(request=request, by=curator, why="again")
    actions.reopen_request(request=request, by=curator, why="asked again")
    assert UseRequest.objects.get().closed_why == ""
    with pytest.raises(DeskError, match="is open"):
        actions.reopen_request(request=request, by=curator, why="again")


def test_only_an_answer_that_was_given_is_taken_back(curator: User) -> None:
    request = usedesk.use_request()
    with pytest.raises(DeskError, match="is not answered"):
        actions.take_answer_back(request=request, by=curator, why="a paper was overlooked")
    assert request.history.count() == UseRequest.history.filter(id=request.pk, history_type="+").count()


@pytest.mark.parametrize("act", [actions.close_request, actions.reopen_request, actions.take_answer_back])
def test_steps_want_a_reason(act: Any, curator: User) -> None:
    with pytest.raises(DeskError, match="Say why"):
        act(request=usedesk.use_request(), by=curator, why="  ")


# Answered -------------------------------------------------------------------------------------------------------------


def test_answered_only_when_all_is_decided(curator: User, registrar: User) -> None:
    request = usedesk.use_request()
    with pytest.raises(DeskError, match="No specimen"):
        actions.answer_request(request=request, by=curator)
    RequestItem.objects.create(request=request, specimen=register.specimen(), added_by=curator)
    RequestItem.objects.create(request=request, specimen=register.specimen(), added_by=curator)
    with pytest.raises(DeskError, match="2 specimens are not decided yet"):
        actions.answer_request(request=request, by=curator)
    decided(request, registrar)
    actions.answer_request(request=request, by=curator)
    with pytest.raises(DeskError, match="is answered"):
        actions.answer_request(request=request, by=curator)
    actions.take_answer_back(request=request, by=curator, why="a paper was overlooked")
    assert UseRequest.objects.get().answered_at is None


def test_answer_page_says_how_many_are_not_decided(curator: User) -> None:
    request = usedesk.use_request(specimens=[register.specimen()])
    text = signed_in(curator).get(reverse("usedesk:request-answer", args=[request.pk])).content.decode()
    assert "1 specimen is not decided yet." in text
    assert "It was answered" not in text


# The list -------------------------------------------------------------------------------------------------------------


def lines(wanted: Wanted | None = None) -> list[tuple[str, str]]:
    found = [line_of(one, TODAY) for one in use_requests(wanted or Wanted(), TODAY)]
    return [(line.request.reference, line.state.value) for line in found]


@pytest.fixture
def five(curator: User, registrar: User) -> None:
    """A request in each state. Days to answer by: D passed, B and C to come, A none."""
    usedesk.use_request(reference="A")
    waiting = usedesk.use_request(reference="B", specimens=[register.specimen()], answer_by=date(2026, 12, 9))
    ProviderQuestion.objects.create(
        request=waiting, paper=register.paper(), uses=4, asked_of="Directorate", asked_on=TODAY, recorded_by=curator
    )
    usedesk.use_request(reference="C", specimens=[register.specimen()], answer_by=date(2026, 12, 1))
    usedesk.use_request(reference="D", specimens=[register.specimen()], answer_by=date(2026, 11, 25))
    answered = usedesk.use_request(reference="E", specimens=[register.specimen()], answer_by=date(2026, 11, 1))
    decided(answered, registrar)
    actions.answer_request(request=answered, by=curator)
    closed = usedesk.use_request(reference="F")
    actions.close_request(request=closed, by=curator, why="withdrawn")


def test_what_is_late_stands_first(five: None) -> None:
    """Late, then open by day, then without a day, then answered, then closed."""
    assert lines() == [
        ("D", State.TO_DECIDE), ("C", State.TO_DECIDE), ("B", State.WAITING), ("A", State.TAKING_DOWN),
        ("E", State.ANSWERED), ("F", State.CLOSED),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("state", "found"),
    [
        ("open", {"A", "B", "C", "D"}), ("taking-down", {"A"}), ("waiting", {"B"}), ("to-decide", {"C", "D"}),
        ("answered", {"E"}), ("closed", {"F"}),
    ],
)  # fmt: skip
def test_narrowed_to_a_state(state: str, found: set[str], five: None) -> None:
    """What the filter says is what the line says."""
    got = lines(Wanted(state=state))
    assert {name for name, _ in got} == found
    assert state == "open" or {word for _, word in got} == {state}


def test_only_the_late_ones(five: None) -> None:
    """An answered one is late no longer, whatever its day."""
    assert [name for name, _ in lines(Wanted(late=True))] == ["D"]


def test_narrowed_by_use_recipient_country_and_words() -> None:
    lake = usedesk.recipient(name="Lake House")
    usedesk.use_request(Use.SEQUENCING, Use.IMAGING, reference="A", recipient=lake, country="NO")
    usedesk.use_request(Use.LOAN_AT_HOME, reference="B", country="IS", title="Mayflies of the north")
    assert lines(Wanted(use=str(int(Use.IMAGING))))[0][0] == "A"
    assert [name for name, _ in lines(Wanted(recipient=str(lake.pk)))] == ["A"]
    assert [name for name, _ in lines(Wanted(country="IS"))] == ["B"]
    assert [name for name, _ in lines(Wanted(q="mayflies north"))] == ["B"]
    assert [name for name, _ in lines(Wanted(q="lake"))] == ["A"]


@pytest.mark.parametrize("sort", ["reference", "title", "recipient", "asked", "by", "specimens"])
def test_ordered_both_ways(sort: str) -> None:
    """Each column turns round; what it lacks stands last both ways."""
    for number, recipient in (("A", "X"), ("B", "Y")):
        usedesk.use_request(
            reference=number, title=number, recipient=usedesk.recipient(name=recipient),
            asked_on=date(2026, 11, 1 if number == "A" else 2), answer_by=date(2026, 12, 1 if number == "A" else 2),
            specimens=[register.specimen() for _ in range(1 if number == "A" else 2)],
        )  # fmt: skip
    assert [name for name, _ in lines(Wanted(sort=sort))] == ["A", "B"]
    assert [name for name, _ in lines(Wanted(sort=f"-{sort}"))] == ["B", "A"]


def test_filter_that_makes_no_sense_shows_all(five: None, curator: User) -> None:
    """Never an error: a hand-written address narrows nothing."""
    path = reverse("usedesk:requests") + "?state=none&use=99&recipient=x&country=QQ&sort=up&page=zz"
    answer = signed_in(curator).get(path)
    assert answer.status_code == 200
    assert len(answer.context["lines"]) == 6


def test_list_says_what_is_open(five: None, curator: User) -> None:
    text = signed_in(curator).get(reverse("usedesk:requests")).content.decode()
    assert "4 requests want an answer." in text


def test_empty_list_leads_on(curator: User) -> None:
    text = signed_in(curator).get(reverse("usedesk:requests")).content.decode()
    assert "No request yet" in text
    assert reverse("usedesk:request-new") in text


def test_list_as_csv(five: None, curator: User) -> None:
    answer = signed_in(curator).get(reverse("usedesk:requests-csv") + "?state=closed")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    (row,) = csv.DictReader(io.StringIO(text))
    assert (row["request"], row["state"], row["closed because"]) == ("F", "closed", "withdrawn")
    assert row["uses"] == "loan-abroad"


def test_queries_of_the_list(curator: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """The same for two requests as for thirty: session, user, filters (2), counts (1), pages (1), rows (1)."""
    client = signed_in(curator)
    for _ in range(30):
        usedesk.use_request(recipient=usedesk.recipient(), specimens=[register.specimen()])
    client.get(reverse("usedesk:requests"))
    with django_assert_num_queries(7):
        client.get(reverse("usedesk:requests"))


# Recipients -----------------------------------------------------------------------------------------------------------


def test_recipient_is_entered_and_corrected(curator: User) -> None:
    client = signed_in(curator)
    client.post(reverse("usedesk:recipient-new"), {"name": "Lake House", "country": "IS", "kind": "0"})
    found = Recipient.objects.get()
    client.post(
        reverse("usedesk:recipient-edit", args=[found.pk]),
        {"name": "Lake House", "country": "IS", "kind": "2", "cites_code": "is 004", "why": "it is a company"},
    )
    found.refresh_from_db()
    assert (found.kind, found.cites_code) == (2, "IS 004")
    text = client.get(reverse("usedesk:recipient", args=[found.pk])).content.decode()
    assert "as far as told: nobody looked it up" in text


def test_kind_under_a_decision_stands(curator: User, registrar: User) -> None:
    """A clause may allow public institutions alone: what was decided for one is not left standing for a company."""
    lake = usedesk.recipient(kind=0)
    request = usedesk.use_request(recipient=lake, specimens=[register.specimen()], reference="UR-7")
    decided(request, registrar)
    with pytest.raises(DeskError, match="UR-7"):
        recipient_actions.edit_recipient(recipient=lake, values={"kind": 2}, by=curator, why="it is a company")
    assert recipient_actions.edit_recipient(recipient=lake, values={"address": "Quay 1"}, by=curator, why="x") == [
        "address"
    ]
    actions.close_request(request=request, by=curator, why="over")
    assert recipient_actions.edit_recipient(recipient=lake, values={"kind": 2}, by=curator, why="x") == ["kind"]


def test_queries_of_a_recipient(curator: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Session, user, recipient, pages, rows, history."""
    lake = usedesk.recipient()
    for _ in range(5):
        usedesk.use_request(recipient=lake, specimens=[register.specimen()])
    client = signed_in(curator)
    with django_assert_num_queries(6):
        client.get(reverse("usedesk:recipient", args=[lake.pk]))


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_only_reads_takes_nothing_down(role: str) -> None:
    person, request = register.person(role), usedesk.use_request()
    values = {"reference": "Z", "title": "Z", "uses": 1, "asked_on": TODAY}
    with pytest.raises(NotAllowedError):
        actions.add_request(values=values, by=person)
    with pytest.raises(NotAllowedError):
        actions.edit_request(request=request, values={"title": "Z"}, by=person, why="x")
    for act in (actions.close_request, actions.reopen_request, actions.answer_request, actions.take_answer_back):
        with pytest.raises(NotAllowedError):
            act(request=request, by=person, why="x")
    with pytest.raises(NotAllowedError):
        recipient_actions.add_recipient(values={"name": "Z"}, by=person)
