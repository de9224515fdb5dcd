"""Days at the ends of the calendar, characters that no file holds, and what two people do at once to a plan."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.plans.actions.locking import PlanError
from governance.plans.actions.notices import take_off_notice
from governance.plans.actions.stops import edit_stop
from governance.plans.actions.ways_home import edit_way_home, remove_way_home
from governance.plans.models import Consignment, FieldPlan, PlanNotice
from tests.factories import plans, register
from tests.integration.test_access_sweep import signed_in

pytestmark = pytest.mark.django_db

PAGES = ("plan", "plan-calendar", "plan-pack", "plan-pack-docx", "plan-areas-gpx", "plan-areas-geojson", "plan-csv",
         "plan-xlsx", "plan-turn", "plan-copy", "plan-versions")  # fmt: skip


@pytest.fixture
def plan() -> FieldPlan:
    """A stop under a paper that asks for notice, a rule with a lead time, a way home."""
    made = plans.field_plan()
    plans.stop(made)
    sheet = register.sheet("SE")
    for layer in Layer:
        register.rule(sheet, layer, lead_days=150)
    paper = register.paper(jurisdiction="SE", layers=tuple(Layer))
    version = register.version(paper, "2027-01-01", "2027-12-31")
    version.conditions.create(text="Tell us.", notice_days=30, report_by="01-31")
    plans.attach(made, paper, register.person())
    plans.way_home(made, from_country="SE", to_country="GE", exported_on="2027-06-10", imported_on="2027-06-12")
    return made


def statuses(plan: FieldPlan, client: Client | None = None) -> dict[str, int]:
    asking = client or signed_in(Role.REGISTRAR)
    found = {}
    for name in PAGES:
        answer = asking.get(reverse(f"plans:{name}", args=[plan.pk]))
        b"".join(answer) if answer.streaming else answer.content  # type: ignore[call-overload]
        found[name] = answer.status_code
    return found


ALL_WELL = dict.fromkeys(PAGES, 200)


@pytest.mark.parametrize("day", ["0001-01-01", "0001-06-01", "9999-12-31", "9999-06-01"])
def test_way_home_at_the_ends_of_the_calendar(plan: FieldPlan, day: str) -> None:
    """A slip of typing that the form keeps as written, as a delivery does."""
    plan.consignments.update(exported_on=day, imported_on=day, transferred_on=day)
    assert statuses(plan) == ALL_WELL


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_stop_of_another_age_is_refused(plan: FieldPlan, day: str) -> None:
    client = signed_in(Role.REGISTRAR)
    sent = {"name": "Weir", "country": "SE", "first_on": day, "last_on": day, "targets-TOTAL_FORMS": "0",
            "targets-INITIAL_FORMS": "0", "traps-TOTAL_FORMS": "0", "traps-INITIAL_FORMS": "0"}  # fmt: skip
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), sent)
    assert answer.status_code == 422
    assert b"1900" in answer.content
    assert plan.stops.count() == 1


@pytest.mark.parametrize("day", [date(1, 1, 1), date(9999, 12, 31), date(1899, 12, 31), date(2201, 1, 1)])
def test_no_action_takes_a_day_of_another_age(plan: FieldPlan, day: date) -> None:
    """The form is not the only way in: traps, and days that a copy moves."""
    by, stop = register.person(Role.REGISTRAR), plan.stops.get()
    with pytest.raises(ValidationError, match="1900 to 2200"):
        edit_stop(stop=stop, values={"first_on": day, "last_on": day}, by=by, why="")
    with pytest.raises(ValidationError, match="1900 to 2200"):
        edit_stop(
            stop=stop, values={}, traps=[{"method": "light trap", "first_on": day, "last_on": day}], by=by, why=""
        )
    assert not stop.traps.exists()


def test_application_of_the_last_day_of_all(plan: FieldPlan) -> None:
    plans.application(plan, start_by="9999-12-31")
    assert statuses(plan) == ALL_WELL


def test_characters_that_no_file_holds(plan: FieldPlan) -> None:
    """XML 1.0, 2.2: most control characters and U+FFFE may not stand in a document; formulas stay text."""
    odd = "=1+1 \t\x01\x0b\x1f\ufffe <b>&amp;</b>"
    plan.stops.update(name=odd, people=odd, methods=odd, remarks=odd)
    plans.target(plan.stops.get(), odd, expected="=2")
    FieldPlan.objects.filter(pk=plan.pk).update(
        reference="F" * 60, title=odd + "T" * 150, contacts=odd, leader=odd, remarks=odd
    )
    plan.consignments.update(carrier=odd)
    assert statuses(plan) == ALL_WELL
    page = signed_in(Role.AUDITOR).get(reverse("plans:plan", args=[plan.pk])).content.decode()
    assert "<b>&amp;</b>" not in page


def test_what_somebody_else_took_off_is_told_so(plan: FieldPlan) -> None:
    """Two people had the same page before them."""
    by, home = register.person(Role.REGISTRAR), plan.consignments.get()
    notice = plans.notice(plan, plan.plan_papers.get().paper)
    stale_home, stale_notice = Consignment.objects.get(pk=home.pk), PlanNotice.objects.get(pk=notice.pk)
    keys = home.pk, notice.pk
    remove_way_home(way_home=home, by=by, why="flown")
    take_off_notice(notice=notice, by=by, why="never sent")
    with pytest.raises(PlanError, match="taken off meanwhile"):
        edit_way_home(way_home=stale_home, values={"carrier": "post"}, by=by, why="")
    with pytest.raises(PlanError, match="taken off meanwhile"):
        remove_way_home(way_home=stale_home, by=by, why="flown")
    with pytest.raises(PlanError, match="taken off meanwhile"):
        take_off_notice(notice=stale_notice, by=by, why="never sent")
    assert Consignment.history.filter(id=keys[0], history_type="-").count() == 1
    assert PlanNotice.history.filter(id=keys[1], history_type="-").count() == 1
