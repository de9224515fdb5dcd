"""The list of duties: states against the rule of the engine, filters, what is hidden, files, and how many queries."""

from __future__ import annotations

import csv
import io
import itertools
from datetime import date, timedelta
from typing import Any

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.duties.models import Duty
from governance.duties.queries.listing import Wanted, counts, duties, lines, open_duties, with_state
from governance.duties.queries.today import duties_panel, panel_of_paper
from governance.engine.duties import State, state_of
from tests.factories import duties as made
from tests.factories import register

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
DAYS = (None, -400, -1, 0, 1, 29, 30, 31)
"""Days from today: the day before, the day, the day after; the last day that counts as due, and the next."""


def combined() -> list[dict[str, Any]]:
    """Every combination that the register holds: what was done cannot be waived, what is accepted was done."""
    by, at = register.person(Role.REGISTRAR), timezone.now()
    done = {"done_on": TODAY, "done_how": "sent", "done_at": at, "done_by": by}
    accepted = done | {"accepted_on": TODAY, "accepted_how": "letter", "accepted_at": at, "accepted_by": by}
    waived = {"waived_on": TODAY, "waived_why": "letter", "waived_at": at, "waived_by": by}
    dropped: dict[str, Any] = {"dropped_on": TODAY, "dropped_why": "the rule ended"}
    found: list[dict[str, Any]] = []
    for days, became, gone in itertools.product(DAYS, ({}, done, accepted, waived), ({}, dropped)):
        found.append({"due_on": None if days is None else TODAY + timedelta(days), **became, **gone})
    return found


@pytest.mark.parametrize("ahead", [0, 30])
def test_the_database_tells_states_as_the_engine_does(ahead: int) -> None:
    for values in combined():
        made.duty(**values)
    rows: list[Any] = list(with_state(Duty.objects.all(), TODAY, ahead))
    assert len(rows) == len(DAYS) * 4 * 2
    for row in rows:
        expected = state_of(
            row.due_on, today=TODAY, ahead_days=ahead, done=row.done_on is not None,
            accepted=row.accepted_on is not None, waived=row.waived_on is not None, dropped=row.dropped_on is not None,
        )  # fmt: skip
        assert row.state == expected, (row.due_on, row.done_on, row.accepted_on, row.waived_on, row.dropped_on)
    opened = {State.LATE, State.DUE, State.COMING, State.DAY_NOT_KNOWN}
    assert {row.pk for row in open_duties(TODAY, ahead)} == {row.pk for row in rows if row.state in opened}
    reader = register.person(Role.AUDITOR)
    told = counts(Wanted(), reader, TODAY, ahead)
    assert told == {state: sum(row.state == state for row in rows) for state in State}


def named(wanted: Wanted, reader: Any) -> list[str]:
    return [duty.what for duty in duties(wanted, reader, TODAY)]


def test_filters_and_order() -> None:
    """By country also where the paper names a province ("GE-TB", ISO 3166-2), and by that of a promise."""
    anna = register.person(Role.REGISTRAR)
    paper = register.paper(jurisdiction="GE-TB")
    promise = made.promise(country="GE")
    made.duty(what="report", paper=paper, due_on=TODAY, assignee=anna)
    made.duty(what="benefit", kind="benefit", promise=promise, due_on=TODAY - timedelta(1))
    made.duty(what="payment", kind="payment", due_on=None, to_whom="Office of Nazvri")
    made.done_duty(what="sent", due_on=date(2026, 2, 1), label="LMN-2024-038")
    made.duty(what="gabon", paper=register.paper("X-1", jurisdiction="GA"), due_on=date(2026, 12, 24))
    assert named(Wanted(), anna) == ["benefit", "report", "gabon", "payment"]
    assert named(Wanted(sort="-due"), anna) == ["gabon", "report", "benefit", "payment"]
    assert named(Wanted(state="all", sort="state"), anna) == ["benefit", "report", "gabon", "payment", "sent"]
    assert named(Wanted(country="GE"), anna) == ["benefit", "report"]
    assert named(Wanted(kind="payment"), anna) == named(Wanted(q="office nazvri"), anna) == ["payment"]
    assert named(Wanted(paper=str(paper.pk)), anna) == named(Wanted(who="me"), anna) == ["report"]
    assert named(Wanted(who="nobody"), anna) == ["benefit", "gabon", "payment"]
    assert named(Wanted(q="lmn-2024-038", state="done"), anna) == ["sent"]
    assert named(Wanted(month=date(2026, 12, 1)), anna) == ["gabon"]
    assert named(Wanted(on=TODAY), anna) == ["report"]


@pytest.fixture
def closed() -> Duty:
    """A duty of a paper that is open to registrars alone."""
    paper = register.paper(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="names of owners")
    return made.duty(
        paper=paper, what="Zzwhat", to_whom="Zzwhom", note="Zznote", due_on=TODAY, moved_why="Zzmoved",
        because={"code": "after-issue", "values": {"day": "2026-11-01", "number": 25, "unit": "days"}},
    )  # fmt: skip


