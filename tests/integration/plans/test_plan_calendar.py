"""The calendar of a plan, read by an independent library (vobject) and held against RFC 5545 line by line."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import vobject
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import Condition, Paper
from governance.plans.calendar import calendar_file
from governance.plans.models import FieldPlan
from governance.plans.queries.deadlines import Deadline, PlanCalendar, report_days
from tests.factories import plans, register

pytestmark = pytest.mark.django_db

DAY = date(2026, 11, 26)
NOW = datetime(2026, 11, 26, 9, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


def taken(client: Client, plan: FieldPlan) -> bytes:
    answer = client.get(reverse("plans:plan-calendar", args=[plan.pk]))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert 'filename="fp-2027-03.ics"' in answer["Content-Disposition"]
    return bytes(answer.content)


def events(data: bytes) -> dict[str, Any]:
    """By the part of the identifier before the @, as vobject reads the file."""
    calendar = vobject.readOne(data.decode())
    return {event.uid.value.partition("@")[0]: event for event in calendar.contents.get("vevent", [])}


def trip(**values: Any) -> FieldPlan:
    """Two stops of June 2027 in Georgia; export on 11 June needs a permit 150 days before."""
    sheet = register.sheet("GE", authority="Nazvri Directorate", contact="Permit desk")
    register.rule(sheet, Layer.EXPORT, lead_days=150)
    plan = plans.field_plan(**{"reference": "FP-2027-03", "title": "Nazvri headwaters", **values})
    plans.way_home(plan, from_country="GE", to_country="SE", exported_on="2027-06-11", imported_on="2027-06")
    plans.stop(plan, name="Weir, upper; left bank", country="GE")
    plans.stop(plan, name="Lake", country="GE", position=1, first_on=None, last_on=None)
    return plan


def used_paper(plan: FieldPlan, last: str = "2027-06-30", **values: Any) -> Paper:
    """A permit in force on the days of the plan, linked to it."""
    paper = register.paper("COL-2027-011", (Layer.COLLECTING,), **values)
    register.version(paper, "2027-01-01", last)
    plans.attach(plan, paper, register.person(Role.REGISTRAR))
    return paper


class TestDays:
    """Every matter with its day."""

    def test_start_by_is_a_whole_day_with_an_alarm_two_weeks_before(self, curator: Client) -> None:
        """Hand: 150 days before 11 June 2027 is 12 January 2027."""
        plan = trip()
        found = events(taken(curator, plan))
        start = found[f"plan-{plan.pk}-need-export-GE"]
        assert start.dtstart.value == date(2027, 1, 12)
        assert start.dtend.value == date(2027, 1, 13), "RFC 5545, 3.6.1: the end of whole days is not included"
        assert start.dtstart.params == {"VALUE": ["DATE"]}
        assert start.valarm.trigger.value == timedelta(days=-14)
        assert start.valarm.action.value == "DISPLAY"
        assert start.summary.value == "FP-2027-03: Last day to start: Export"
        assert "Nazvri Directorate" in start.description.value

    def test_one_entry_for_stops_of_different_verdicts(self, curator: Client) -> None:
        """A paper that is not read yet is linked to the lake alone: one cell cannot tell, the other has no paper."""
        plan = trip()
        unread = register.paper("EXP-1", (Layer.EXPORT,))
        plans.attach(plan, unread, register.person(Role.REGISTRAR), stop=plan.stops.get(name="Lake"))
        start = events(taken(curator, plan))[f"plan-{plan.pk}-need-export-GE"]
        assert start.dtstart.value == date(2027, 1, 12)
        told = start.description.value.splitlines()
        assert {"Cannot tell: Lake", "No paper on file: Weir, upper; left bank"} <= set(told)

    def test_stops_and_ways_home(self, curator: Client) -> None:
        plan = trip()
        found = events(taken(curator, plan))
        weir, lake = plan.stops.all()
        stop = found[f"plan-{plan.pk}-stop-{weir.pk}"]
        assert (stop.dtstart.value, stop.dtend.value) == (date(2027, 6, 3), date(2027, 6, 6))
        assert stop.summary.value == "FP-2027-03: 1. Weir, upper; left bank"
        assert f"plan-{plan.pk}-stop-{lake.pk}" not in found, "its days are not fixed"
        home = plan.consignments.get().pk
        leaves, arrives = (found[f"plan-{plan.pk}-home-{home}-{word}"] for word in ("exported", "imported"))
        assert (leaves.dtstart.value, leaves.dtend.value) == (date(2027, 6, 11), date(2027, 6, 12))
        assert (arrives.dtstart.value, arrives.dtend.value) == (date(2027, 6, 1), date(2027, 7, 1)), "some day of June"

    def test_applications(self, curator: Client) -> None:
        plan = trip()
        wish = plans.application(plan, start_by=date(2027, 1, 5))
        asked = plans.application(plan, asked_on=date(2026, 11, 2), promised_on=date(2027, 2, 1), start_by=DAY)
        refused = plans.application(plan, asked_on=date(2026, 11, 2), refused_on=date(2026, 11, 9), start_by=DAY)
        found = events(taken(curator, plan))
        days = {
            key.removeprefix(f"plan-{plan.pk}-application-"): event.dtstart.value
            for key, event in found.items() if "-application-" in key
        }  # fmt: skip
        assert days == {
            f"{wish.pk}-ask": date(2027, 1, 5), f"{asked.pk}-asked": date(2026, 11, 2),
            f"{asked.pk}-promised": date(2027, 2, 1), f"{refused.pk}-asked": date(2026, 11, 2),
        }  # fmt: skip
        assert f"plan-{plan.pk}-need-export-GE" not in found, "the application says its own day"

    def test_an_application_for_one_stop_leaves_the_day_of_the_others(self, curator: Client) -> None:
        plan = trip()
        made = plans.application(plan, all_stops=False, start_by=date(2027, 1, 5))
        made.application_stops.create(stop=plan.stops.get(name="Lake"))
        assert f"plan-{plan.pk}-need-export-GE" in events(taken(curator, plan))

    def test_papers_in_use_end_and_ask_for_reports(self, curator: Client) -> None:
        """A report is due on 31 January of each year: before the trip in 2027, after it in 2028."""
        plan = trip()
        paper = used_paper(plan)
        condition = Condition.objects.create(version=paper.versions.get(), text="Report each year.", report_by="01-31")
        found = events(taken(curator, plan))
        assert found[f"plan-{plan.pk}-paper-{paper.pk}-end"].dtstart.value == date(2027, 6, 30)
        reports = {key: event.dtstart.value for key, event in found.items() if "-report-" in key}
        assert reports == {
            f"plan-{plan.pk}-report-{condition.pk}-2027": date(2027, 1, 31),
            f"plan-{plan.pk}-report-{condition.pk}-2028": date(2028, 1, 31),
        }

    def test_a_restricted_paper_shows_its_end_and_nothing_that_it_says(self, curator: Client) -> None:
        plan = trip()
        paper = used_paper(
            plan, restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="names of owners", issuer="Secret Office"
        )
        Condition.objects.create(version=paper.versions.get(), text="Tell the warden.", report_by="01-31")
        data = taken(curator, plan)
        found = events(data)
        assert f"plan-{plan.pk}-paper-{paper.pk}-end" in found
        assert not any("-report-" in key for key in found)
        text = data.replace(b"\r\n ", b"").decode()
        assert "Days that restricted papers set are not in it: COL-2027-011." in text
        assert "Secret Office" not in text
        assert "warden" not in text


@pytest.mark.parametrize(
    ("month_day", "today", "after", "expected"),
    [
        ("01-31", date(2026, 11, 26), date(2027, 6, 5), [date(2027, 1, 31), date(2028, 1, 31)]),
        ("12-31", date(2026, 11, 26), date(2026, 11, 30), [date(2026, 12, 31)]),
        ("11-26", date(2026, 11, 26), date(2026, 11, 26), [date(2026, 11, 26), date(2027, 11, 26)]),
        ("02-29", date(2026, 11, 26), date(2027, 3, 1), [date(2027, 2, 28), date(2028, 2, 29)]),
        ("02-30", date(2026, 11, 26), date(2026, 12, 1), [date(2027, 2, 28)]),
        ("01-31", date(2026, 1, 31), date(2040, 1, 1), [date(2026, 1, 31), date(2027, 1, 31), date(2028, 1, 31)]),
    ],
)
def test_days_of_reports(month_day: str, today: date, after: date, expected: list[date]) -> None:
    """Each from today to the first after the trip; 2027 is no leap year, 2028 is one."""
    assert report_days(month_day, today, after) == expected


LONG = "Naturreservatets förvaltare; öar, skär och vikar \\ håll 200 m avstånd " * 5
AWKWARD = PlanCalendar(
    (
        Deadline("a", date(2027, 2, 28), LONG, "Line one\nLine two: a, b; c", alarm_days=14, path="/plans/1/"),
        Deadline("b", date(2028, 2, 29), "年次報告書を提出する " * 20, last=date(2028, 3, 1), is_busy=True),
    ),
    ("COL-1",),
)


def made(**values: Any) -> bytes:
    plan = plans.field_plan(reference="FP-1", title="Öar, skär; vikar")
    return calendar_file(plan, AWKWARD, **{"now": NOW, "site": "https://register.example", **values})


class TestForm:
    """RFC 5545, https://www.rfc-editor.org/rfc/rfc5545."""

    def test_lines_end_with_crlf_and_hold_75_octets_at_most(self) -> None:
        """Section 3.1: "Lines of text SHOULD NOT be longer than 75 octets, excluding the line break"."""
        data = made()
        assert data.endswith(b"\r\n")
        lines = data.split(b"\r\n")
        assert not any(b"\n" in line or b"\r" in line for line in lines)
        assert max(map(len, lines)) <= 75
        assert any(line.startswith(b" ") for line in lines), "something was long enough to be folded"
        for line in lines:
            line.decode()  # a character is not torn by the fold

    def test_text_comes_back_as_it_was(self) -> None:
        """Section 3.3.11: backslash, semicolon, comma and new lines are escaped."""
        calendar = vobject.readOne(made().decode())
        first, second = calendar.vevent_list
        assert first.summary.value == f"FP-1: {LONG}"
        assert first.description.value == "Line one\nLine two: a, b; c"
        assert second.summary.value == f"FP-1: {'年次報告書を提出する ' * 20}"
        assert (second.dtstart.value, second.dtend.value) == (date(2028, 2, 29), date(2028, 3, 2))
        assert (first.transp.value, second.transp.value) == ("TRANSPARENT", "OPAQUE")
        assert first.url.value == "https://register.example/plans/1/"

    def test_what_every_calendar_and_entry_must_say(self) -> None:
        """Sections 3.6, 3.6.1 and 3.6.6: PRODID and VERSION; UID and DTSTAMP (UTC) and DTSTART, each once."""
        text = made().replace(b"\r\n ", b"").decode()
        head = text.partition("BEGIN:VEVENT")[0]
        assert "\r\nVERSION:2.0\r\n" in head
        assert "\r\nPRODID:" in head
        entries = text.split("BEGIN:VEVENT\r\n")[1:]
        assert len(entries) == 2
        for entry in entries:
            own = entry.partition("BEGIN:VALARM")[0].split("\r\n")
            for name in ("UID:", "DTSTART;VALUE=DATE:", "DTEND;VALUE=DATE:"):
                assert sum(line.startswith(name) for line in own) == 1, name
            assert own.count("DTSTAMP:20261126T093000Z") == 1
        alarm = entries[0].partition("BEGIN:VALARM\r\n")[2].split("\r\n")
        assert {"ACTION:DISPLAY", "TRIGGER:-P14D"} <= set(alarm)
        assert "VALARM" not in entries[1]

    def test_identifiers_stay(self) -> None:
        """So that a second file replaces the entries of the first (section 3.8.4.7)."""
        plan = plans.field_plan()
        first, second = (
            calendar_file(plan, AWKWARD, now=now, site="https://register.example")
            for now in (NOW, NOW + timedelta(days=9))
        )
        assert set(events(first)) == set(events(second)) == {f"plan-{plan.pk}-a", f"plan-{plan.pk}-b"}
        assert b"@register.example" in first.replace(b"\r\n ", b"")

    def test_no_days_no_entries(self, curator: Client) -> None:
        plan = plans.field_plan(reference="FP-2027-03")
        assert events(taken(curator, plan)) == {}
