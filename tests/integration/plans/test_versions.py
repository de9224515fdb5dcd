"""Versions of a plan: kept once for each change, numbered one by one, and readable later."""

from __future__ import annotations

import threading
import time
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, connection, transaction
from django.test import Client
from django.urls import reverse

from accessions.people.editing import NotEditableError
from accessions.people.models import Role, User
from governance.engine.tables import Layer
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.plans import close_plan, edit_plan, reopen_plan
from governance.plans.actions.signing import sign_off
from governance.plans.actions.stops import edit_stop
from governance.plans.actions.versions import keep_version
from governance.plans.actions.ways_home import add_way_home, edit_way_home
from governance.plans.models import FieldPlan, PlanDecision, PlanVersion, Stop
from tests.factories.plans import attach, field_plan, stop, target, trap, way_home
from tests.factories.register import accession, paper, person

pytestmark = pytest.mark.django_db


@pytest.fixture
def curator() -> User:
    return person(Role.CURATOR, first_name="Jon", last_name="Ek")


@pytest.fixture
def reader(client: Client) -> Client:
    """An auditor reads all and writes nothing."""
    client.force_login(person(Role.AUDITOR, username="auditor"))
    return client


def kept_plan(by: User) -> FieldPlan:
    """Two versions: the plan alone, then with a stop and a paper."""
    plan = field_plan(reference="FP-9", title="Fens of the north")
    keep_version(plan, by=by, why="New plan")
    made = stop(plan, name="Upper fen")
    target(made, expected="400")
    trap(made)
    way_home(plan, from_country="SE", to_country="GE")
    attach(plan, paper("COL-2027-001"), by)
    keep_version(plan, by=by, why="Stops pasted")
    return plan


class TestKeeping:
    def test_a_version_is_the_whole_plan_with_who_and_why(self, curator: User) -> None:
        kept = kept_plan(curator).versions.get(number=2)

        assert (kept.kept_by, kept.why) == (curator, "Stops pasted")
        assert [row["name"] for row in kept.contents["stops"]] == ["Upper fen"]

    def test_nothing_is_kept_twice(self, curator: User) -> None:
        plan = kept_plan(curator)

        again = keep_version(plan, by=curator, why="Looked at it")

        assert again.number == 2 and plan.versions.count() == 2

    def test_a_long_reason_is_cut_and_not_refused(self, curator: User) -> None:
        assert len(keep_version(field_plan(), by=curator, why="x" * 500).why) == 200

    def test_the_database_refuses_a_number_twice(self, curator: User) -> None:
        plan = kept_plan(curator)

        with pytest.raises(IntegrityError), transaction.atomic():
            PlanVersion.objects.create(plan=plan, number=2, kept_by=curator, contents={})

    def test_who_read_an_older_version_is_told_so(self, curator: User) -> None:
        plan = kept_plan(curator)

        with pytest.raises(PlanError, match="Jon Ek changed this plan meanwhile"), transaction.atomic():
            locked(plan, seen=1)


@pytest.mark.django_db(transaction=True)
def test_two_changes_at_once_keep_two_versions() -> None:
    """Both threads are at the door together; each changes a stop of its own. No number is given twice, and the second
    version holds what the first one changed.

    The SQLite of tests lies in memory, where a second writer is refused at once instead of waiting: it comes again.
    """
    curator = person(Role.CURATOR)
    plan = kept_plan(curator)
    other = stop(plan, name="Lower fen")
    keep_version(plan, by=curator, why="Another stop")
    keys = [plan.stops.get(name="Upper fen").pk, other.pk]
    meeting, failures = threading.Barrier(2, timeout=20), []

    def saved(key: int) -> bool:
        try:
            with transaction.atomic():
                current = locked(plan)
                Stop.objects.filter(pk=key).update(remarks=f"Changed {key}")
                keep_version(current, by=curator, why=f"Remark {key}")
        except OperationalError:
            if connection.vendor == "postgresql":
                raise
            return False
        return True

    def change(key: int) -> None:
        try:
            meeting.wait()
            until = time.monotonic() + 20
            while not saved(key):
                assert time.monotonic() < until, "still refused"
        except Exception as problem:  # a thread that fails must not pass for one that changed nothing
            failures.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=change, args=[key]) for key in keys]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)

    assert failures == []
    assert list(plan.versions.order_by("number").values_list("number", flat=True)) == [1, 2, 3, 4, 5]
    newest = plan.versions.get(number=5).contents["stops"]
    assert {row["remarks"] for row in newest} == {f"Changed {key}" for key in keys}