def test_words_of_a_closed_paper_stay_hidden_and_are_not_found(closed: Duty) -> None:
    """That something is to be done, of which kind and by when, everybody sees."""
    curator, registrar = register.person(Role.CURATOR), register.person(Role.REGISTRAR)
    (line,) = lines(list(duties(Wanted(), curator, TODAY)), curator)
    assert (line.what, line.to_whom) == ("Send a report", "")
    assert line.hidden.startswith("Restricted: open to registrars.")
    for word in ("Zzwhat", "Zzwhom", "Zznote"):
        assert named(Wanted(q=word), curator) == []
        assert named(Wanted(q=word), registrar) == ["Zzwhat"]


@pytest.mark.parametrize("role", [Role.CURATOR, Role.REGISTRAR])
def test_pages_and_files_of_a_closed_paper(client: Client, closed: Duty, role: str) -> None:
    """The registrar meets the words, so that the other half of the test can fail."""
    client.force_login(register.person(role))
    read = "".join(
        client.get(path).content.decode()
        for path in (
            reverse("duties:duties"), reverse("duties:duty", args=[closed.pk]), reverse("verdicts:today"),
            reverse("duties:calendar") + "?month=2026-11", reverse("papers:paper", args=[closed.paper_id]),
            reverse("duties:duties-done") + f"?pick={closed.pk}",
        )
    )  # fmt: skip
    read += "".join(map(str, rows_of_csv(client)))
    words = {word: word in read for word in ("Zzwhat", "Zzwhom", "Zznote", "Zzmoved", "25 days after")}
    assert words == dict.fromkeys(words, role == Role.REGISTRAR)
    assert closed.paper is not None
    assert closed.paper.reference in read


def rows_of_csv(client: Client, query: str = "") -> list[list[str]]:
    answer = client.get(reverse("duties:duties-export", args=["csv"]) + query)
    text = b"".join(answer).decode("utf-8-sig")  # type: ignore[call-overload]  # it is streamed
    return list(csv.reader(io.StringIO(text)))


def test_files_hold_what_the_list_shows(client: Client) -> None:
    """Read by csv and openpyxl; days as days. 26 November 2026 to 31 January 2027: 4 + 31 + 31 days."""
    client.force_login(register.person(Role.REGISTRAR))
    made.duty(what="=formula", paper=register.paper(), due_on=date(2027, 1, 31))
    made.done_duty(is_nil=True, due_on=date(2026, 1, 31))
    head, row = rows_of_csv(client)
    told = dict(zip(head, row, strict=True))
    assert told["what"] == "'=formula"
    assert told["due on"] == "2027-01-31"
    left = (date(2027, 1, 31) - timezone.localdate()).days
    assert (told["state"], told["days left"]) == ("Coming" if left > 30 else "Due", str(left))
    answer = client.get(reverse("duties:duties-export", args=["xlsx"]) + "?state=done")
    sheet = openpyxl.load_workbook(io.BytesIO(b"".join(answer))).active  # type: ignore[call-overload]
    assert sheet is not None
    names, values = ([cell.value for cell in line] for line in sheet.iter_rows())
    kept = dict(zip(names, values, strict=True))
    assert kept["done on"].date() == date(2027, 1, 20)
    assert (kept["nil return"], kept["how done"]) == ("yes", "sent by letter, copy in the file")
    assert client.get(reverse("duties:duties-export", args=["pdf"])).status_code == 404


def test_page_says_the_answer_first(client: Client) -> None:
    """Counts are whole, whatever the filter; a filter that makes no sense narrows nothing."""
    client.force_login(register.person(Role.CURATOR))
    today = timezone.localdate()
    for days in (-9, -1, 0, 30, 31):
        made.duty(due_on=today + timedelta(days))
    made.duty(due_on=None)
    page = client.get(reverse("duties:duties") + "?kind=payment&who=x&paper=abc&state=y&on=z").content.decode()
    assert "2 duties are late</b>, 2 are due within 30 days. Of 1 the day is not known." in " ".join(page.split())
    assert "No duty is like that" in page
    page = client.get(reverse("duties:duties")).content.decode()
    for words in ("9 days late", "1 day late", "today", "in 30 days", "in 31 days", "not known"):
        assert words in page


