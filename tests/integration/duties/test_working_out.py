"""Duties worked out over rows of the register: what is made, moved, dropped, taken up again, and what stays.

Days are worked out by hand beside each test. What this cannot show: whether the days are right for every rule; that is
tests/unit/governance/engine/duties.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.utils import timezone
from django.utils.translation import override

from accessions.people.history import record
from governance.duties.actions.working_out import catch_up, work_out
from governance.duties.models import Duty, DutyHouse, DutyRule, DutyRun
from governance.duties.queries.marks import is_behind
from governance.papers.models import Paper, PaperVersion
from tests.factories import duties, plans, register, usedesk

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper() -> Any:
    return register.person("registrar")


@pytest.fixture(autouse=True)
def house() -> DutyHouse:
    """Followed from so early that it narrows nothing."""
    return duties.duty_house(follow_from=date(2024, 1, 1))


def permit(reference: str = "COL-2024-052", first: str = "2024-05-01", last: str | None = "2024-06-30",
           **values: Any) -> tuple[Paper, PaperVersion]:  # fmt: skip
    paper = register.paper(reference, issued_on=date(2024, 4, 15), **values)
    return paper, register.version(paper, first, last)


def due_days(**where: Any) -> list[date | None]:
    """Those without a day last."""
    days = Duty.objects.filter(dropped_on=None, **where).order_by("pk").values_list("due_on", flat=True)
    return sorted(days, key=lambda day: (day is None, day))


def run() -> DutyRun:
    return work_out(by=None, why="a test")


def test_a_condition_is_a_rule() -> None:
    """31 January, about the year before: a permit of May and June 2024 is reported once, by 31 January 2025."""
    paper, version = permit()
    duties.condition(version)
    made = run()
    duty = Duty.objects.get()
    assert (made.made, made.moved, made.dropped) == (1, 0, 0)
    assert (duty.source, duty.occurrence) == (f"paper-{paper.pk}/report/01-31", "2025")
    assert (duty.due_on, duty.about_from, duty.about_to) == (date(2025, 1, 31), date(2024, 1, 1), date(2024, 12, 31))
    assert (duty.kind, duty.to_whom, duty.paper) == ("report", "Nazvri Directorate", paper)
    assert duty.because == {"code": "each-year", "values": {"day": "2025-01-31", "month_day": "01-31"}}


def test_a_second_run_changes_nothing(keeper: Any) -> None:
    paper, version = permit(last=None)
    duties.condition(version)
    duties.duty_rule(paper, when="each-quarter", number=30)
    run()
    rows, histories = list(Duty.objects.values()), Duty.history.count()
    again = work_out(by=keeper, why="again")
    assert (again.made, again.moved, again.dropped) == (0, 0, 0)
    assert list(Duty.objects.values()) == rows
    assert Duty.history.count() == histories == len(rows)


def test_the_language_of_whoever_makes_it_follow_changes_nothing() -> None:
    """What is kept is written in English: else each run would rewrite the words of the one before."""
    paper, version = permit(last=None)
    duties.condition(version)
    with override("es"):
        run()
        kept = set(Duty.objects.values_list("what", flat=True))
        assert kept == {"Send the yearly report, due by 31 January"}
    histories = Duty.history.count()
    run()
    assert Duty.history.count() == histories
    paper.statuses.create(state="revoked", from_on=date(2024, 6, 10))
    with override("es"):
        run()
    dropped = set(Duty.objects.exclude(dropped_on=None).values_list("dropped_why", flat=True))
    assert dropped == {"Paper or rule did not stand in the time that it is about, or nothing was taken in it."}


@pytest.mark.parametrize("state", ["applied", "refused"])
def test_what_was_never_given_obliges_to_nothing(state: str) -> None:
    paper, version = permit()
    duties.condition(version)
    duties.duty_rule(paper)
    paper.statuses.create(state=state, from_on=date(2024, 4, 1))
    assert run().made == 0


def test_a_revoked_paper_ends_the_day_before() -> None:
    """Revoked from 10 June 2024 on: its last day is 9 June, and 30 days later is 9 July (30 - 21 = 9)."""
    paper, _version = permit()
    duties.duty_rule(paper)
    run()
    assert due_days() == [date(2024, 7, 30)]  # 30 June + 30 days
    paper.statuses.create(state="revoked", from_on=date(2024, 6, 10))
    moved = run()
    duty = Duty.objects.get()
    assert (moved.moved, duty.due_on) == (1, date(2024, 7, 9))
    assert "30 July 2024" in duty.moved_why and "9 July 2024" in duty.moved_why and "9 June 2024" in duty.moved_why
    assert duty.history.latest().history_change_reason.startswith("Moved from 30 July 2024 to 9 July 2024")


def test_an_unread_paper_that_was_revoked_ends_too() -> None:
    paper = register.paper("UNREAD-1")
    paper.statuses.create(state="revoked", from_on=date(2024, 6, 10))
    duties.duty_rule(paper)
    run()
    assert due_days() == [date(2024, 7, 9)]


def test_successive_versions_that_ask_alike_are_one_rule() -> None:
    """2024 and 2025 under one number, no gap: reports by 31 January 2025 and 2026, once each."""
    paper, first = permit(first="2024-01-01", last="2024-12-31")
    second = register.version(paper, "2025-01-01", "2025-12-31")
    for version in (first, second):
        duties.condition(version)
    run()
    assert due_days() == [date(2025, 1, 31), date(2026, 1, 31)]


def test_no_report_is_asked_for_in_a_gap() -> None:
    """Versions of 2024 and of 2026: nothing stood in 2025, so no report is due by 31 January 2026."""
    paper, first = permit(first="2024-01-01", last="2024-12-31")
    second = register.version(paper, "2026-01-01", "2026-12-31")
    for version in (first, second):
        duties.condition(version)
    run()
    assert due_days() == [date(2025, 1, 31), date(2027, 1, 31)]


def test_an_amended_day_takes_the_place_of_the_old_one() -> None:
    """31 January until June 2025, then 31 March: the report on 2025 is due by 31 March 2026 alone; that on 2024 was due
    by 31 January 2025."""
    paper, first = permit(first="2024-01-01", last=None)
    second = register.version(paper, "2025-06-01", "2025-12-31")
    duties.condition(first)
    duties.condition(second, report_by="03-31")
    run()
    assert due_days() == [date(2025, 1, 31), date(2026, 3, 31)]


def test_an_amendment_between_year_and_day_loses_no_report() -> None:
    """Amended on 15 January 2025: the report on 2024 is due by 31 January all the same, since the new day begins to
    count with what happens under the amendment."""
    paper, first = permit(first="2024-01-01", last=None)
    second = register.version(paper, "2025-01-15", "2025-12-31")
    duties.condition(first)
    duties.condition(second, report_by="03-31")
    run()
    assert due_days() == [date(2025, 1, 31), date(2026, 3, 31)]


def test_28_days_after_each_day_of_collecting() -> None:
    """3 June + 28 days = 1 July (June has 30 days). Two specimens of a day ask once; "June 2024" is no day."""
    paper, _version = permit()
    accession = register.accession()
    days = [("2024-06-03", "run"), ("2024-06-03", "run"), ("2024-06-17", "run")]
    events = [register.event(day=day, reading=reading) for day, reading in days]
    vague = register.event(day="", event_date="2024-06", reading="vague", earliest_on=date(2024, 6, 1),
                           latest_on=date(2024, 6, 30))  # fmt: skip
    for event in (*events, vague):
        register.specimen(accession=accession, event=event)
    register.link(paper, accession=accession)
    register.specimen(accession=register.accession("LMN-2024-039"), event=register.event(day="2024-06-20"))
    duties.duty_rule(paper, when="after-collection", number=28, kind="return")
    run()
    assert due_days() == [date(2024, 7, 1), date(2024, 7, 15), None]
    assert Duty.objects.get(due_on=None).because == {
        "code": "day-not-known",
        "values": {"of": "after-collection", "number": 28, "unit": "days"},
    }


def test_a_paper_linked_to_one_specimen_counts_its_day_alone() -> None:
    paper, _version = permit()
    accession, event, other = register.accession(), register.event(day="2024-06-03"), register.event(day="2024-06-05")
    register.specimen(accession=accession, event=event)
    linked = register.specimen(accession=accession, event=event)
    register.specimen(accession=accession, event=other)
    register.link(paper, specimen=linked)
    duties.duty_rule(paper, when="after-collection", number=28)
    run()
    assert due_days() == [date(2024, 7, 1)]


def test_nothing_taken_and_no_nil_return_wanted() -> None:
    """The rule asks only where something was taken: in 2024 it was, in 2025 not."""
    paper, _version = permit(last="2025-12-31")
    accession = register.accession()
    register.specimen(accession=accession, event=register.event(day="2024-06-17"))
    register.link(paper, accession=accession)
    duties.duty_rule(paper, when="each-year", month_day="01-31", number=0, if_nothing=False)
    run()
    assert due_days() == [date(2025, 1, 31)]


def test_trips_are_accessions_and_plans() -> None:
    """30 days after the last day in the field: 17 June + 30 = 17 July 2024; of the plan 5 June + 30 = 5 July 2027."""
    paper, _version = permit(last=None)
    accession = register.accession()
    for day in ("2024-06-03", "2024-06-17"):
        register.specimen(accession=accession, event=register.event(day=day))
    register.link(paper, accession=accession)
    plan = plans.field_plan()
    plans.stop(plan, last_on=date(2027, 6, 5))
    plans.attach(plan, paper, register.person("registrar"))
    duties.duty_rule(paper, when="after-last-field-day", number=30)
    run()
    assert due_days() == [date(2024, 7, 17), date(2027, 7, 5)]
    assert Duty.objects.get(plan=plan).label.startswith(plan.reference)
    assert Duty.objects.get(accession=accession).label == accession.number


def test_a_notice_recorded_with_the_plan_fulfils_the_duty(keeper: Any) -> None:
    """7 days before 3 June 2027 is 27 May. The notice is taken back: the duty is open again."""
    paper, version = permit(last=None)
    duties.condition(version, report_by="", notice_days=7, text="Tell the warden a week before.")
    plan = plans.field_plan(reference="FP-2027-03")
    plans.stop(plan, first_on=date(2027, 6, 3))
    plans.attach(plan, paper, keeper)
    run()
    duty = Duty.objects.get()
    assert (duty.kind, duty.due_on, duty.done_on) == ("notice", date(2027, 5, 27), None)
    notice = plans.notice(plan, paper, given_on=date(2026, 11, 20))
    run()
    duty.refresh_from_db()
    assert (duty.done_on, duty.done_how, duty.done_by) == (date(2026, 11, 20), "as recorded in plan FP-2027-03", None)
    notice.delete()
    run()
    duty.refresh_from_db()
    assert (duty.done_on, duty.done_how, duty.done_at) == (None, "", None)


def test_a_notice_says_nothing_of_a_report(keeper: Any) -> None:
    """What is due before entry but is no notice, and what is due after the trip, stay open."""
    paper, _version = permit(last=None)
    plan = plans.field_plan()
    plans.stop(plan)
    plans.attach(plan, paper, keeper)
    plans.notice(plan, paper)
    duties.duty_rule(paper, when="before-entry", kind="records", number=7)
    duties.duty_rule(paper, when="after-last-field-day", kind="notice", number=7)
    run()
    assert list(Duty.objects.values_list("done_on", flat=True)) == [None, None]


def test_uses_and_publications_of_what_the_paper_bears_on() -> None:
    """60 days after a publication of 1 March 2026: 31 - 1 = 30 days of March, 30 of April, so 30 April. A use of an
    extract is a use of what it was taken from; a voided one, and one of other material, asks for nothing."""
    paper, _version = permit()
    accession = register.accession()
    source = register.specimen(accession=accession)
    register.link(paper, specimen=source)
    extract = register.specimen(accession=accession, parent=source)
    other = register.specimen(accession=accession)
    cited = {"deed": "publication", "citation": "On flies.", "on": date(2026, 3, 1)}
    wanted = usedesk.made_use(extract, **cited)
    usedesk.made_use(other, **cited)
    usedesk.made_use(source, **cited, voided_at=timezone.now(), voided_by=register.person(), voided_why="twice")
    usedesk.made_use(source, deed="sequencing", on=date(2026, 5, 1))
    duties.duty_rule(paper, when="after-publication", number=60, kind="copy")
    run()
    duty = Duty.objects.get()
    assert (duty.due_on, duty.use, duty.label) == (date(2026, 4, 30), wanted, "On flies.")


def test_dropped_and_taken_up_again(keeper: Any) -> None:
    _paper, version = permit()
    asked = duties.condition(version)
    run()
    Duty.objects.update(assignee=keeper, note="ask Nora")
    asked.report_by = ""
    record(asked, by=keeper, why="read anew", fields=["report_by"])
    assert run().dropped == 1
    duty = Duty.objects.get()
    assert duty.dropped_on == timezone.localdate() and "does not ask for it any more" in duty.dropped_why
    asked.report_by = "01-31"
    record(asked, by=keeper, why="read anew", fields=["report_by"])
    run()
    duty.refresh_from_db()
    assert (duty.dropped_on, duty.dropped_why, duty.assignee, duty.note) == (None, "", keeper, "ask Nora")


@pytest.mark.parametrize("became", ["done", "waived"])
def test_what_people_said_stays(became: str, keeper: Any) -> None:
    """Neither moved nor dropped; a note says by which day it would be due now."""
    paper, _version = permit()
    rule = duties.duty_rule(paper)
    run()
    words = {"how": "sent"} if became == "done" else {"why": "not asked"}
    values = {f"{became}_on": date(2024, 7, 1), f"{became}_at": timezone.now(), f"{became}_by": keeper}
    Duty.objects.update(**values, **{f"{became}_{name}": text for name, text in words.items()})
    rule.number = 60
    rule.save()
    run()
    duty = Duty.objects.get()
    assert (duty.due_on, duty.dropped_on) == (date(2024, 7, 30), None)
    assert "29 August 2024" in duty.moved_why  # 30 June + 60 days = 31 of July + 29
    histories = Duty.history.count()
    run()
    assert Duty.history.count() == histories
    Paper.objects.filter(pk=paper.pk).update(restricted_why="")
    paper.statuses.create(state="refused", from_on=date(2024, 4, 20))
    assert run().dropped == 0


def test_an_ended_rule_makes_nothing_and_takes_nothing_away(keeper: Any) -> None:
    paper, _version = permit(last=None)
    rule = duties.duty_rule(paper, when="each-year", month_day="01-31", number=0)
    run()
    before = due_days()
    rule.ended_at, rule.ended_by, rule.ended_why = timezone.now(), keeper, "entered twice"
    rule.save()
    Duty.objects.filter(due_on=before[-1]).delete()
    assert (run().made, due_days()) == (0, before[:-1])


def test_a_promise_with_a_day_is_a_duty(keeper: Any) -> None:
    """Given what was promised, it is done by that; more promised, and it is open again."""
    promise = duties.promise(due_on=date(2026, 12, 1))
    duties.promise(what="without a day")
    run()
    duty = Duty.objects.get()
    assert (duty.source, duty.kind, duty.due_on) == (f"promise-{promise.pk}", "benefit", date(2026, 12, 1))
    duties.given(promise, on=date(2026, 5, 4))
    run()
    duty.refresh_from_db()
    assert (duty.done_on, duty.done_by) == (date(2026, 5, 4), None)
    promise.quantity = 5
    promise.save()
    run()
    duty.refresh_from_db()
    assert duty.done_on is None
    promise.closed_at, promise.closed_by, promise.closed_why = timezone.now(), keeper, "the partner asked for it"
    promise.save()
    run()
    duty.refresh_from_db()
    assert "promise was closed" in duty.dropped_why


def test_what_was_due_before_duties_are_followed_is_not_known() -> None:
    """Followed from 1 January 2026: the report by 31 January 2025 is dropped, not late."""
    _paper, version = permit(last="2025-12-31")
    duties.condition(version)
    run()
    assert due_days() == [date(2025, 1, 31), date(2026, 1, 31)]
    house = duties.duty_house(follow_from=date(2026, 1, 1))
    run()
    assert due_days() == [date(2026, 1, 31)]
    assert house.follow_from.year == 2026
    assert "due before 1 January 2026" in Duty.objects.exclude(dropped_on=None).get().dropped_why


def test_no_duty_is_made_of_what_was_due_before() -> None:
    """Whatever it is counted from: 30 days after 30 June 2024, a day, a promise. Of 31 July the day itself is followed,
    and what has no day is shown."""
    paper, _version = permit()
    duties.duty_rule(paper)  # 30 July 2024
    duties.duty_rule(paper, when="on-a-day", number=0, on=date(2024, 7, 30))
    duties.promise(due_on=date(2024, 7, 30))
    duties.duty_rule(paper, number=31)
    duties.duty_rule(register.paper("UNREAD-1"))
    duties.duty_house(follow_from=date(2024, 7, 31))
    assert run().made == 2
    assert due_days() == [date(2024, 7, 31), None]


def test_a_day_that_moves_before_it_ends_the_duty_until_it_comes_back(keeper: Any) -> None:
    """30 June + 30 days = 30 July; + 10 = 10 July. What was done stays, whatever its day."""
    paper, _version = permit()
    rules = [duties.duty_rule(paper), duties.duty_rule(paper)]
    duties.duty_house(follow_from=date(2024, 7, 30))
    run()
    done = Duty.objects.get(rule=rules[1])
    told = {"done_on": date(2024, 7, 5), "done_how": "sent", "done_at": timezone.now(), "done_by": keeper}
    Duty.objects.filter(pk=done.pk).update(**told)
    DutyRule.objects.update(number=10)
    assert run().dropped == 1
    dropped = Duty.objects.get(rule=rules[0])
    assert dropped.dropped_why == "It was due before 30 July 2024, from which duties are followed here."
    done.refresh_from_db()
    assert (done.dropped_on, done.due_on) == (None, date(2024, 7, 30))
    DutyRule.objects.update(number=40)  # 9 August
    run()
    dropped.refresh_from_db()
    assert (dropped.dropped_on, dropped.due_on) == (None, date(2024, 8, 9))


def test_the_first_run_says_from_when_duties_are_followed() -> None:
    DutyHouse.objects.all().delete()
    run()
    house = DutyHouse.objects.get()
    assert house.follow_from == date(timezone.localdate().year - 1, 1, 1)
    assert house.history.latest().history_type == "+"


def test_catching_up_runs_once_after_a_change(keeper: Any) -> None:
    assert not is_behind()  # nothing asks for anything
    paper, version = permit()
    duties.condition(version)
    assert is_behind()
    first = catch_up(by=keeper, why="after a change")
    assert first is not None and first.made == 1
    assert catch_up(by=keeper, why="after a change") is None
    assert DutyRun.objects.count() == 1
    link = register.link(paper, accession=register.accession())
    assert is_behind()
    catch_up(by=keeper, why="after a change")
    link.unlinked_at, link.unlinked_by = timezone.now(), keeper
    link.save()
    assert is_behind()


def test_the_mark_is_one_query(django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(1):
        is_behind()
