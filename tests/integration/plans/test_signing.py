"""Compliance lets a plan go: what is kept, what is refused, and what is said when plan or papers change afterwards."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.engine.assess import ENGINE_VERSION
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperVersion
from governance.plans.actions.locking import PlanError
from governance.plans.actions.signing import mark_of, sign_off, withdraw_sign_off
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, PlanSignOff, PlanVersion, Stop
from governance.plans.queries.check import check_plan
from governance.plans.queries.signed import Signed, signed
from governance.verdicts.models import SheetRule
from tests.factories.plans import attach, field_plan, stop
from tests.factories.register import paper, person, rule, sheet, version

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
REMARK = "Looked at it with the curator; transfer is settled in spring."


@pytest.fixture
def compliance() -> User:
    return person(Role.COMPLIANCE, first_name="Ingrid", last_name="Holmqvist")


@pytest.fixture
def curator() -> User:
    return person(Role.CURATOR, first_name="Jon", last_name="Ek")


@pytest.fixture
def plan(curator: User) -> FieldPlan:
    """Two stops in Sweden, where collecting needs a permit; it is linked and holds in June 2027."""
    rule(sheet("SE"), Layer.COLLECTING, lead_days=90)
    permit = paper("COL-2027-001", jurisdiction="SE")
    version(permit, "2027-06-01", "2027-06-30")
    made = field_plan(reference="FP-9", title="Fens")
    stop(made, name="Upper fen", position=1)
    stop(made, name="Lower fen", position=2)
    attach(made, permit, curator)
    keep_version(made, by=curator, why="New plan")
    return made


def sign(plan: FieldPlan, by: User, **values: Any) -> PlanSignOff:
    return sign_off(**{"plan": plan, "remark": REMARK, "seen": 1, "by": by, "today": TODAY, **values})


def state(plan: FieldPlan) -> Signed:
    found = signed(plan, check_plan(plan, today=TODAY))
    assert found is not None
    return found


class TestSigning:
    def test_it_names_the_version_and_keeps_what_the_check_said(self, plan: FieldPlan, compliance: User) -> None:
        """Collecting (the second digit) is covered (0). The other layers no sheet of Sweden speaks of."""
        made = sign(plan, compliance)

        assert (made.version.number, made.signed_by, made.remark) == (1, compliance, REMARK)
        assert sorted(made.verdicts) == sorted(str(pk) for pk in plan.stops.values_list("pk", flat=True))
        assert {strip[Layer.COLLECTING] for strip in made.verdicts.values()} == {str(int(Verdict.COVERED))}
        assert {len(strip) for strip in made.verdicts.values()} == {9}

    def test_it_keeps_what_was_judged_by(self, plan: FieldPlan, compliance: User) -> None:
        """The paper with the day on which its version starts, 1 June 2027 as ``date.toordinal`` counts days."""
        judged = sign(plan, compliance).judged

        assert judged["engine"] == ENGINE_VERSION
        assert judged["papers"] == [[plan.plan_papers.get().paper_id, [date(2027, 6, 1).toordinal()]]]
        assert len(judged["rules"]) == 64 and "assumed_radius_m" in judged["house"]

    def test_a_plan_without_a_version_gets_one(self, compliance: User) -> None:
        plan = field_plan()
        stop(plan)

        assert sign(plan, compliance, seen=0).version.number == 1

    @pytest.mark.parametrize("role", [role for role in Role if role != Role.COMPLIANCE])
    def test_nobody_else_signs_or_withdraws(self, plan: FieldPlan, compliance: User, role: str) -> None:
        other, made = person(role, username="other"), sign(plan, compliance)

        with pytest.raises(NotAllowedError):
            sign(plan, other)
        with pytest.raises(NotAllowedError):
            withdraw_sign_off(sign_off=made, why="Not by me to withdraw.", by=other)

    @pytest.mark.parametrize("remark", ["", "ok", "fine", "           "])
    def test_a_remark_that_says_nothing_is_refused(self, plan: FieldPlan, compliance: User, remark: str) -> None:
        with pytest.raises(PlanError, match="too short"):
            sign(plan, compliance, remark=remark)

    def test_a_plan_without_stops_is_refused(self, compliance: User) -> None:
        with pytest.raises(PlanError, match="no stops"):
            sign(field_plan(), compliance, seen=0)
        assert PlanVersion.objects.count() == 0, "what was kept for it went with it"

    def test_somebody_changed_it_meanwhile(self, plan: FieldPlan, compliance: User, curator: User) -> None:
        Stop.objects.filter(name="Upper fen").update(last_on=date(2027, 7, 9))
        keep_version(plan, by=curator, why="Longer")

        with pytest.raises(PlanError, match="Jon Ek changed this plan meanwhile"):
            sign(plan, compliance, seen=1)

    def test_somebody_kept_the_first_version_meanwhile(self, compliance: User, curator: User) -> None:
        """0 says that there was none, which is not the same as "it does not matter"."""
        plan = field_plan()
        stop(plan)
        keep_version(plan, by=curator, why="New plan")

        with pytest.raises(PlanError, match="meanwhile"):
            sign(plan, compliance, seen=0)

    def test_a_paper_changed_meanwhile(self, plan: FieldPlan, compliance: User) -> None:
        """Nobody touched the plan, yet it is not what the signer read."""
        looked = mark_of(check_plan(plan, today=TODAY))
        PaperVersion.objects.update(in_force_to=date(2027, 6, 2))

        with pytest.raises(PlanError, match="something else than when you read it"):
            sign(plan, compliance, looked=looked)

    @pytest.mark.parametrize("values", [{"closed_why": "Given up"}])
    def test_a_closed_plan_is_refused(self, plan: FieldPlan, compliance: User, values: dict[str, Any]) -> None:
        FieldPlan.objects.filter(pk=plan.pk).update(closed_at=timezone.now(), closed_by=compliance, **values)

        with pytest.raises(PlanError, match="closed"):
            sign(plan, compliance)

    def test_the_same_is_not_signed_twice_but_another_verdict_is(self, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)

        with pytest.raises(PlanError, match="Ingrid Holmqvist signed off this version already"):
            sign(plan, compliance)

        PaperVersion.objects.update(in_force_to=date(2027, 6, 2))
        assert sign(plan, compliance).version.number == 1
        assert state(plan).is_as_signed

    def test_a_site_that_was_renamed_elsewhere_does_not_hinder(self, plan: FieldPlan, compliance: User) -> None:
        """The contents name papers: one that got another reference makes another version, which is signed."""
        plan.plan_papers.get().paper.__class__.objects.update(reference="COL-2027-001b")

        assert sign(plan, compliance).version.number == 2

    def test_the_database_refuses_a_sign_off_without_a_remark(self, plan: FieldPlan, compliance: User) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            PlanSignOff.objects.create(version=plan.versions.get(), signed_by=compliance, remark="")


class TestWithdrawing:
    def test_it_stays_in_the_record_and_counts_no_more(self, plan: FieldPlan, compliance: User) -> None:
        made = withdraw_sign_off(sign_off=sign(plan, compliance), why="The warden said no.", by=compliance)

        assert (made.withdrawn_by, made.withdrawn_why) == (compliance, "The warden said no.")
        assert made.withdrawn_at is not None and PlanSignOff.objects.count() == 1
        assert signed(plan, check_plan(plan, today=TODAY)) is None

    def test_the_one_before_counts_again(self, plan: FieldPlan, compliance: User, curator: User) -> None:
        sign(plan, compliance)
        Stop.objects.filter(name="Upper fen").update(remarks="Boots")
        keep_version(plan, by=curator, why="Remark")
        second = sign(plan, compliance, seen=2)
        assert state(plan).version.number == 2

        withdraw_sign_off(sign_off=second, why="Too early to say.", by=compliance)

        assert state(plan).version.number == 1

    def test_twice_or_without_a_sentence_is_refused(self, plan: FieldPlan, compliance: User) -> None:
        made = sign(plan, compliance)
        for why in ("no", "x " * 150):
            with pytest.raises(PlanError):
                withdraw_sign_off(sign_off=made, why=why, by=compliance)
        withdraw_sign_off(sign_off=made, why="The warden said no.", by=compliance)

        with pytest.raises(PlanError, match="already"):
            withdraw_sign_off(sign_off=made, why="The warden said no.", by=compliance)

    def test_a_plan_that_is_over_keeps_its_record_open_to_withdrawal(self, plan: FieldPlan, compliance: User) -> None:
        made = sign(plan, compliance)
        FieldPlan.objects.filter(pk=plan.pk).update(closed_at=timezone.now(), closed_by=compliance, closed_why="Over")

        assert withdraw_sign_off(sign_off=made, why="It was not so.", by=compliance).withdrawn_at


class TestState:
    def test_as_signed(self, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)
        found = state(plan)

        assert found.is_as_signed and found.changed == found.moved == found.grounds == ()

    def test_a_stop_that_moved_out_of_the_paper(self, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)
        Stop.objects.filter(name="Upper fen").update(first_on=date(2027, 7, 3), last_on=date(2027, 7, 4))
        found = state(plan)

        assert [(one.subject, one.label) for one in found.changed] == [
            ("Upper fen", "first day"), ("Upper fen", "last day"),
        ]  # fmt: skip
        assert [(one.stop, one.after.layer, one.after.verdict) for one in found.moved] == [
            ("Upper fen", Layer.COLLECTING, Verdict.OUTSIDE)
        ]
        assert found.moved_by_plan == found.moved and not found.moved_alone and found.moved[0].is_worse

    def test_a_paper_that_changed_though_nobody_changed_the_plan(self, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)
        PaperVersion.objects.update(in_force_from=date(2027, 6, 4))
        found = state(plan)

        assert found.changed == ()
        assert [one.after.verdict for one in found.moved_alone] == [Verdict.STRADDLES, Verdict.STRADDLES]
        assert found.grounds == ("other papers, or other versions of them, speak",)

    def test_a_rule_that_came(self, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)
        rule(SheetRule.objects.get().sheet, Layer.LAND)
        found = state(plan)

        assert {(one.stop, one.after.layer) for one in found.moved_alone} == {
            ("Upper fen", Layer.LAND), ("Lower fen", Layer.LAND),
        }  # fmt: skip
        assert found.grounds == ("rules of country sheets or of the house changed",)

    def test_both_are_told_apart(self, plan: FieldPlan, compliance: User) -> None:
        """One stop got another remark, the paper got shorter: the other stop is nobody's doing."""
        sign(plan, compliance)
        Stop.objects.filter(name="Upper fen").update(remarks="Boots")
        PaperVersion.objects.update(in_force_to=date(2027, 6, 2))
        found = state(plan)

        assert [one.stop for one in found.moved_by_plan] == ["Upper fen"]
        assert [one.stop for one in found.moved_alone] == ["Lower fen"]

    def test_a_paper_taken_off_the_plan_is_the_doing_of_somebody(
        self, plan: FieldPlan, compliance: User, curator: User
    ) -> None:
        sign(plan, compliance)
        plan.plan_papers.update(unlinked_at=timezone.now(), unlinked_by=curator)
        found = state(plan)

        assert [one.kind for one in found.changed] == ["removed"]
        assert len(found.moved_by_plan) == 2 and not found.moved_alone

    def test_queries(self, plan: FieldPlan, compliance: User, django_assert_num_queries: Any) -> None:
        check = check_plan(plan, today=TODAY)
        with django_assert_num_queries(1):
            assert signed(plan, check) is None
        sign(plan, compliance)
        with django_assert_num_queries(8):
            signed(plan, check)