def test_queries_do_not_grow(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    client.force_login(register.person(Role.REGISTRAR))
    for number in range(30):
        paper = register.paper(f"P-{number}", jurisdiction="GE")
        made.duty(paper=paper, due_on=TODAY + timedelta(number), assignee=register.person(Role.CURATOR))
        if number in (2, 29):
            with django_assert_num_queries(12):
                client.get(reverse("duties:duties") + "?size=100")
            with django_assert_num_queries(6):
                client.get(reverse("duties:calendar") + "?month=2026-12")


class TestPanels:
    """On the page of the day and on the page of a paper."""

    def test_late_before_next_and_whole_counts(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        reader = register.person(Role.VOLUNTEER)
        for days in (40, 5, -1, -2, -3, -4, -5, -6):
            made.duty(what=str(days), due_on=TODAY + timedelta(days))
        made.duty(due_on=None)
        with django_assert_num_queries(3):
            panel = duties_panel(TODAY, reader)
        assert [line.what for line in panel.lines] == ["-6", "-5", "-4", "-3", "-2"]
        numbers = panel.numbers
        assert (numbers.open, numbers.late, numbers.due, numbers.unknown, panel.more) == (9, 6, 1, 1, 4)

    def test_no_panel_where_nothing_is_open(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        reader = register.person(Role.VOLUNTEER)
        made.done_duty()
        with django_assert_num_queries(2):
            assert not duties_panel(TODAY, reader).lines

    def test_of_one_paper_alone(self) -> None:
        paper = register.paper()
        made.duty(paper=paper, what="its own", due_on=TODAY)
        made.duty(paper=register.paper("X-1"), due_on=TODAY)
        panel = panel_of_paper(paper, TODAY, register.person(Role.VOLUNTEER))
        assert [line.what for line in panel.lines] == ["its own"]

    def test_late_duties_stay_on_today(self, client: Client) -> None:
        """However old, and whoever looks."""
        made.duty(what="Send the old report", due_on=date(1999, 1, 31))
        for role in Role:
            client.force_login(register.person(role))
            page = client.get(reverse("verdicts:today")).content.decode()
            assert "Send the old report" in page
            assert "1 late duty" in page


class TestCalendar:
    """A month as weeks from Monday to Sunday."""

    def test_weeks_days_and_counts(self, client: Client) -> None:
        """ISO 8601: 1 November 2026 is a Sunday, so its week begins on 26 October; 30 November is a Monday."""
        client.force_login(register.person(Role.CURATOR))
        for number in range(6):
            made.duty(what=f"Duty {number}", due_on=date(2026, 11, 26))
        made.duty(what="Beside", due_on=date(2026, 10, 26))
        answer = client.get(reverse("duties:calendar") + "?month=2026-11")
        month = answer.context["month"]
        assert (month.weeks[0][0].day, month.weeks[-1][-1].day) == (date(2026, 10, 26), date(2026, 12, 6))
        assert month.count == 6
        day = next(day for week in month.weeks for day in week if day.day == date(2026, 11, 26))
        assert ([line.what for line in day.lines], day.more) == ([f"Duty {n}" for n in range(4)], 2)
        page = answer.content.decode()
        assert "Beside" in page
        assert "?month=2026-10" in page
        assert "?month=2026-12" in page
        listed = client.get(reverse("duties:calendar") + "?month=2026-11&as=list").content.decode()
        assert "2 more on this day" in listed
        assert "Beside" not in listed

    def test_mine_alone(self, client: Client) -> None:
        me = register.person(Role.CURATOR)
        client.force_login(me)
        made.duty(what="Mine", due_on=date(2026, 11, 3), assignee=me)
        made.duty(what="Of others", due_on=date(2026, 11, 3))
        page = client.get(reverse("duties:calendar") + "?month=2026-11&who=me").content.decode()
        assert "Mine" in page
        assert "Of others" not in page

    @pytest.mark.parametrize("month", ["", "2026-13", "x", "99999-01", "0000-01", "2026-11-26", "-5-1"])
    def test_a_month_that_makes_no_sense_is_this_month(self, client: Client, month: str) -> None:
        client.force_login(register.person(Role.CURATOR))
        answer = client.get(reverse("duties:calendar"), {"month": month})
        assert answer.status_code == 200
        assert answer.context["month"].first == timezone.localdate().replace(day=1)

    @pytest.mark.parametrize("month", ["0001-01", "9999-12"])
    def test_the_ends_of_time(self, client: Client, month: str) -> None:
        client.force_login(register.person(Role.CURATOR))
        assert client.get(reverse("duties:calendar"), {"month": month}).status_code == 200


@pytest.mark.parametrize(("role", "sees"), [(Role.REGISTRAR, True), (Role.VOLUNTEER, False)])
def test_ways_to_a_rule_and_a_promise_stand_by_right(client: Client, role: Role, sees: bool) -> None:
    """Whoever may keep duties enters what a paper asks for from its page."""
    paper = register.paper("ABS-7")
    client.force_login(register.person(role))
    page = client.get(reverse("papers:paper", args=[paper.pk])).content.decode()
    for name in ("rule-new", "promise-new"):
        assert (f"{reverse(f'duties:{name}')}?paper={paper.pk}" in page) is sees


def test_what_is_done_is_seen_to_by_nobody_any_longer(client: Client) -> None:
    """Nobody was named: of an open duty that is said, of a done one it says nothing."""
    client.force_login(register.person(Role.REGISTRAR))
    for one, is_told in ((made.duty(what="Open list"), True), (made.done_duty(what="Sent list"), False)):
        page = client.get(reverse("duties:duty", args=[one.pk])).content.decode()
        listed = client.get(f"{reverse('duties:duties')}?state=all&q={one.what}").content.decode()
        assert ("nobody" in page) is is_told
        assert ("nobody" in listed.split("<tbody>")[1].split("</tbody>")[0]) is is_told
