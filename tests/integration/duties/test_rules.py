"""Rules of duties: entered with their days shown, corrected, ended; and how the house follows duties."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.duties.actions import rules as actions
from governance.duties.actions.errors import DutyError
from governance.duties.actions.house import set_house
from governance.duties.actions.working_out import work_out
from governance.duties.models import Duty, DutyHouse, DutyRule
from governance.papers.models import Paper
from tests.factories import duties, register

pytestmark = pytest.mark.django_db

CANARY = "Canary clause of the closed agreement"
AFTER_EXPIRY = {"kind": "return", "what": "Send the return", "when": "after-expiry", "number": "30", "unit": "days"}


@pytest.fixture(autouse=True)
def house() -> DutyHouse:
    return duties.duty_house(follow_from=date(2024, 1, 1))


@pytest.fixture
def keeper() -> Any:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def page(client: Client, keeper: Any) -> Client:
    client.force_login(keeper)
    return client


@pytest.fixture
def permit() -> Paper:
    """Valid from 1 May to 30 June 2024: 30 days after its last day is 30 July."""
    paper = register.paper(issued_on=date(2024, 4, 15))
    register.version(paper)
    return paper


def address(name: str, *args: Any) -> str:
    return reverse(f"duties:{name}", args=args)


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def rows_of(page: Client, query: str = "") -> list[dict[str, str]]:
    file = b"".join(page.get(f"{address('rules-export')}?{query}").streaming_content)  # type: ignore[attr-defined]
    return list(csv.DictReader(io.StringIO(file.decode("utf-8-sig"))))


class TestEntering:
    def test_the_days_are_shown_before_anything_is_saved(self, page: Client, permit: Paper) -> None:
        answer = page.post(address("rule-new"), AFTER_EXPIRY | {"paper": permit.reference, "show_days": "1"})
        assert answer.status_code == 200
        assert "30 Jul 2024" in text_of(answer) and "1 would count as late at once" in text_of(answer)
        assert not DutyRule.objects.exists() and not Duty.objects.exists()

    @pytest.mark.parametrize(
        ("values", "words"),
        [
            (AFTER_EXPIRY, "1 more was due before 1 January 2026 and is not followed here."),  # 30 July 2024
            # Asked since 2021: by 31 January 2022, 2023, 2024, 2025, about the year before each.
            ({"kind": "report", "what": "x", "when": "each-year", "month_day": "01-31", "unit": "days", "number": "0",
              "if_nothing": "on"}, "4 more were due before 1 January 2026 and are not followed here."),
        ],
    )  # fmt: skip
    def test_what_was_due_before_is_counted_alone(
        self, page: Client, permit: Paper, values: dict[str, str], words: str
    ) -> None:
        duties.duty_house(follow_from=date(2026, 1, 1))
        if values["when"] == "each-year":
            permit.versions.update(in_force_from=date(2021, 3, 1), in_force_to=None)
        answer = page.post(address("rule-new"), values | {"paper": permit.reference, "show_days": "1"})
        assert words in text_of(answer)
        assert "30 Jul 2024" not in text_of(answer) and "31 Jan 2025" not in text_of(answer)

    def test_its_duties_follow_at_once(self, page: Client, permit: Paper, keeper: Any) -> None:
        """By the middleware: who enters a rule needs no second step."""
        answer = page.post(address("rule-new"), AFTER_EXPIRY | {"paper": permit.reference, "assignee": keeper.pk})
        rule = DutyRule.objects.get()
        assert answer["Location"] == address("rule", rule.pk)
        duty = Duty.objects.get()
        assert (duty.rule, duty.due_on, duty.assignee) == (rule, date(2024, 7, 30), keeper)
        assert "30 days after the last day of validity." in text_of(page.get(address("rule", rule.pk)))

    def test_all_mistakes_at_once(self, page: Client) -> None:
        answer = page.post(address("rule-new"), {"kind": "report", "when": "each-year", "month_day": "02-30",
                           "unit": "days", "paper": "NOT-ON-FILE"})  # fmt: skip
        assert answer.status_code == 422
        assert {"what", "month_day", "paper"} <= set(answer.context["form"].errors)
        assert "no day of the year" in text_of(answer)

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"when": "each-year"}, "month_day"),
            ({"when": "on-a-day"}, "on"),
            ({"when": "after-issue", "number": "30"}, "paper"),  # counted from a paper that is not named
            ({"when": "each-quarter", "number": "4000"}, "number"),  # more than ten years
            ({"when": "each-quarter", "number": "-1"}, "number"),
        ],
    )
    def test_what_a_way_of_counting_needs(self, page: Client, values: dict[str, str], field: str) -> None:
        given = {"kind": "report", "what": "x", "unit": "days"} | values
        answer = page.post(address("rule-new"), given)
        assert list(answer.context["form"].errors) == [field]

    def test_what_another_way_of_counting_left_is_not_kept(self, page: Client, permit: Paper) -> None:
        """Somebody chose a day each year, then another way; the boxes of the first stand filled."""
        page.post(address("rule-new"), AFTER_EXPIRY | {"paper": permit.reference, "month_day": "01-31",
                  "on": "2026-01-01", "about": "year-before", "deeds": ["loan"]})  # fmt: skip
        rule = DutyRule.objects.get()
        assert (rule.month_day, rule.on, rule.about, rule.deeds) == ("", None, "", [])

    def test_boxes_that_the_page_hides_are_not_sent(self, page: Client, permit: Paper) -> None:
        """A day each year has no unit: the page's script leaves that box out."""
        sent = {"kind": "report", "what": "Send the report", "when": "each-year", "month_day": "01-31"}
        page.post(address("rule-new"), sent | {"paper": permit.reference, "if_nothing": "on"})
        rule = DutyRule.objects.get()
        assert (rule.month_day, rule.unit, rule.if_nothing) == ("01-31", "days", True)

    def test_boxes_stand_with_the_ways_they_belong_to(self, page: Client) -> None:
        """Each box once; of a duty once by a day the script shows its day, and nothing else of a way of counting."""
        parts = page.get(address("rule-new")).context["form"].groups
        names = [field.name for part in parts for field in part.fields]
        assert len(names) == len(set(names))
        of_a_way = {name: part.whens.split() for part in parts for name in [part.key] if part.whens}
        assert [key for key, whens in of_a_way.items() if "on-a-day" in whens] == ["once"]
        assert [key for key, whens in of_a_way.items() if "after-use" in whens] == ["counted", "uses"]
        assert [key for key, whens in of_a_way.items() if "each-year" in whens] == ["yearly", "nothing"]

    def test_from_a_condition(self, page: Client, permit: Paper) -> None:
        """Its words and page stand in the form; once a rule quotes them the condition is no longer listed."""
        found = duties.condition(permit.versions.get(), text="A copy of each paper.", report_by="", page=4)
        without = f"{address('rules')}?show=without"
        assert "A copy of each paper." in text_of(page.get(without))
        form = page.get(f"{address('rule-new')}?condition={found.pk}").context["form"]
        assert (form["clause"].value(), form["page"].value()) == ("A copy of each paper.", 4)
        page.post(address("rule-new"), AFTER_EXPIRY | {"paper": permit.reference, "clause": "A copy of each paper."})
        assert "A copy of each paper." not in text_of(page.get(without))

    def test_an_unknown_use_is_refused(self, keeper: Any, permit: Paper) -> None:
        values = {"paper": permit, "kind": "report", "what": "x", "when": "after-use", "deeds": ["borrowed"]}
        with pytest.raises(ValidationError, match="borrowed"):
            actions.add_rule(values=values, by=keeper)