class TestList:
    def test_it_tells_number_who_why_and_how_much(self, reader: Client, curator: User) -> None:
        plan = kept_plan(curator)

        page = reader.get(reverse("plans:plan-versions", args=[plan.pk])).content.decode()

        assert "2 versions are kept." in page
        assert "Version 2" in page and "Stops pasted" in page and "Jon Ek" in page
        assert "Upper fen, Way home SE to GE, The plan" in page
        assert '<td class="num">3</td>' in page, "one stop, one way home, one paper"

    def test_it_tells_which_are_signed(self, reader: Client, curator: User) -> None:
        plan = kept_plan(curator)
        by = person(Role.COMPLIANCE, first_name="Ingrid", last_name="Holmqvist")
        sign_off(plan=plan, remark="Looked at it with the curator.", seen=2, by=by)

        page = reader.get(reverse("plans:plan-versions", args=[plan.pk])).content.decode()

        assert "Ingrid Holmqvist" in page

    def test_without_versions_it_says_so(self, reader: Client) -> None:
        page = reader.get(reverse("plans:plan-versions", args=[field_plan().pk])).content.decode()

        assert "No version is kept yet" in page

    def test_pages_of_versions_count_differences_over_their_edge(self, reader: Client, curator: User) -> None:
        """26 versions, 25 a page: the 25th is held against the 26th, which stands on the next page."""
        plan = field_plan(title="0")
        for number in range(1, 27):
            FieldPlan.objects.filter(pk=plan.pk).update(title=str(number))
            keep_version(plan, by=curator, why=f"Title {number}")

        page = reader.get(reverse("plans:plan-versions", args=[plan.pk])).content.decode()

        assert page.count('<td class="num">1</td>') == 25
        assert "first" not in page.split("<tbody>")[1].split("</tbody>")[0]

    @pytest.mark.parametrize("versions", [2, 20])
    def test_as_many_queries_for_many(
        self, reader: Client, curator: User, versions: int, django_assert_num_queries: Any
    ) -> None:
        plan = field_plan(title="0")
        for number in range(versions):
            FieldPlan.objects.filter(pk=plan.pk).update(title=f"T{number}")
            keep_version(plan, by=curator, why="Title")
        address = reverse("plans:plan-versions", args=[plan.pk])
        reader.get(address)

        with django_assert_num_queries(7):
            reader.get(address)


