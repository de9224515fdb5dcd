"""Notices given under papers of a plan: recorded, shown, taken off."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import EVERY_ROLE, NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.engine.tables import Layer
from governance.papers.models import Condition, Paper
from governance.plans.actions.locking import PlanError
from governance.plans.actions.notices import give_notice, take_off_notice
from governance.plans.advice import Advice, advise
from governance.plans.judging import PaperUsed
from governance.plans.models import FieldPlan, PlanNotice
from governance.plans.queries.check import check_plan
from tests.factories import plans as f
from tests.factories import register as r

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 26)


@pytest.fixture
def curator() -> User:
    return r.person(Role.CURATOR)


@pytest.fixture
def paper() -> Paper:
    """It asks for notice seven days before the first day."""
    paper = r.paper("COL-2027-001", jurisdiction="SE", issuer="County of Jämtland")
    version = r.version(paper, "2027-06-01", "2027-06-30")
    Condition.objects.create(version=version, text="The warden is told a week before.", notice_days=7)
    return paper


@pytest.fixture
def plan(paper: Paper, curator: User) -> FieldPlan:
    """One stop in Sweden, from 3 to 5 June 2027; the paper is linked."""
    r.rule(r.sheet("SE"), Layer.COLLECTING)
    plan = f.field_plan(reference="FP-2027-01")
    f.attach(plan, paper, curator)
    f.stop(plan, name="Mire")
    return plan


def signed_in(person: User) -> Client:
    client = Client()
    client.force_login(person)
    return client


def given(plan: FieldPlan, paper: Paper, by: User, **more: Any) -> PlanNotice:
    told: dict[str, Any] = {"given_on": date(2026, 11, 20), "note": "the warden, by letter", "today": TODAY} | more
    return give_notice(plan=plan, paper=paper, by=by, **told)


def panel(plan: FieldPlan, reader: User) -> str:
    """The panel as it is read."""
    advice = advise(check_plan(plan, today=TODAY))
    page = render_to_string("plans/_advice.html", {"advice": advice, "user": reader})
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


class TestActions:
    def test_a_notice_answers_what_the_paper_asks(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        assert [one.code for one in advise(check_plan(plan, today=TODAY))] == ["notice-due"]
        given(plan, paper, curator)
        assert [one.code for one in advise(check_plan(plan, today=TODAY))] == ["notice-given"]

    def test_a_notice_for_one_stop_leaves_the_other_open(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        other = f.stop(plan, name="Lake")
        given(plan, paper, curator, stop=other)
        due = [one for one in advise(check_plan(plan, today=TODAY)) if one.code == "notice-due"]
        assert [one.stop_names for one in due] == [("Mire",)]

    def test_history_and_version_are_kept(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        notice = given(plan, paper, curator)
        entry = notice.history.get()
        assert (entry.history_user, entry.history_type) == (curator, "+")
        assert plan.versions.count() == 1
        take_off_notice(notice=notice, why="it was another trip", by=curator)
        gone = PlanNotice.history.filter(history_type="-").get()
        assert (gone.history_user, gone.history_change_reason) == (curator, "it was another trip")
        assert not PlanNotice.objects.exists()

    def test_a_day_ahead_was_not_given(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        with pytest.raises(PlanError, match="lies ahead"):
            given(plan, paper, curator, given_on=TODAY + timedelta(1))
        given(plan, paper, curator, given_on=TODAY)

    def test_the_same_notice_is_recorded_once(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        given(plan, paper, curator)
        with pytest.raises(PlanError, match="recorded already"):
            given(plan, paper, curator, note="the warden, again")
        assert PlanNotice.objects.count() == 1

    def test_a_stop_of_another_plan(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        with pytest.raises(PlanError, match="another plan"):
            given(plan, paper, curator, stop=f.stop())

    def test_to_nobody(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        with pytest.raises(ValidationError) as refused:
            given(plan, paper, curator, note="  ")
        assert "note" in refused.value.error_dict
        assert not PlanNotice.objects.exists()

    def test_a_closed_plan(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        notice = given(plan, paper, curator)
        plan.closed_at, plan.closed_by, plan.closed_why = timezone.now(), curator, "given up"
        plan.save()
        with pytest.raises(PlanError, match="closed"):
            given(plan, paper, curator, given_on=TODAY)
        with pytest.raises(PlanError, match="closed"):
            take_off_notice(notice=notice, why="no", by=curator)
        assert PlanNotice.objects.count() == 1

    def test_a_volunteer_may_not(self, plan: FieldPlan, paper: Paper) -> None:
        with pytest.raises(NotAllowedError):
            given(plan, paper, r.person(Role.VOLUNTEER))


class TestPages:
    def test_recorded_from_the_page(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        client = signed_in(curator)
        address = reverse("plans:plan-notice", args=[plan.pk]) + f"?paper={paper.pk}"
        form = client.get(address).context["form"]
        assert str(form["paper"].value()) == str(paper.pk)
        sent = {"paper": paper.pk, "stop": "", "given_on": "2026-11-20", "note": "the warden, by letter"}
        answer = client.post(address, sent, follow=True)
        assert answer.redirect_chain[0][0] == reverse("plans:plan", args=[plan.pk])
        assert "Notice under COL-2027-001 is recorded." in answer.content.decode()
        assert PlanNotice.objects.get().note == "the warden, by letter"

    def test_all_mistakes_at_once_beside_their_boxes(self, plan: FieldPlan, curator: User) -> None:
        client = signed_in(curator)
        answer = client.post(reverse("plans:plan-notice", args=[plan.pk]), {"given_on": "2999-01-01", "note": ""})
        assert answer.status_code == 422
        assert set(answer.context["form"].errors) == {"paper", "given_on", "note"}
        assert not PlanNotice.objects.exists()

    def test_a_paper_that_does_not_speak_for_the_plan_is_not_offered(self, plan: FieldPlan, curator: User) -> None:
        strange = r.paper("COL-X")
        sent = {"paper": strange.pk, "given_on": "2026-11-20", "note": "somebody"}
        assert signed_in(curator).post(reverse("plans:plan-notice", args=[plan.pk]), sent).status_code == 422

    def test_taken_off_after_a_question_and_with_a_reason(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        client, notice = signed_in(curator), given(plan, paper, curator)
        address = reverse("plans:notice-remove", args=[notice.pk])
        assert "recorded as given on 20 November 2026" in client.get(address).content.decode()
        assert client.post(address, {"why": ""}).status_code == 422
        assert PlanNotice.objects.exists()
        answer = client.post(address, {"why": "not sent after all"}, follow=True)
        assert "was taken off" in answer.content.decode()
        assert not PlanNotice.objects.exists()

    def test_a_closed_plan_says_so_on_the_form(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        plan.closed_at, plan.closed_by, plan.closed_why = timezone.now(), curator, "given up"
        plan.save()
        sent = {"paper": paper.pk, "given_on": "2026-11-20", "note": "the warden"}
        answer = signed_in(curator).post(reverse("plans:plan-notice", args=[plan.pk]), sent)
        assert answer.status_code == 422
        assert "This plan is closed" in answer.content.decode()

    def test_queries_of_the_form(
        self, plan: FieldPlan, curator: User, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session, person, plan; four for the plan as it is loaded; two for what speaks, then papers and stops."""
        client = signed_in(curator)
        with django_assert_num_queries(11):
            client.get(reverse("plans:plan-notice", args=[plan.pk]))