class TestCorrecting:
    def test_duties_move_with_the_rule(self, page: Client, permit: Paper) -> None:
        """60 days after 30 June: 31 days of July and 29 of August."""
        rule = duties.duty_rule(permit)
        work_out(by=None, why="a test")
        answer = page.post(address("rule-edit", rule.pk), AFTER_EXPIRY | {"number": "60", "why": "read anew"})
        assert answer.status_code == 302
        duty = Duty.objects.get()
        assert duty.due_on == date(2024, 8, 29)
        assert duty.moved_why == "Moved from 30 July 2024 to 29 August 2024: what is asked for was changed."

    def test_the_days_need_no_reason_and_saving_does(self, page: Client, permit: Paper) -> None:
        rule = duties.duty_rule(permit)
        shown = page.post(address("rule-edit", rule.pk), AFTER_EXPIRY | {"number": "60", "show_days": "1"})
        assert shown.status_code == 200 and "29 Aug 2024" in text_of(shown)
        saved = page.post(address("rule-edit", rule.pk), AFTER_EXPIRY | {"number": "60"})
        assert (saved.status_code, DutyRule.objects.get().number) == (422, 30)

    def test_a_rule_stays_with_its_paper(self, keeper: Any, permit: Paper) -> None:
        rule = duties.duty_rule(permit)
        with pytest.raises(DutyError, match="stays with its paper"):
            actions.change_rule(rule=rule, values={"paper": register.paper("OTHER-1")}, by=keeper, why="x")


