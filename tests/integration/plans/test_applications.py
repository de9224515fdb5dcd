"""Applications: each step from the wish to the paper, each step back, and every step that does not follow.

Which step follows which is common practice, no source: nobody is answered before asking, and one answer ends it.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from accessions.intake.problems import FileProblems
from accessions.people.access import NotAllowedError, role_bits
from accessions.people.editing import NotEditableError
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperScan
from governance.papers.restriction import RestrictedPaperError
from governance.plans.actions import applications as actions
from governance.plans.actions.asking import ask, give_up, promise, refuse, undo_step
from governance.plans.actions.granting import grant
from governance.plans.actions.locking import PlanError
from governance.plans.models import Application, ApplicationScan, FieldPlan, PlanPaper
from governance.plans.queries.check import check_plan
from governance.scans.actions.dropping import Drop
from governance.scans.queries.listing import unfiled
from tests.factories import plans, register, scans

pytestmark = pytest.mark.django_db

DAY = date(2026, 11, 26)
BEFORE, AFTER = date(2026, 11, 20), date(2026, 11, 27)
State = Application.State


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def by() -> Any:
    return register.person(Role.CURATOR)


def now(application: Application) -> Application:
    return Application.objects.get(pk=application.pk)


class TestEntering:
    """What is typed, and what is refused in words."""

    def test_entered_with_its_stops_and_its_history(self, by: Any) -> None:
        plan = plans.field_plan()
        first, second = plans.stop(plan), plans.stop(plan)
        made = actions.add_application(
            plan=plan, values={"layer": 5, "kind": "export-permit", "assignee": by}, stops=[second.pk], by=by
        )
        assert (made.state, made.all_stops) == (State.TO_ASK, False)
        assert actions.stops_of(made) == {second.pk} != {first.pk}
        assert [(row.history_type, row.history_user) for row in made.history.all()] == [("+", by)]

    def test_a_stop_of_another_plan_is_refused(self, by: Any) -> None:
        strange = plans.stop()
        with pytest.raises(ValidationError, match="no longer in this plan"):
            actions.add_application(
                plan=plans.field_plan(), values={"layer": 5, "kind": "export-permit"}, stops=[strange.pk], by=by
            )
        assert not Application.objects.exists()

    def test_who_may_not_plan_trips_cannot_be_given_one(self, by: Any) -> None:
        volunteer = register.person(Role.VOLUNTEER)
        values = {"layer": 5, "kind": "export-permit", "assignee": volunteer}
        with pytest.raises(ValidationError, match="may not ask for papers"):
            actions.add_application(plan=plans.field_plan(), values=values, by=by)

    @pytest.mark.parametrize("field", ["asked_on", "granted_on", "paper", "all_stops", "plan"])
    def test_days_of_steps_are_not_typed(self, by: Any, field: str) -> None:
        values = {"layer": 5, "kind": "export-permit", field: None}
        with pytest.raises(NotEditableError, match=field):
            actions.add_application(plan=plans.field_plan(), values=values, by=by)
        with pytest.raises(NotEditableError, match=field):
            actions.edit_application(application=plans.application(), values={field: None}, by=by, why="x")

    def test_corrected_with_who_and_why(self, by: Any) -> None:
        made = plans.application()
        stop = plans.stop(made.plan)
        actions.edit_application(
            application=made, values={"authority": "Ministry"}, stops=[stop.pk], by=by, why="they moved"
        )
        assert (now(made).authority, now(made).all_stops, actions.stops_of(made)) == ("Ministry", False, {stop.pk})
        actions.edit_application(application=made, values={}, stops=[], by=by, why="for all after all")
        assert (now(made).all_stops, actions.stops_of(made)) == (True, set())
        whys = set(made.history.values_list("history_change_reason", flat=True))
        assert {"they moved", "for all after all"} <= whys

    def test_what_was_granted_is_fixed(self, by: Any) -> None:
        made = granted(by)
        for values, stops in (({"layer": 4}, None), ({"kind": "other"}, None), ({}, [plans.stop(made.plan).pk])):
            with pytest.raises(PlanError, match="take that step back first"):
                actions.edit_application(application=made, values=values, stops=stops, by=by, why="x")
        actions.edit_application(application=made, values={"note": "kept in the safe"}, by=by, why="x")
        assert now(made).note == "kept in the safe"

    def test_a_closed_plan_is_left_alone(self, by: Any) -> None:
        made = plans.application()
        FieldPlan.objects.filter(pk=made.plan_id).update(closed_at=timezone.now(), closed_by=by, closed_why="no money")
        for act in (
            lambda: actions.add_application(plan=made.plan, values={"layer": 5, "kind": "other"}, by=by),
            lambda: actions.edit_application(application=made, values={"note": "x"}, by=by, why="x"),
            lambda: ask(application=made, on=DAY, by=by),
            lambda: grant(application=made, on=DAY, paper=register.paper(layers=(Layer.EXPORT,)), by=by),
        ):
            with pytest.raises(PlanError, match="closed"):
                act()


def granted(by: Any, **values: Any) -> Application:
    made = plans.application(**values)
    return grant(application=made, on=DAY, paper=register.paper("EXP-2027-001", (Layer.EXPORT,)), by=by)


class TestSteps:
    """Each step, its undoing, and its boundary days."""

    def test_the_whole_way_and_back(self, by: Any) -> None:
        made = plans.application()
        ask(application=made, on=BEFORE, number=" ND/26/311 ", by=by)
        assert (now(made).state, now(made).number, now(made).assignee) == (State.ASKED, "ND/26/311", by)
        promise(application=made, on=date(2027, 3, 1), by=by)
        promise(application=made, on=date(2027, 4, 1), by=by)
        assert (now(made).state, now(made).promised_on) == (State.PROMISED, date(2027, 4, 1))
        grant(application=made, on=DAY, paper=register.paper(layers=(Layer.EXPORT,)), by=by)
        assert now(made).state == State.GRANTED
        for state in (State.PROMISED, State.ASKED, State.TO_ASK):
            undo_step(application=made, by=by, why="wrong letter")
            assert now(made).state == state
        assert now(made).paper is None
        with pytest.raises(PlanError, match="Nothing was done yet"):
            undo_step(application=made, by=by, why="again")

    def test_who_asked_is_kept_if_named(self, by: Any) -> None:
        other = register.person(Role.REGISTRAR)
        assert ask(application=plans.application(assignee=other), on=DAY, by=by).assignee == other
        assert ask(application=plans.application(assignee=other), on=DAY, assignee=by, by=by).assignee == by

    def test_refused_with_what_they_said(self, by: Any) -> None:
        made = ask(application=plans.application(note="Ask for Ana."), on=BEFORE, by=by)
        with pytest.raises(ValidationError, match="what they said"):
            refuse(application=made, on=DAY, note="  ", by=by)
        refuse(application=made, on=DAY, note="Closed until the survey is done.", by=by)
        assert now(made).state == State.REFUSED
        assert now(made).note == "Ask for Ana.\nClosed until the survey is done."
        assert undo_step(application=made, by=by, why="they took it back").state == State.ASKED

    def test_given_up_for_a_reason(self, by: Any) -> None:
        made = plans.application()
        with pytest.raises(PlanError, match="why it is given up"):
            give_up(application=made, on=DAY, by=by, why=" ")
        assert give_up(application=made, on=DAY, by=by, why="we stay at home").state == State.DROPPED
        assert undo_step(application=made, by=by, why="we go").state == State.TO_ASK

    def test_every_step_has_its_history(self, by: Any) -> None:
        made = ask(application=plans.application(), on=BEFORE, by=by, why="posted")
        undo_step(application=made, by=by, why="not posted")
        rows = list(
            made.history.order_by("history_id").values_list("history_change_reason", "history_user", "asked_on")
        )
        assert rows[-2:] == [("posted", by.pk, BEFORE), ("not posted", by.pk, None)]

    @pytest.mark.parametrize(("day", "is_right"), [(BEFORE, True), (DAY, True), (AFTER, False)])
    def test_what_happened_is_not_to_come(self, by: Any, day: date, is_right: bool) -> None:
        """Today is 26 November 2026: the day before counts, the day, not the day after. A promise may be to come."""
        asked = plans.application(asked_on=date(2026, 11, 1))
        acts = {
            "ask": lambda: ask(application=plans.application(), on=day, by=by),
            "refuse": lambda: refuse(application=asked, on=day, note="No.", by=by),
            "give_up": lambda: give_up(application=plans.application(), on=day, by=by, why="x"),
            "grant": lambda: grant(
                application=plans.application(), on=day, paper=register.paper("EXP-1", (Layer.EXPORT,)), by=by
            ),
        }  # fmt: skip
        for act in acts.values():
            if is_right:
                act()
            else:
                with pytest.raises(ValidationError, match="27 November 2026 is still to come"):
                    act()
        promise(application=plans.application(asked_on=date(2026, 11, 1)), on=day, by=by)

    @pytest.mark.parametrize(
        ("day", "is_right"), [(date(2026, 11, 19), False), (BEFORE, True), (date(2026, 11, 21), True)]
    )
    def test_no_answer_before_asking(self, by: Any, day: date, is_right: bool) -> None:
        """It was asked for on 20 November 2026; an answer on the same day is one."""
        export = register.paper("EXP-1", (Layer.EXPORT,))
        acts = [
            lambda one: promise(application=one, on=day, by=by),
            lambda one: refuse(application=one, on=day, note="No.", by=by),
            lambda one: give_up(application=one, on=day, by=by, why="x"),
            lambda one: grant(application=one, on=day, paper=export, by=by),
        ]
        for act in acts:
            one = plans.application(asked_on=BEFORE)
            if is_right:
                act(one)
            else:
                with pytest.raises(ValidationError, match="before it was asked for, on 20 November 2026"):
                    act(one)


def in_state(state: str, by: Any) -> Application:
    """An application past the actions."""
    days: dict[State, dict[str, Any]] = {
        State.TO_ASK: {}, State.ASKED: {"asked_on": BEFORE}, State.PROMISED: {"asked_on": BEFORE, "promised_on": AFTER},
        State.REFUSED: {"asked_on": BEFORE, "refused_on": BEFORE}, State.DROPPED: {"dropped_on": BEFORE},
        State.GRANTED: {"granted_on": BEFORE, "paper": register.paper("EXP-GRANTED", (Layer.EXPORT,))},
    }  # fmt: skip
    return plans.application(**days[State(state)])


ACTS: dict[str, Any] = {
    "ask": lambda one, by: ask(application=one, on=DAY, by=by),
    "promise": lambda one, by: promise(application=one, on=DAY, by=by),
    "refuse": lambda one, by: refuse(application=one, on=DAY, note="No.", by=by),
    "give-up": lambda one, by: give_up(application=one, on=DAY, by=by, why="x"),
    "grant": lambda one, by: grant(application=one, on=DAY, paper=register.paper("EXP-1", (Layer.EXPORT,)), by=by),
    "undo": lambda one, by: undo_step(application=one, by=by, why="x"),
}
ILLEGAL = {
    "to-ask": {"promise": "not asked for yet", "refuse": "not asked for yet", "undo": "Nothing was done yet"},
    "asked": {"ask": "asked for already, on 20 November 2026"},
    "promised": {"ask": "an answer is promised for 27 November 2026"},
    "granted": dict.fromkeys(("ask", "promise", "refuse", "give-up", "grant"), "granted on 20 November 2026"),
    "refused": dict.fromkeys(("ask", "promise", "refuse", "give-up", "grant"), "refused on 20 November 2026"),
    "dropped": dict.fromkeys(("ask", "promise", "refuse", "give-up", "grant"), "given up on 20 November 2026"),
}
"""State, step, and words that its refusal must hold; every pair that is not here is a step."""


@pytest.mark.parametrize("state", State.values)
@pytest.mark.parametrize("step", ACTS)
def test_every_step_from_every_state(by: Any, state: str, step: str) -> None:
    one = in_state(state, by)
    refusal = ILLEGAL[state].get(step)
    if refusal is None:
        ACTS[step](one, by)
        assert step == "promise" or now(one).state != state
        return
    with pytest.raises(PlanError, match=refusal):
        ACTS[step](one, by)
    assert now(one).state == state


def test_two_people_undo_at_once(by: Any) -> None:
    """The second saw it asked for; it is to be asked for again by then."""
    made = ask(application=plans.application(), on=BEFORE, by=by)
    undo_step(application=made, by=by, why="x", state="asked")
    with pytest.raises(PlanError):
        undo_step(application=made, by=by, why="x", state="asked")


class TestGranting:
    """What was granted becomes a paper on file, linked, with its scans; and covers nothing before it is read."""

    def face(self, **more: Any) -> dict[str, Any]:
        return {"reference": "EXP-2027-001", "kind": "export-permit", "layers": ["export"], "issuer": "Ministry"} | more

    def test_a_new_paper_is_registered_unread(self, by: Any) -> None:
        made = grant(application=plans.application(), on=DAY, data=self.face(), by=by)
        paper = Paper.objects.get(reference="EXP-2027-001")
        assert (made.paper, paper.versions.count(), paper.layer_list) == (paper, 0, [Layer.EXPORT])
        attached = PlanPaper.objects.get()
        assert (attached.plan, attached.stop, attached.paper, attached.linked_by) == (made.plan, None, paper, by)
        assert made.plan.versions.count() == 1

    def test_it_covers_nothing_before_it_is_read(self, by: Any) -> None:
        """The contract of verdicts, section 3: a paper without a version cannot tell; asked for, there is none."""
        plan = plans.field_plan()
        stop = plans.stop(plan, country="GE")
        register.rule(register.sheet("GE"), Layer.COLLECTING)
        wish = plans.application(plan, layer=1, kind="collecting-permit")

        def verdict() -> Verdict:
            return check_plan(plan, today=DAY).cells[stop.pk, Layer.COLLECTING].verdict

        assert verdict() == Verdict.MISSING
        ask(application=wish, on=BEFORE, by=by)
        promise(application=wish, on=AFTER, by=by)
        assert verdict() == Verdict.MISSING
        data = self.face(kind="collecting-permit", layers=["collecting"])
        grant(application=wish, on=DAY, data=data, by=by)
        assert verdict() == Verdict.CANNOT_TELL
        undo_step(application=wish, by=by, why="it was another plan's")
        assert verdict() == Verdict.MISSING

    def test_it_is_attached_to_its_stops_alone(self, by: Any) -> None:
        plan = plans.field_plan()
        first, second, _third = (plans.stop(plan) for _ in range(3))
        made = actions.add_application(
            plan=plan, values={"layer": 5, "kind": "export-permit"}, stops=[first.pk, second.pk], by=by
        )
        grant(application=made, on=DAY, data=self.face(), by=by)
        assert set(PlanPaper.objects.values_list("stop", flat=True)) == {first.pk, second.pk}

    def test_not_to_all_stops_once_its_own_are_gone(self, by: Any) -> None:
        """It was for one stop; with that taken out, the paper must not speak for the others."""
        plan = plans.field_plan()
        only, _other = plans.stop(plan), plans.stop(plan)
        made = actions.add_application(plan=plan, values={"layer": 5, "kind": "export-permit"}, stops=[only.pk], by=by)
        only.delete()
        with pytest.raises(PlanError, match="taken out of the plan"):
            grant(application=made, on=DAY, data=self.face(), by=by)
        assert not Paper.objects.exists()

    def test_attached_already_is_left_as_it_is(self, by: Any) -> None:
        made, paper = plans.application(), register.paper(layers=(Layer.EXPORT,))
        plans.attach(made.plan, paper, by)
        grant(application=made, on=DAY, paper=paper, by=by)
        assert PlanPaper.objects.count() == 1
        undo_step(application=made, by=by, why="x")
        assert PlanPaper.objects.filter(unlinked_at__isnull=True).count() == 1

    def test_undone_it_speaks_no_more_and_stays_on_file(self, by: Any) -> None:
        made = granted(by)
        undo_step(application=made, by=by, why="another plan")
        ended = PlanPaper.objects.get()
        assert (ended.unlinked_by, ended.unlinked_why) == (by, "another plan")
        assert Paper.objects.filter(reference="EXP-2027-001").exists()
        again = grant(application=made, on=DAY, paper=Paper.objects.get(reference="EXP-2027-001"), by=by)
        assert (again.state, PlanPaper.objects.filter(unlinked_at__isnull=True).count()) == (State.GRANTED, 1)

    def test_other_layers_are_refused(self, by: Any) -> None:
        made = plans.application()
        with pytest.raises(ValidationError, match="answers Land, and Export was asked for") as problem:
            grant(application=made, on=DAY, paper=register.paper(layers=(Layer.LAND,)), by=by)
        assert "paper" in problem.value.error_dict
        with pytest.raises(ValidationError, match="answers Collecting, and Export") as problem:
            grant(application=made, on=DAY, data=self.face(layers=["collecting"]), by=by)
        assert "layers" in problem.value.error_dict
        assert now(made).state == State.TO_ASK

    def test_a_reference_in_use_is_refused_and_nothing_is_half_saved(self, by: Any) -> None:
        made = plans.application()
        register.paper("EXP-2027-001", (Layer.EXPORT,))
        with pytest.raises(FileProblems, match="EXP-2027-001"):
            grant(application=made, on=DAY, data=self.face(), by=by)
        assert (now(made).state, Paper.objects.count(), PlanPaper.objects.count()) == (State.TO_ASK, 1, 0)

    def test_a_paper_that_is_closed_to_the_person_is_refused(self, by: Any) -> None:
        paper = register.paper(
            layers=(Layer.EXPORT,), restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="names of owners"
        )
        with pytest.raises(RestrictedPaperError, match="compliance officers"):
            grant(application=plans.application(), on=DAY, paper=paper, by=by)

    def test_its_files_are_filed_with_the_paper(self, by: Any) -> None:
        made = plans.application()
        plans.application_scan(made, scans.scan())
        closed = scans.scan(scans.pdf(2), original_name="secret.pdf", restricted_to=role_bits([Role.COMPLIANCE]))
        plans.application_scan(made, closed)
        done = grant(application=made, on=DAY, data=self.face(), by=by)
        filed = PaperScan.objects.get()
        assert (filed.paper, filed.scan.original_name, filed.filed_by) == (done.paper, "permit.pdf", by)


class TestFiles:
    """Letters and answers that belong to an application."""

    def test_kept_once(self, by: Any) -> None:
        made, scan = plans.application(), scans.scan()
        told = [actions.add_scans(application=made, drop=Drop(scans=[scan]), by=by) for _ in range(2)]
        assert [one.words for (one,) in told] == [
            "Kept with the application.", "It is with this application already. Nothing was changed.",
        ]  # fmt: skip
        assert ApplicationScan.objects.get().added_by == by

    def test_it_waits_for_no_other_place(self, by: Any) -> None:
        scan = scans.scan()
        assert list(unfiled()) == [scan]
        actions.add_scans(application=plans.application(), drop=Drop(scans=[scan]), by=by)
        assert not unfiled()

    def test_closed_to_the_person(self, by: Any) -> None:
        closed = scans.scan(restricted_to=role_bits([Role.COMPLIANCE]))
        made = plans.application()
        with pytest.raises(NotAllowedError):
            actions.add_scans(application=made, drop=Drop(scans=[closed]), by=by)
        attached = plans.application_scan(made, closed)
        with pytest.raises(NotAllowedError):
            actions.take_scan_off(attached=attached, by=by, why="x")

    def test_taken_off_for_a_reason_with_its_history(self, by: Any) -> None:
        attached = plans.application_scan(plans.application(), scans.scan())
        with pytest.raises(PlanError, match="why it is taken off"):
            actions.take_scan_off(attached=attached, by=by, why=" ")
        actions.take_scan_off(attached=attached, by=by, why="of another plan")
        with pytest.raises(PlanError, match="meanwhile"):
            actions.take_scan_off(attached=attached, by=by, why="of another plan")
        gone = ApplicationScan.history.filter(history_type="-").get()
        assert (gone.history_user, gone.history_change_reason) == (by, "of another plan")