@pytest.fixture
def signer(client: Client, compliance: User) -> Client:
    client.force_login(compliance)
    return client


def form_of(page: str) -> dict[str, str]:
    """What the page would send: the hidden fields, as a browser finds them."""
    return {name: page.split(f'name="{name}" value="')[1].split('"')[0] for name in ("seen", "looked")}


class TestPages:
    def test_the_check_stands_above_the_remark(self, signer: Client, plan: FieldPlan) -> None:
        page = signer.get(reverse("plans:plan-sign-off", args=[plan.pk])).content.decode()

        assert "cells are still open." in page and "Sign off version 1" in page
        assert page.index("What is still to settle") < page.index('name="remark"')
        assert "Upper fen" in page and "Land: Cannot tell." in page, "the computed verdicts stay visible"

    def test_it_is_signed_and_said_on_the_plan(self, signer: Client, plan: FieldPlan) -> None:
        address = reverse("plans:plan-sign-off", args=[plan.pk])
        hidden = form_of(signer.get(address).content.decode())

        page = signer.post(address, {**hidden, "remark": REMARK}, follow=True).content.decode()

        assert "Version 1 of FP-9 is signed off." in page
        assert "Ingrid Holmqvist signed on" in page and REMARK in page

    @pytest.mark.parametrize("remark", ["", "ok"])
    def test_without_a_sentence_it_comes_back(self, signer: Client, plan: FieldPlan, remark: str) -> None:
        address = reverse("plans:plan-sign-off", args=[plan.pk])
        hidden = form_of(signer.get(address).content.decode())

        answer = signer.post(address, {**hidden, "remark": remark})

        assert answer.status_code == 422 and "at least a sentence" in answer.content.decode()
        assert not PlanSignOff.objects.exists()

    def test_changed_meanwhile_shows_the_plan_anew(self, signer: Client, plan: FieldPlan, curator: User) -> None:
        address = reverse("plans:plan-sign-off", args=[plan.pk])
        hidden = form_of(signer.get(address).content.decode())
        Stop.objects.filter(name="Upper fen").update(name="Moor")
        keep_version(plan, by=curator, why="Renamed")

        answer = signer.post(address, {**hidden, "remark": REMARK})
        page = answer.content.decode()

        assert answer.status_code == 422 and "changed this plan meanwhile" in page
        assert "Moor" in page and form_of(page)["seen"] == "2" and REMARK in page, "what was typed is not lost"
        assert signer.post(address, {**form_of(page), "remark": REMARK}).status_code == 302

    def test_a_plan_without_stops_has_no_form(self, signer: Client) -> None:
        page = signer.get(reverse("plans:plan-sign-off", args=[field_plan().pk])).content.decode()

        assert "there is nothing to sign off" in page and 'name="remark"' not in page

    def test_a_forged_form_is_an_error_in_words(self, signer: Client, plan: FieldPlan) -> None:
        answer = signer.post(reverse("plans:plan-sign-off", args=[plan.pk]), {"remark": REMARK, "seen": "x"})

        assert answer.status_code == 422 and not PlanSignOff.objects.exists()

    def test_it_is_withdrawn_with_a_reason(self, signer: Client, plan: FieldPlan, compliance: User) -> None:
        made = sign(plan, compliance)
        address = reverse("plans:sign-off-withdraw", args=[made.pk])

        assert REMARK in signer.get(address).content.decode()
        assert signer.post(address, {"why": ""}).status_code == 422
        page = signer.post(address, {"why": "The warden said no."}, follow=True).content.decode()

        assert "The sign-off of version 1 is withdrawn." in page and "Not signed off" in page
        again = signer.get(address).content.decode()
        assert "It was withdrawn already" in again and 'name="why"' not in again

    def test_it_says_which_sign_off_counts_after_withdrawing(
        self, signer: Client, plan: FieldPlan, compliance: User, curator: User
    ) -> None:
        first = sign(plan, compliance)
        address = reverse("plans:sign-off-withdraw", args=[first.pk])
        assert "The plan will count as not signed off." in signer.get(address).content.decode()
        Stop.objects.filter(name="Upper fen").update(remarks="Boots")
        keep_version(plan, by=curator, why="Remark")
        second = sign(plan, compliance, seen=2)

        page = signer.get(reverse("plans:sign-off-withdraw", args=[second.pk])).content.decode()

        assert "The sign-off of version 1 by Ingrid Holmqvist will count then." in page

    def test_the_plan_says_what_changed_after_it(self, signer: Client, plan: FieldPlan, compliance: User) -> None:
        sign(plan, compliance)
        Stop.objects.filter(name="Upper fen").update(first_on=date(2027, 7, 3), last_on=date(2027, 7, 4))

        page = signer.get(reverse("plans:plan", args=[plan.pk])).content.decode()

        assert "Changed after sign-off: 2 things" in page and "Sign off as it is now" in page
        assert "Verdicts that differ where the plan changed" in page

    def test_the_plan_says_what_differs_though_nobody_changed_it(
        self, signer: Client, plan: FieldPlan, compliance: User
    ) -> None:
        sign(plan, compliance)
        PaperVersion.objects.update(in_force_to=date(2027, 6, 2))

        page = signer.get(reverse("plans:plan", args=[plan.pk])).content.decode()

        assert "Signed off, yet 2 verdicts differ now" in page and "Nobody changed the plan." in page

    def test_who_may_not_sign_sees_the_state_and_no_way_to_change_it(
        self, client: Client, plan: FieldPlan, compliance: User, curator: User
    ) -> None:
        sign(plan, compliance)
        client.force_login(curator)
        page = client.get(reverse("plans:plan", args=[plan.pk])).content.decode()

        assert "Ingrid Holmqvist signed on" in page
        assert reverse("plans:plan-sign-off", args=[plan.pk]) not in page and "Withdraw the sign-off" not in page

    def test_as_many_queries_for_many_stops(self, signer: Client, compliance: User, curator: User) -> None:
        """A count of queries that grows with the stops would be the number of stops more, at least."""
        rule(sheet("SE"), Layer.COLLECTING)
        counts = []
        for stops in (1, 12):
            plan = field_plan()
            for _number in range(stops):
                stop(plan)
            keep_version(plan, by=curator, why="New plan")
            sign(plan, compliance)
            address = reverse("plans:plan-sign-off", args=[plan.pk])
            signer.get(address)
            with CaptureQueriesContext(connection) as queries:
                signer.get(address)
            counts.append(len(queries))

        assert counts[0] == counts[1] <= 40