class TestEnding:
    @pytest.mark.parametrize(("choice", "dropped"), [("stays", 0), ("goes", 1)])
    def test_open_duties_stay_or_go(self, page: Client, permit: Paper, choice: str, dropped: int) -> None:
        rule = duties.duty_rule(permit)
        work_out(by=None, why="a test")
        asked = page.get(address("rule-end", rule.pk))
        assert "1 duty that follows from it is open." in text_of(asked)
        page.post(address("rule-end", rule.pk), {"open_duties": choice, "why": "entered twice"})
        work_out(by=None, why="a test")
        rows = Duty.objects.exclude(dropped_on=None)
        assert [one.dropped_why for one in rows] == ["The rule was ended: entered twice"] * dropped
        rule.refresh_from_db()
        with pytest.raises(DutyError, match="was ended"):
            actions.change_rule(rule=rule, values={"number": 5}, by=rule.ended_by, why="x")

    def test_what_was_done_stays(self, keeper: Any, permit: Paper) -> None:
        rule = duties.duty_rule(permit)
        done = duties.done_duty(rule=rule, occurrence="expiry", due_on=date(2024, 7, 30))
        assert actions.end_rule(rule=rule, keeps_open=False, by=keeper, why="entered twice") == 0
        done.refresh_from_db()
        assert done.dropped_on is None


class TestClosedPapers:
    """A paper that is open to compliance alone: that a rule stands is seen, its words are not."""

    @pytest.fixture
    def rule(self, permit: Paper) -> DutyRule:
        bits = role_bits([Role.COMPLIANCE])
        Paper.objects.filter(pk=permit.pk).update(restricted_to=bits, restricted_why="price")
        version = permit.versions.get()
        duties.condition(version, text=CANARY, report_by="")
        duties.condition(version, text=CANARY, report_by="01-31")
        return duties.duty_rule(permit, what=CANARY, to_whom=CANARY, clause=CANARY)

    def test_lists_do_not_tell(self, page: Client, rule: DutyRule) -> None:
        for show in ("entered", "conditions", "without"):
            answer = text_of(page.get(f"{address('rules')}?show={show}&q="))
            assert CANARY not in answer and "31 January" not in answer and "30 days" not in answer
        assert "Restricted: open to compliance officers" in text_of(page.get(address("rules")))
        assert list(page.get(f"{address('rules')}?q=Canary").context["page"]) == []

    @pytest.mark.parametrize(("show", "lines"), [("entered", 1), ("conditions", 1), ("without", 0)])
    def test_files_do_not_tell(self, page: Client, rule: DutyRule, show: str, lines: int) -> None:
        rows = rows_of(page, f"show={show}")
        assert len(rows) == lines
        assert all("Restricted: open to compliance officers" in row["what"] for row in rows)
        assert not any(words in str(rows) for words in (CANARY, "31 January", "30 days"))

    def test_pages_refuse(self, page: Client, rule: DutyRule) -> None:
        for name in ("rule", "rule-edit", "rule-end"):
            answer = page.get(address(name, rule.pk))
            assert answer.status_code == 403 and CANARY not in text_of(answer)
        asked = page.post(address("rule-new"), AFTER_EXPIRY | {"paper": "COL-2024-052", "show_days": "1"})
        assert asked.status_code == 403
        started = page.get(f"{address('rule-new')}?paper={rule.paper_id}")
        assert "Nazvri Directorate" not in text_of(started)

    def test_who_may_read_it_sees_it(self, client: Client, rule: DutyRule) -> None:
        client.force_login(register.person(Role.COMPLIANCE))
        assert CANARY in text_of(client.get(address("rule", rule.pk)))