class TestPanel:
    def test_what_is_due_with_its_button(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        words = panel(plan, curator)
        assert "27 May 2027" in words
        assert "Tell County of Jämtland of Mire by 27 May 2027" in words
        assert "Record notice" in words

    def test_who_only_reads_has_no_button(self, plan: FieldPlan) -> None:
        assert "Record notice" not in panel(plan, r.person(Role.AUDITOR))

    def test_a_restricted_paper_keeps_its_terms(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        """Neither the day nor the issuer nor to whom it was given; that there is something, everybody sees."""
        paper.restricted_to, paper.restricted_why = role_bits([Role.COMPLIANCE]), "names of nest sites"
        paper.save()
        words = panel(plan, curator)
        assert "COL-2027-001 asks for something before the trip. Restricted: open to compliance officers." in words
        assert "Jämtland" not in words
        assert "27 May" not in words
        given(plan, paper, curator)
        assert "by letter" not in panel(plan, curator)
        assert "by letter" in panel(plan, r.person(Role.COMPLIANCE))
        assert paper.restricted_to != EVERY_ROLE

    def test_nothing_to_advise(self, curator: User) -> None:
        assert "Nothing to advise" in panel(f.field_plan(), curator)

    def test_a_removal_is_offered_for_each_notice(self, plan: FieldPlan, paper: Paper, curator: User) -> None:
        """Two stops told in the same words on one day are two notices."""
        other = f.stop(plan, name="Lake")
        for stop in (other, plan.stops.first()):
            given(plan, paper, curator, stop=stop)
        advice = advise(check_plan(plan, today=TODAY))
        assert sorted(one.deed.key for one in advice if one.deed) == sorted(
            PlanNotice.objects.values_list("pk", flat=True)
        )


def test_advice_costs_six_queries(plan: FieldPlan, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Conditions that ask for notice, notices, continuations, papers, applications, conditions that ask for reports."""
    check = check_plan(plan, today=TODAY)
    with django_assert_num_queries(6):
        advise(check)


def test_numbers_of_papers_do_not_break_and_names_are_escaped(curator: User) -> None:
    """A number that is part of another word, or of markup, is left alone."""
    one = Advice("unread", "5 & COL-5 <b> at 15 or 5.", papers=(PaperUsed(1, "5"), PaperUsed(2, "COL-5")))
    page = render_to_string("plans/_advice_item.html", {"one": one, "user": curator})
    shown = (
        '<span class="ref">5</span> &amp; <span class="ref">COL-5</span> &lt;b&gt; at 15 or <span class="ref">5</span>.'
    )
    assert shown in page
