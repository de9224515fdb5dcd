"""Plans begun, corrected, closed, copied and listed; stops and ways home entered, tried, moved and removed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.plans.actions.copying import copy_plan
from governance.plans.actions.locking import PlanError
from governance.plans.actions.plans import add_plan, close_plan, edit_plan, reopen_plan
from governance.plans.actions.stops import add_stop, edit_stop, move_stop, remove_stop, take_stops
from governance.plans.actions.ways_home import add_way_home, remove_way_home
from governance.plans.models import FieldPlan, Stop
from governance.plans.moved_days import Shift
from governance.plans.queries.listing import next_reference
from governance.plans.stop_draft import StopDraft
from tests.factories import plans as f
from tests.factories import register as r

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 26)


@pytest.fixture
def curator() -> User:
    return r.person(Role.CURATOR)


@pytest.fixture
def client(curator: User) -> Client:
    client = Client()
    client.force_login(curator)
    return client


@pytest.fixture
def plan() -> FieldPlan:
    return f.field_plan(reference="FP-2027-01", title="Caddisflies of the upper Vitån")


def stop_data(**typed: str) -> dict[str, str]:
    """What the form of a stop sends, with one group and no trap."""
    return {
        "name": "Upper bridge", "country": "SE", "position": "61.95, 15.3", "radius_m": "200", "first_on": "2027-06-03",
        "last_on": "2027-06-05", "methods": "hand net | kick net", "people": "J. Ek", "targets-TOTAL_FORMS": "2",
        "targets-INITIAL_FORMS": "0", "targets-0-name": "Trichoptera", "targets-0-expected": "400",
        "traps-TOTAL_FORMS": "1", "traps-INITIAL_FORMS": "0",
    } | typed  # fmt: skip


def why_of(stop: Stop) -> Any:
    return stop.history.first()


# The plan itself ------------------------------------------------------------------------------------------------------


def test_a_plan_is_begun_with_a_number_and_a_title(client: Client, curator: User) -> None:
    answer = client.post(reverse("plans:plan-new"), {"reference": "FP-2027-07", "title": "Springs", "language": "es",
                                                     "uses": ["morphology", "sequencing"]})  # fmt: skip
    plan = FieldPlan.objects.get()
    assert answer["Location"] == reverse("plans:plan", args=[plan.pk])
    assert (plan.reference, plan.language, plan.uses) == ("FP-2027-07", "es", ["morphology", "sequencing"])
    assert plan.versions.get().kept_by == curator
    assert plan.history.get().history_user == curator


def test_all_that_is_wrong_with_a_plan_at_once(client: Client, plan: FieldPlan) -> None:
    answer = client.post(reverse("plans:plan-new"), {"reference": "fp-2027-01", "title": "", "language": "xx"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "is the number of “Caddisflies of the upper Vitån”" in text
    assert text.count('class="bad-msg"') == 3
    assert FieldPlan.objects.count() == 1


def test_the_next_number_is_offered() -> None:
    """Plans of next year are begun in this one; a number of another form counts for nothing."""
    assert next_reference(TODAY) == "FP-2026-01"
    f.field_plan(reference="FP-2027-09")
    f.field_plan(reference="FP-2026-30")
    f.field_plan(reference="Summer")
    assert next_reference(TODAY) == "FP-2027-10"
    f.field_plan(reference="FP-2044-01")
    assert next_reference(TODAY) == "FP-2027-10"


def test_only_what_changed_is_a_version(client: Client, plan: FieldPlan) -> None:
    sent = {"reference": plan.reference, "title": "Springs", "language": "en", "why": "other title"}
    client.post(reverse("plans:plan-edit", args=[plan.pk]), sent)
    client.post(reverse("plans:plan-edit", args=[plan.pk]), sent)
    assert [version.why for version in plan.versions.all()] == ["other title"]


def test_two_people_at_one_plan(client: Client, plan: FieldPlan, curator: User) -> None:
    """Whoever saves later sees that somebody was faster; nothing of theirs is written over."""
    page = client.get(reverse("plans:plan-edit", args=[plan.pk]))
    edit_plan(plan=plan, values={"title": "Springs"}, by=curator, why="first")
    seen = {"seen": page.context["form"]["seen"].value() or ""}
    edit_plan(plan=plan, values={"title": "Springs and wells"}, by=curator, why="second")
    seen = {"seen": 1}
    answer = client.post(reverse("plans:plan-edit", args=[plan.pk]), {"reference": "FP-2027-01", "title": "Mine",
                                                                       "language": "en", **seen})  # fmt: skip
    assert answer.status_code == 422
    assert "changed this plan meanwhile" in answer.content.decode()
    plan.refresh_from_db()
    assert plan.title == "Springs and wells"


def test_a_use_that_is_none_is_refused(curator: User) -> None:
    with pytest.raises(ValidationError, match="eating"):
        add_plan(values={"reference": "A", "title": "B", "uses": ["eating"]}, by=curator, why="x")


def test_a_plan_is_closed_for_a_reason_and_taken_up_again(client: Client, plan: FieldPlan) -> None:
    address = reverse("plans:plan-close", args=[plan.pk])
    assert client.post(address, {"why": " "}).status_code == 422
    assert client.post(address, {"why": "put off to 2028"}).status_code == 302
    plan.refresh_from_db()
    assert (plan.is_open, plan.closed_why) == (False, "put off to 2028")
    assert "put off to 2028" in client.get(address).content.decode()
    assert client.post(address, {}).status_code == 302
    plan.refresh_from_db()
    assert (plan.is_open, plan.closed_why, plan.closed_by) == (True, "", None)


def test_a_closed_plan_is_not_changed(client: Client, plan: FieldPlan, curator: User) -> None:
    stop = f.stop(plan)
    close_plan(plan=plan, by=curator, why="over")
    for act in (
        lambda: edit_plan(plan=plan, values={"title": "x"}, by=curator, why="x"),
        lambda: add_stop(plan=plan, values={"name": "x"}, by=curator, why="x"),
        lambda: edit_stop(stop=stop, values={"name": "x"}, targets=None, traps=None, by=curator, why="x"),
        lambda: remove_stop(stop=stop, by=curator, why="x"),
        lambda: move_stop(stop=stop, up=True, by=curator, why="x"),
        lambda: take_stops(plan=plan, stops=[StopDraft({"name": "x"})], replace=False, by=curator, why="x"),
        lambda: add_way_home(plan=plan, values={"carrier": "post"}, by=curator, why="x"),
        lambda: close_plan(plan=plan, by=curator, why="twice"),
    ):
        with pytest.raises(PlanError, match="closed"):
            act()
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), stop_data())
    assert answer.status_code == 422
    assert "This plan is closed" in answer.content.decode()


def test_an_open_plan_cannot_be_opened(plan: FieldPlan, curator: User) -> None:
    with pytest.raises(PlanError, match="open"):
        reopen_plan(plan=plan, by=curator, why="x")


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_plan_trips_changes_nothing(role: Role, plan: FieldPlan) -> None:
    stop, home = f.stop(plan), f.way_home(plan)
    client = Client()
    client.force_login(r.person(role))
    of_plan = ("plan-edit", "plan-close", "plan-copy", "stop-new", "stops-paste", "stops-load", "home-new")
    pages = [(name, plan.pk) for name in of_plan]
    pages += [("stop-edit", stop.pk), ("stop-remove", stop.pk), ("home-edit", home.pk), ("home-remove", home.pk)]
    for name, key in pages:
        assert client.post(reverse(f"plans:{name}", args=[key]), {"name": "x"}).status_code == 403
    assert client.post(reverse("plans:stop-move", args=[stop.pk])).status_code == 403
    assert client.get(reverse("plans:plans")).status_code == 200
    with pytest.raises(NotAllowedError):
        add_plan(values={"reference": "A", "title": "B"}, by=r.person(role), why="x")


def test_a_stop_is_moved_by_post_alone(client: Client) -> None:
    assert client.get(reverse("plans:stop-move", args=[f.stop().pk])).status_code == 405


# Copies ---------------------------------------------------------------------------------------------------------------


def test_last_years_plan_with_all_days_moved(plan: FieldPlan, curator: User) -> None:
    home = f.way_home(plan, exported_on="2027-06-20", imported_on="2027-06")
    stop = f.stop(plan, first_on=date(2028, 2, 28), last_on=date(2028, 2, 29), consignment=home, area="")
    f.target(stop, expected="400")
    f.trap(stop, number=2, last_on=date(2028, 3, 1))
    close_plan(plan=plan, by=curator, why="over")
    made = copy_plan(
        plan=plan, reference="FP-2029-01", title="Again", shift=Shift(years=1), today=TODAY, by=curator, why="copied"
    )
    new = made.plan.stops.get()
    assert (new.first_on, new.last_on) == (date(2029, 2, 28), date(2029, 2, 28))  # 2029 has no 29 February
    assert (new.name, new.people, new.longitude_deg) == (stop.name, stop.people, stop.longitude_deg)
    assert new.targets.get().expected == "400"
    trap = new.traps.get()
    assert (trap.number, trap.first_on, trap.last_on) == (2, date(2029, 2, 28), date(2029, 3, 1))
    assert new.consignment is not None
    assert (new.consignment.exported_on, new.consignment.imported_on) == ("2028-06-20", "")
    assert made.days_left == ("2027-06",)
    assert made.plan.copied_from == plan
    assert made.plan.versions.get().contents["stops"][0]["name"] == stop.name
    stop.refresh_from_db()
    assert stop.first_on == date(2028, 2, 28), "the old plan stays as it was"


def test_papers_come_along_if_they_are_in_force_on_the_first_new_day(plan: FieldPlan, curator: User) -> None:
    """The first day becomes 3 June 2028: one paper holds until that day, one ends the day before."""
    stop = f.stop(plan)
    lasting, ending, taken_off = (r.paper(f"COL-{n}") for n in range(3))
    r.version(lasting, "2027-01-01", "2028-06-03")
    r.version(ending, "2027-01-01", "2028-06-02")
    r.version(taken_off, "2027-01-01", "2030-01-01")
    f.attach(plan, lasting, curator, stop=stop)
    f.attach(plan, ending, curator)
    f.attach(plan, taken_off, curator, unlinked_at="2026-11-26T00:00Z", unlinked_by=curator)
    f.application(plan)
    f.decision(plan)
    made = copy_plan(
        plan=plan, reference="B", title="B", shift=Shift(years=1), with_papers=True, today=TODAY, by=curator, why="x"
    )
    row = made.plan.plan_papers.get()
    assert (row.paper, row.stop) == (lasting, made.plan.stops.get())
    assert (made.papers, made.papers_left) == (1, (ending.reference,))
    assert not made.plan.applications.exists()
    assert not made.plan.decisions.exists()


def test_a_copy_on_the_same_weekdays(client: Client, plan: FieldPlan) -> None:
    """3 June 2027 is a Thursday, and 52 weeks later is 1 June 2028."""
    f.stop(plan)
    answer = client.post(reverse("plans:plan-copy", args=[plan.pk]), {
        "reference": "FP-2028-01", "title": "Again", "by": "years", "number": "1", "same_weekdays": "on",
        "papers": "none",
    }, follow=True)  # fmt: skip
    stop = Stop.objects.get(plan__reference="FP-2028-01")
    assert (stop.first_on, stop.last_on) == (date(2028, 6, 1), date(2028, 6, 3))
    assert "Applications, decisions, notices and sign-offs stay with the old plan" in answer.content.decode()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"reference": "FP-2027-01"}, "Give this plan a number of its own"),
        ({"number": ""}, "Say by how many"),
        ({"number": "51"}, "51 years is too far"),
        ({"by": "sideways"}, "sideways"),
        ({"title": ""}, "required"),
    ],
)
def test_a_copy_that_cannot_be(client: Client, plan: FieldPlan, typed: dict[str, str], words: str) -> None:
    sent = {"reference": "B", "title": "B", "by": "years", "number": "1", "papers": "none"} | typed
    answer = client.post(reverse("plans:plan-copy", args=[plan.pk]), sent)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert FieldPlan.objects.count() == 1


# Stops ----------------------------------------------------------------------------------------------------------------


def test_a_stop_with_its_groups_and_traps(client: Client, plan: FieldPlan) -> None:
    typed = {"traps-0-method": "Malaise trap", "traps-0-number": "2", "traps-0-first_on": "2027-06-03"}
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), stop_data(**typed))
    assert answer["Location"] == reverse("plans:plan", args=[plan.pk])
    stop = plan.stops.get()
    assert (stop.latitude_deg, stop.longitude_deg, stop.radius_m) == (61.95, 15.3, 200)
    assert (stop.methods, stop.country) == ("hand net | kick net", "SE")
    assert [(row.name, row.expected) for row in stop.targets.all()] == [("Trichoptera", "400")]
    trap = stop.traps.get()
    assert (trap.method, trap.number, trap.first_on, trap.last_on) == ("Malaise trap", 2, date(2027, 6, 3), None)


def test_only_the_name_is_needed(client: Client, plan: FieldPlan) -> None:
    data = {name: "" for name in stop_data() if not name.endswith("_FORMS")}
    counts = {name: value for name, value in stop_data().items() if name.endswith("_FORMS")}
    assert (
        client.post(reverse("plans:stop-new", args=[plan.pk]), data | counts | {"name": "Somewhere"}).status_code == 302
    )
    assert plan.stops.get().first_on is None


def test_all_mistakes_of_a_stop_at_once(client: Client, plan: FieldPlan) -> None:
    wrong = {
        "name": "", "site": "nowhere", "country": "Atlantis", "position": "north", "radius_m": "far",
        "last_on": "2027-06-02", "targets-0-name": "", "traps-0-number": "2",
    }  # fmt: skip
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), stop_data(**wrong))
    text = answer.content.decode()
    assert answer.status_code == 422
    for words in ("nowhere", "Atlantis", "latitude, longitude", "far” is no length", "2027-06-02, is before the first",
                  "Name the group", "Name the kind of trap"):  # fmt: skip
        assert words in text, words
    assert not plan.stops.exists()


def test_a_stop_has_one_place(client: Client, plan: FieldPlan) -> None:
    ring = '{"type": "Polygon", "coordinates": [[[15, 61], [15.1, 61], [15.1, 61.1], [15, 61]]]}'
    address = reverse("plans:stop-new", args=[plan.pk])
    answer = client.post(address, stop_data(area=ring))
    assert answer.status_code == 422
    assert "one place" in answer.content.decode()
    assert client.post(address, stop_data(area=ring, position="", radius_m="")).status_code == 302
    assert '"Polygon"' in plan.stops.get().area


def test_an_area_that_crosses_itself_is_refused(client: Client, plan: FieldPlan) -> None:
    bow_tie = '{"type": "Polygon", "coordinates": [[[15, 61], [16, 62], [16, 61], [15, 62], [15, 61]]]}'
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), stop_data(area=bow_tie, position="", radius_m=""))
    assert answer.status_code == 422
    assert "crosses or touches itself" in answer.content.decode()


def test_a_number_that_is_none_is_kept_with_a_gentle_note(client: Client, plan: FieldPlan) -> None:
    answer = client.post(
        reverse("plans:stop-new", args=[plan.pk]), stop_data(**{"targets-0-expected": "plenty"}), follow=True
    )
    assert plan.stops.get().targets.get().expected == "plenty"
    assert "Expected number of Trichoptera, “plenty”" in answer.content.decode()


def test_more_rows_save_nothing_and_complain_of_nothing(client: Client, plan: FieldPlan) -> None:
    answer = client.post(reverse("plans:stop-new", args=[plan.pk]), stop_data(name="", more_targets="1"))
    assert answer.status_code == 200
    assert "targets-4-name" in answer.content.decode()
    assert not plan.stops.exists()


def test_what_if_saves_nothing_and_keeps_what_was_typed(client: Client, plan: FieldPlan) -> None:
    stop = f.stop(plan, name="Mire")
    data = stop_data(name="Other mire", what_if="1")
    answer = client.post(reverse("plans:stop-edit", args=[stop.pk]), data)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Nothing is saved yet" in text
    assert 'value="Other mire"' in text
    stop.refresh_from_db()
    assert stop.name == "Mire"
    assert not stop.targets.exists()
    assert not plan.versions.exists()


def test_rows_that_stay_keep_their_key(client: Client, plan: FieldPlan) -> None:
    stop = f.stop(plan)
    one, two = f.target(stop, "Trichoptera"), f.target(stop, "Odonata", position=1)
    data = stop_data(**{
        "targets-0-pk": str(one.pk), "targets-0-name": "", "targets-0-expected": "", "targets-1-pk": str(two.pk),
        "targets-1-name": "Anisoptera",
    })  # fmt: skip
    assert client.post(reverse("plans:stop-edit", args=[stop.pk]), data).status_code == 302
    assert [(row.pk, row.name) for row in stop.targets.all()] == [(two.pk, "Anisoptera")]
    assert two.history.first().prev_record.name == "Odonata"


def test_a_way_home_of_another_plan_is_refused(plan: FieldPlan, curator: User) -> None:
    with pytest.raises(ValidationError, match="another plan"):
        add_stop(plan=plan, values={"name": "A", "consignment": f.way_home(f.field_plan())}, by=curator, why="x")


def test_stops_change_places(plan: FieldPlan, curator: User, client: Client) -> None:
    stops = [add_stop(plan=plan, values={"name": name}, by=curator, why="x") for name in "ABC"]
    client.post(reverse("plans:stop-move", args=[stops[2].pk]), {"to": "up"})
    client.post(reverse("plans:stop-move", args=[stops[0].pk]), {"to": "down"})
    assert [stop.name for stop in plan.stops.order_by("position")] == ["C", "A", "B"]
    assert not move_stop(stop=stops[2], up=True, by=curator, why="x"), "the first does not move up"


def test_a_stop_goes_with_what_hangs_on_it(client: Client, plan: FieldPlan, curator: User) -> None:
    stop, other = f.stop(plan, name="Mire"), f.stop(plan, position=1)
    f.target(stop)
    paper = r.paper("COL-2027-001")
    f.attach(plan, paper, curator, stop=stop)
    page = client.get(reverse("plans:stop-remove", args=[stop.pk])).content.decode()
    assert "COL-2027-001" in page
    assert client.post(reverse("plans:stop-remove", args=[stop.pk]), {"why": "too far"}).status_code == 302
    assert list(plan.stops.all()) == [other]
    assert Stop.history.filter(history_type="-").get().history_change_reason == "too far"


def test_a_stop_for_which_alone_something_is_asked_stays(plan: FieldPlan, curator: User) -> None:
    """An application without stops is for all of them: it must not come to say so by itself."""
    stop, other = f.stop(plan, name="Mire"), f.stop(plan)
    application = f.application(plan)
    application.application_stops.create(stop=stop)
    with pytest.raises(PlanError, match="Mire alone"):
        remove_stop(stop=stop, by=curator, why="x")
    application.application_stops.create(stop=other)
    remove_stop(stop=stop, by=curator, why="x")
    assert [row.stop for row in application.application_stops.all()] == [other]


def test_what_was_refused_for_a_stop_alone_says_so_when_the_stop_goes(plan: FieldPlan, curator: User) -> None:
    stop = f.stop(plan, name="Mire")
    application = f.application(plan, asked_on=date(2026, 10, 1), refused_on=date(2026, 11, 1))
    application.application_stops.create(stop=stop)
    remove_stop(stop=stop, by=curator, why="x")
    application.refresh_from_db()
    assert "for the stop Mire" in application.note


def test_taking_many_is_all_or_none(plan: FieldPlan, curator: User) -> None:
    drafts = [StopDraft({"name": "A"}), StopDraft({"name": "B", "first_on": date(2027, 6, 2), "last_on": TODAY})]
    with pytest.raises(ValidationError, match="before the first day"):
        take_stops(plan=plan, stops=drafts, replace=False, by=curator, why="x")
    assert not plan.stops.exists()


def test_replacing_keeps_a_stop_of_the_same_name(plan: FieldPlan, curator: User) -> None:
    """With its papers, and with what the table says nothing of."""
    mire = f.stop(plan, name="Mire")
    f.stop(plan, name="Moor", position=1)
    attached = f.attach(plan, r.paper(), curator, stop=mire)
    drafts = [StopDraft({"name": "Spring"}), StopDraft({"name": "mire", "first_on": date(2027, 6, 4)}, None, None)]
    assert take_stops(plan=plan, stops=drafts, replace=True, by=curator, why="x") == (1, 1, 1)
    assert [stop.name for stop in plan.stops.order_by("position")] == ["Spring", "mire"]
    mire.refresh_from_db()
    assert (mire.first_on, mire.methods) == (date(2027, 6, 4), "hand net")
    attached.refresh_from_db()
    assert attached.stop == mire


def test_a_plan_has_no_end_of_stops(plan: FieldPlan, curator: User) -> None:
    drafts = [StopDraft({"name": f"{n}"}) for n in range(501)]
    with pytest.raises(PlanError, match="501 stops"):
        take_stops(plan=plan, stops=drafts, replace=False, by=curator, why="x")


# Ways home ------------------------------------------------------------------------------------------------------------


def test_a_way_home(client: Client, plan: FieldPlan) -> None:
    typed = {"from_country": "Georgia", "to_country": "SE", "exported_on": "2027-06-28", "cites": "listed"}
    assert client.post(reverse("plans:home-new", args=[plan.pk]), typed).status_code == 302
    home = plan.consignments.get()
    assert (home.from_country, home.to_country, home.exported_on, home.cites) == ("GE", "SE", "2027-06-28", "listed")
    client.post(reverse("plans:home-edit", args=[home.pk]), typed | {"carrier": "hand baggage"})
    home.refresh_from_db()
    assert home.carrier == "hand baggage"


def test_a_day_that_cannot_be_read_is_kept_with_a_gentle_note(client: Client, plan: FieldPlan) -> None:
    answer = client.post(reverse("plans:home-new", args=[plan.pk]), {"exported_on": "end of June"}, follow=True)
    assert plan.consignments.get().exported_on == "end of June"
    assert "“end of June”" in answer.content.decode()


def test_a_way_home_that_says_nothing(client: Client, plan: FieldPlan) -> None:
    assert client.post(reverse("plans:home-new", args=[plan.pk]), {}).status_code == 422
    answer = client.post(reverse("plans:home-new", args=[plan.pk]), {"from_country": "Atlantis"})
    assert "Atlantis” is no country" in answer.content.decode()
    assert not plan.consignments.exists()


def test_stops_of_a_removed_way_take_the_first(client: Client, plan: FieldPlan, curator: User) -> None:
    f.way_home(plan, from_country="GE", to_country="SE")
    second = f.way_home(plan, from_country="AM", to_country="SE", position=1)
    stop = f.stop(plan, name="Mire", consignment=second)
    page = client.get(reverse("plans:home-remove", args=[second.pk])).content.decode()
    assert "Mire" in page
    assert "GE – SE" in page
    tried = client.post(reverse("plans:home-remove", args=[second.pk]), {"what_if": "1"})
    assert tried.status_code == 200
    assert plan.consignments.count() == 2
    remove_way_home(way_home=second, by=curator, why="by land after all")
    stop.refresh_from_db()
    assert stop.consignment is None
    assert why_of(stop).history_change_reason == "by land after all"


# The list -------------------------------------------------------------------------------------------------------------


def test_the_list_tells_days_countries_and_state(client: Client, plan: FieldPlan, curator: User) -> None:
    stop = f.stop(plan, country="", site=r.site("GE-NAZ-1"))
    f.trap(stop, last_on=date(2027, 7, 1))
    f.stop(plan, country="AM", position=1)
    f.stop(
        f.field_plan(title="Closed one", reference="FP-2026-02"), first_on=date(2026, 5, 1), last_on=date(2026, 5, 2)
    )
    close_plan(plan=FieldPlan.objects.get(reference="FP-2026-02"), by=curator, why="over")
    rows = client.get(reverse("plans:plans")).context["rows"]
    assert [(row.plan.reference, row.state) for row in rows] == [("FP-2027-01", "planned"), ("FP-2026-02", "closed")]
    first = rows[0]
    assert (first.plan.first_on, first.plan.last_on) == (date(2027, 6, 3), date(2027, 7, 1))
    assert (first.countries, first.plan.stop_count) == (("GE", "AM"), 2)


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("state=closed", ["FP-2026-02"]),
        ("state=planned", ["FP-2027-01"]),
        ("state=signed", []),
        ("year=2026", ["FP-2026-02"]),
        ("country=GE", ["FP-2027-01"]),
        ("q=odonata", ["FP-2027-01"]),
        ("q=upper+nothing", []),
        ("sort=reference", ["FP-2026-02", "FP-2027-01"]),
        ("sort=nonsense&state=nonsense&page=99", ["FP-2027-01", "FP-2026-02"]),
    ],
)
def test_the_list_is_narrowed(client: Client, plan: FieldPlan, curator: User, query: str, found: list[str]) -> None:
    f.target(f.stop(plan, country="GE"), "Odonata")
    other = f.field_plan(reference="FP-2026-02")
    f.stop(other, first_on=date(2026, 5, 1), last_on=date(2026, 5, 2))
    close_plan(plan=other, by=curator, why="over")
    rows = client.get(f"{reverse('plans:plans')}?{query}").context["rows"]
    assert [row.plan.reference for row in rows] == found
    lines = b"".join(client.get(f"{reverse('plans:plans-csv')}?{query}")).decode().splitlines()  # type: ignore[arg-type]
    assert [line.split(",")[0] for line in lines[1:]] == found


def test_an_empty_list_has_two_ways_on(client: Client) -> None:
    text = client.get(reverse("plans:plans")).content.decode()
    assert "No field plan yet" in text
    assert f'href="{reverse("plans:plan-new")}"' in text
    assert f'href="{reverse("papers:papers")}"' in text


def test_queries_do_not_grow(client: Client, plan: FieldPlan, django_assert_max_num_queries: Any) -> None:
    """The list asks for its rows once however many there are; a form for what it offers once."""
    for _number in range(5):
        f.target(f.stop(f.field_plan()))
    stop = f.stop(plan)
    for _number in range(5):
        f.target(stop)
    with django_assert_max_num_queries(9):
        client.get(reverse("plans:plans"))
    with django_assert_max_num_queries(15):
        client.get(reverse("plans:stop-edit", args=[stop.pk]))


def test_the_database_itself_keeps_numbers_apart(plan: FieldPlan) -> None:
    with pytest.raises(IntegrityError):
        FieldPlan.objects.create(reference=plan.reference, title="x")


def test_queries_of_a_plan_form(
    client: Client, plan: FieldPlan, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """Session, person, plan, its newest version, the plan as it is shown, people who are offered."""
    with django_assert_num_queries(6):
        client.get(reverse("plans:plan-edit", args=[plan.pk]))