class TestLists:
    def test_narrowed_and_ordered(self, page: Client, permit: Paper) -> None:
        first = duties.duty_rule(permit, what="Send the return", kind="return")
        second = duties.duty_rule(register.paper("A-1"), what="Pay the fee", kind="payment")
        house = duties.duty_rule(what="Look through the sheets")

        def shown(query: str) -> list[DutyRule]:
            return [line.rule for line in page.get(f"{address('rules')}?{query}").context["lines"]]

        assert shown("") == [house, second, first]  # by paper, the house first
        assert shown("sort=-paper") == [first, second, house]
        assert shown("kind=payment") == shown("q=fee") == shown(f"paper={second.paper_id}") == [second]
        assert shown("state=ended") == []
        assert shown("kind=nonsense&sort=nonsense&paper=x") == [house, second, first]

    def test_file_holds_what_the_list_shows(self, page: Client, permit: Paper) -> None:
        duties.duty_rule(permit, what="Send the return", kind="return", to_whom="Fisheries Board")
        duties.duty_rule(what="Look through the sheets")
        (row,) = rows_of(page, "q=Fisheries")
        assert (row["paper"], row["what"], row["to whom"]) == (permit.reference, "Send the return", "Fisheries Board")
        assert row["when"] == "30 days after the last day of validity."
        assert [row["paper"] for row in rows_of(page)] == ["", permit.reference]

    def test_dated_conditions_are_told_once(self, page: Client) -> None:
        paper = register.paper("TWO-1")
        for days in (("2024-01-01", "2024-12-31"), ("2025-01-01", "2025-12-31")):
            duties.condition(register.version(paper, *days))
        (line,) = page.get(f"{address('rules')}?show=conditions").context["page"]
        assert (line.paper, line.asked.what) == (paper, "Send the yearly report, due by 31 January")
        assert [(rule.from_day, rule.to_day) for rule in line.asked.rules] == [(date(2024, 1, 1), date(2025, 12, 31))]

    def test_only_the_newest_version_and_papers_that_were_given(self, page: Client, permit: Paper) -> None:
        duties.condition(permit.versions.get(), text="old", report_by="")
        duties.condition(register.version(permit, "2025-01-01", None), text="new", report_by="")
        refused = register.paper("REF-1")
        duties.condition(register.version(refused), text="refused", report_by="")
        refused.statuses.create(state="refused", from_on=date(2024, 4, 1))
        found = page.get(f"{address('rules')}?show=without").context["page"]
        assert [one.text for one in found] == ["new"]

    @pytest.mark.parametrize(("show", "queries"), [("entered", 6), ("conditions", 8), ("without", 7)])
    def test_queries(
        self, page: Client, permit: Paper, show: str, queries: int, django_assert_num_queries: Any
    ) -> None:
        for number in range(3):
            paper = register.paper(f"MANY-{number}")
            version = register.version(paper)
            duties.condition(version)
            duties.condition(version, text="no day", report_by="")
            duties.duty_rule(paper)
        with django_assert_num_queries(queries):
            page.get(f"{address('rules')}?show={show}")


class TestHouse:
    def test_set_by_who_may(self, client: Client) -> None:
        client.force_login(register.person(Role.COMPLIANCE))
        client.post(address("house"), {"follow_from": "2026-01-01", "ahead_days": "45", "why": "as agreed"})
        house = DutyHouse.objects.get()
        assert (house.follow_from, house.ahead_days) == (date(2026, 1, 1), 45)
        assert "Followed from 1 January 2026 on; due from 45 days before." in text_of(client.get(address("house")))

    @pytest.mark.parametrize(
        ("values", "words"),
        [
            ({"follow_from": date(1, 1, 1)}, "Check the year"),
            ({"follow_from": date(9999, 1, 1)}, "Check the year"),
            ({"ahead_days": 367}, "At most 366"),
        ],
    )
    def test_slips_of_typing(self, values: dict[str, Any], words: str) -> None:
        with pytest.raises(ValidationError, match=words):
            set_house(values=values, by=register.person(Role.COMPLIANCE), why="x")


def test_working_out_is_asked_for_on_a_page(page: Client, permit: Paper) -> None:
    duties.duty_rule(permit)
    answer = page.post(address("work-out"), follow=True)
    assert "Worked out: 1 new, 0 moved, 0 no longer asked for." in text_of(answer)
    assert page.get(address("work-out")).status_code == 405


def test_ended_days_are_kept(permit: Paper, keeper: Any) -> None:
    """Past the forms: an end without a reason is refused."""
    rule = duties.duty_rule(permit)
    with pytest.raises(DutyError, match="Say why"):
        actions.end_rule(rule=rule, keeps_open=True, by=keeper, why=" ")
    actions.end_rule(rule=rule, keeps_open=True, by=keeper, why="entered twice")
    rule.refresh_from_db()
    assert rule.ended_at is not None and rule.ended_at.date() == timezone.now().date()