class TestOneVersion:
    def test_it_shows_the_plan_as_it_was(self, reader: Client, curator: User) -> None:
        plan = kept_plan(curator)
        version = plan.versions.get(number=2)
        Stop.objects.filter(plan=plan).update(name="Renamed", first_on=None)

        page = reader.get(reverse("plans:plan-version", args=[version.pk])).content.decode()

        assert "Fens of the north, version 2" in page and "1. Upper fen" in page
        assert "61.95000°\u00a0N, 15.30000°\u00a0E, within 100 m" in page
        assert "Trichoptera: 400" in page and "1 × Malaise trap, 3–5 Jun 2027" in page
        assert "COL-2027-001" in page
        assert "2 things changed since." in page

    def test_the_newest_says_that_the_plan_is_still_so(self, reader: Client, curator: User) -> None:
        version = kept_plan(curator).versions.get(number=2)

        page = reader.get(reverse("plans:plan-version", args=[version.pk])).content.decode()

        assert "The plan is still so." in page and "Changed from version 1" in page
        assert "Changed since, until now" not in page

    @pytest.mark.parametrize(("read", "other"), [(1, "2"), (2, "1")])
    def test_two_are_compared_from_the_older_to_the_newer(
        self, reader: Client, curator: User, read: int, other: str
    ) -> None:
        version = kept_plan(curator).versions.get(number=read)

        page = reader.get(reverse("plans:plan-version", args=[version.pk]), {"with": other}).content.decode()

        assert "From version 1 to version 2" in page
        assert "<b>added</b>" in page and "<b>removed</b>" not in page

    @pytest.mark.parametrize("asked", ["99", "two", "2"])
    def test_another_that_is_none_is_said(self, reader: Client, curator: User, asked: str) -> None:
        """Also itself: a version is not compared with itself."""
        version = kept_plan(curator).versions.get(number=2)

        answer = reader.get(reverse("plans:plan-version", args=[version.pk]), {"with": asked})

        assert answer.status_code == 200
        assert f"This plan has no other version “{asked}”." in answer.content.decode()

    def test_decisions_stand_where_they_were_made(self, reader: Client, curator: User) -> None:
        plan = kept_plan(curator)
        for of, layer in ((None, Layer.CITES), (plan.stops.get(), Layer.LAND)):
            PlanDecision.objects.create(
                plan=plan, stop=of, layer=int(layer), reason="Common land.", evidence="Map of 2026.", decided_by=curator
            )
        version = keep_version(plan, by=curator, why="Decided")

        page = reader.get(reverse("plans:plan-version", args=[version.pk])).content.decode()

        assert "CITES needs no paper: Common land. Evidence: Map of 2026." in page.split("1 stop")[0]
        assert "Land needs no paper: Common land. Evidence: Map of 2026." in page.split("1 stop")[1]

    def test_a_plan_of_nothing_is_readable(self, reader: Client, curator: User) -> None:
        version = keep_version(field_plan(), by=curator, why="New plan")

        page = reader.get(reverse("plans:plan-version", args=[version.pk])).content.decode()

        assert "It had no stops yet." in page

    def test_queries(self, reader: Client, curator: User, django_assert_num_queries: Any) -> None:
        """Session, person; version; the others; contents of the one before; the plan of now (7); sign-offs."""
        plan = kept_plan(curator)
        for number in range(30):
            target(stop(plan, name=f"Stop {number}"))
        keep_version(plan, by=curator, why="Many stops")
        address = reverse("plans:plan-version", args=[plan.versions.get(number=2).pk])
        reader.get(address)

        with django_assert_num_queries(13):
            reader.get(address)


def test_a_plan_ends_with_a_reason_and_is_taken_up_unless_it_became_an_accession(curator: User) -> None:
    plan = kept_plan(curator)
    with pytest.raises(PlanError, match="Say why the plan is closed"):
        close_plan(plan=plan, by=curator, why=" ")
    close_plan(plan=plan, by=curator, why="the trip is over")
    reopen_plan(plan=plan, by=curator, why="it was the other one")
    plan.refresh_from_db()
    assert plan.closed_at is None
    plan.accession = accession("LMN-2026-001")
    plan.save()
    with pytest.raises(PlanError, match="became an accession"):
        reopen_plan(plan=plan, by=curator, why="once more")


def test_only_what_is_typed_of_a_plan_is_changed(curator: User) -> None:
    plan = kept_plan(curator)
    made, home = plan.stops.get(), plan.consignments.get()
    for change in (
        lambda: edit_plan(plan=plan, values={"closed_why": "x"}, by=curator, why="x"),
        lambda: edit_stop(stop=made, values={"plan": plan}, by=curator, why="x"),
        lambda: add_way_home(plan=plan, values={"position": 7}, by=curator, why="x"),
        lambda: edit_way_home(way_home=home, values={"position": 7}, by=curator, why="x"),
    ):
        with pytest.raises(NotEditableError):
            change()
    assert plan.consignments.count() == 1
