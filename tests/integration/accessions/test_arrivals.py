"""The path of a delivery from its arrival to an accession number: what each step writes, and what it refuses."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.material.actions.accessions import change_delivery, create_delivery
from accessions.material.actions.arrivals import (
    correct_receipt,
    give_new_accession,
    join_accession,
    put_into_quarantine,
    receive_delivery,
    release,
    take_release_back,
)
from accessions.material.models import Accession, Delivery, Touch
from accessions.material.quarantine_regimes import REGIMES
from accessions.material.queries.arrivals import ArrivalFilter, arrivals, next_entry_number, stand_of
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from tests.factories import register

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)


def test_the_day_of_arrival_of_an_accession_is_judged_again() -> None:
    person = register.person(Role.REGISTRAR)
    delivery = receive_delivery(by=person, why="arrived", **receipt(received_on=date(2026, 11, 20)))
    correct_receipt(delivery, by=person, why="misread", received_on=date(2026, 11, 19))
    assert not Touch.objects.exists(), "it has no accession, so nothing rests on it"
    join_accession(delivery, register.accession(), by=person, why="numbered")
    Touch.objects.all().delete()
    assert correct_receipt(delivery, by=person, why="misread", received_on=date(2026, 11, 18)) == ["received_on"]
    assert list(Touch.objects.values_list("scope", "key")) == [("delivery", delivery.pk)]


def test_what_needs_no_quarantine_is_released_once() -> None:
    """The gate asks for a reason instead of days; a second release is refused."""
    person = register.person(Role.REGISTRAR)
    delivery = receive_delivery(by=person, why="arrived", **receipt(received_on=date(2026, 11, 20)))
    with pytest.raises(ValidationError, match="or why it needs none"):
        release(delivery, out_on=date(2026, 11, 20), by=person, why="out")
    put_into_quarantine(delivery, by=person, why="glass", quarantine_waived="Slides alone")
    release(delivery, out_on=date(2026, 11, 20), by=person, why="out")
    delivery.refresh_from_db()
    assert delivery.released_at is not None
    with pytest.raises(ValidationError, match="released already"):
        release(delivery, out_on=date(2026, 11, 21), by=person, why="out")


@pytest.fixture
def volunteer() -> Client:
    return signed_in(Role.VOLUNTEER)


@pytest.fixture
def registrar() -> Client:
    return signed_in(Role.REGISTRAR)


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def words(client: Client, name: str, *args: object, **query: Any) -> str:
    answer = client.get(reverse(f"material:{name}", args=args), query)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def receipt(**more: object) -> dict[str, object]:
    return {
        "received_on": "2026-11-20", "received_by": "Maja Lind", "brought_by": "J. Ek", "contents": "Pinned flies",
        "boxes": "3", "entry_number": "", "remarks": "",
    } | more  # fmt: skip


# Receipt --------------------------------------------------------------------------------------------------------------


def test_machine_gives_the_next_entry_number() -> None:
    """One above the highest of the year; numbers of another year or form do not count; past 999 it goes on."""
    assert next_entry_number(TODAY) == "E-2026-001"
    for number in ("E-2026-002", "E-2026-013", "E-2025-040", "E-2026-13b", "shelf 9"):
        register.arrival(number)
    assert next_entry_number(TODAY) == "E-2026-014"
    register.arrival("E-2026-999")
    assert next_entry_number(TODAY) == "E-2026-1000"
    register.arrival("E-2026-1000")
    assert next_entry_number(TODAY) == "E-2026-1001"


def test_number_is_of_the_year_in_which_it_came() -> None:
    made = receive_delivery(by=register.person(), why="entered", received_on=date(2025, 12, 31))
    assert (made.entry_number, made.number, made.accession) == ("E-2025-001", 0, None)


def test_number_taken_between_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two people at two desks are told the same free number; the second gets the next."""
    register.arrival("E-2026-001")
    told = iter(["E-2026-001", "E-2026-002"])
    monkeypatch.setattr("accessions.material.actions.arrivals.next_entry_number", lambda day: next(told))
    made = receive_delivery(by=register.person(), why="entered", received_on=TODAY)
    assert made.entry_number == "E-2026-002"


def test_volunteer_receives_boxes(volunteer: Client) -> None:
    answer = volunteer.post(reverse("material:arrival-new"), receipt())
    made = Delivery.objects.get()
    assert answer["Location"] == reverse("material:arrival", args=[made.pk])
    assert (made.entry_number, made.boxes, made.brought_by) == ("E-2026-001", 3, "J. Ek")
    assert made.history.get().history_user.username == "volunteer"
    page = words(volunteer, "arrival", made.pk)
    for text in ("Its quarantine is not recorded yet.", "It has no accession number yet.",
                 "brought by J. Ek, 3 boxes"):  # fmt: skip
        assert text in page


def test_all_that_is_missing_is_told_at_once(volunteer: Client) -> None:
    register.arrival("E-2026-005")
    wrong = receipt(received_on="31.11.", contents="", boxes="0", entry_number="E-2026-005")
    answer = volunteer.post(reverse("material:arrival-new"), wrong)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"received_on", "contents", "boxes", "entry_number"}
    assert Delivery.objects.count() == 1


def test_receipt_has_a_label_for_each_box(volunteer: Client) -> None:
    made = register.arrival("E-2026-014", boxes=3)
    page = words(volunteer, "arrival-receipt", made.pk)
    for text in ("Box 1 of 3", "Box 2 of 3", "Box 3 of 3"):
        assert text in page
    assert "Box 4" not in page
    assert page.count("Not released: ask before opening") == 3


def test_receipt_is_corrected_with_a_reason(volunteer: Client) -> None:
    made = register.arrival("E-2026-014")
    path = reverse("material:arrival-edit", args=[made.pk])
    changed = receipt(entry_number="E-2026-014", boxes="4", received_on="2024-06-28", received_by="Nora Ek")
    assert volunteer.post(path, changed).status_code == 422  # without a reason
    volunteer.post(path, changed | {"why": "counted again"})
    made.refresh_from_db()
    assert (made.boxes, made.history.first().history_change_reason) == (4, "counted again")


# Quarantine -----------------------------------------------------------------------------------------------------------


def quarantine(**more: object) -> dict[str, object]:
    return {"regime": "minus-30-72h", "quarantine_in_on": "2026-11-20", "quarantine_by": "Maja Lind"} | more


def test_published_regime_fills_what_is_blank(volunteer: Client) -> None:
    """-30 °C for 72 hours: a curator of a museum in London, leps-l mailing list, 2000."""
    made = register.arrival()
    volunteer.post(reverse("material:arrival-quarantine", args=[made.pk]), quarantine())
    made.refresh_from_db()
    assert (made.treatment_degrees_c, made.treatment_hours, made.treatment) == (-30, 72, "-30 °C for 72 hours")
    assert made.quarantine_in_on == date(2026, 11, 20)


def test_what_is_typed_goes_before_the_regime(volunteer: Client) -> None:
    made = register.arrival()
    typed = quarantine(treatment_degrees_c="-28.5", treatment_hours="96")
    volunteer.post(reverse("material:arrival-quarantine", args=[made.pk]), typed)
    made.refresh_from_db()
    assert (made.treatment_degrees_c, made.treatment_hours) == (-28.5, 96)
    assert "-28.5 °C, 96 hours" in words(volunteer, "arrival", made.pk)


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ({}, {"regime"}),
        ({"regime": "none"}, {"quarantine_waived"}),
        ({"regime": "own"}, {"quarantine_in_on", "treatment", "treatment_hours"}),
        ({"regime": "minus-30-72h"}, {"quarantine_in_on"}),
        ({"regime": "minus-30-72h", "quarantine_in_on": "2026-02-30", "treatment_hours": "0"},
         {"quarantine_in_on", "treatment_hours"}),
    ],
)  # fmt: skip
def test_quarantine_that_says_too_little(volunteer: Client, typed: dict[str, str], wrong: set[str]) -> None:
    made = register.arrival()
    answer = volunteer.post(reverse("material:arrival-quarantine", args=[made.pk]), typed)
    assert (answer.status_code, set(answer.context["form"].errors)) == (422, wrong)


def test_none_needed_in_ethanol(volunteer: Client) -> None:
    """And what was typed of a treatment is not kept beside it."""
    made = register.arrival()
    path = reverse("material:arrival-quarantine", args=[made.pk])
    volunteer.post(path, quarantine(regime="none", quarantine_waived="It is in ethanol"))
    made.refresh_from_db()
    assert (made.quarantine_waived, made.quarantine_in_on, made.treatment_hours) == ("It is in ethanol", None, None)
    assert stand_of(made, TODAY) == "release"


def test_every_regime_has_its_source() -> None:
    """Values of the sources as read: Conserve O Gram 3/6 (1994), leps-l 1999 and 2000, Taxacom 2000, Bergh and others;
    the two weeks are common practice, no source."""
    assert [(r.degrees_c, r.hours) for r in REGIMES] == [
        (-30, 72), (-30, 48), (-20, 10 * 24), (None, 2 * 48), (-20, 48), (-17.6, 50 + 36), (-20, 14 * 24),
    ]  # fmt: skip
    assert all(r.source for r in REGIMES)


# Release --------------------------------------------------------------------------------------------------------------


def in_quarantine(hours: int = 72, days_ago: int = 0) -> Delivery:
    into = timezone.localdate() - timedelta(days=days_ago)
    return register.arrival(quarantine_in_on=into, treatment_hours=hours, treatment="-30 °C for 72 hours")


@pytest.mark.parametrize(("days_ago", "opens"), [(0, False), (3, False), (4, True), (9, True)])
def test_gate_opens_after_whole_days(days_ago: int, opens: bool) -> None:
    """72 hours: three whole days after the day on which it went in, so from the fourth day after it."""
    made, today = in_quarantine(days_ago=days_ago), timezone.localdate()
    if opens:
        release(made, out_on=today, by=register.person(Role.CURATOR), why="released")
        made.refresh_from_db()
        assert made.released_by is not None
        assert (made.quarantine_out_on, made.released_by.username) == (today, "curator")
    else:
        with pytest.raises(ValidationError, match="for 72 hours, which have passed for certain from"):
            release(made, out_on=today, by=register.person(Role.CURATOR), why="released")
        made.refresh_from_db()
        assert (made.released_at, made.quarantine_out_on) == (None, None)


def test_gate_is_not_opened_by_a_day_ahead() -> None:
    made = in_quarantine()
    with pytest.raises(ValidationError, match="lies ahead"):
        release(made, out_on=timezone.localdate() + timedelta(days=30), by=register.person(), why="released")


def test_gate_asks_for_the_quarantine_first() -> None:
    with pytest.raises(ValidationError, match="Say first into which quarantine"):
        release(register.arrival(), out_on=timezone.localdate(), by=register.person(), why="released")


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.COMPLIANCE, Role.AUDITOR, Role.ADMINISTRATOR])
def test_only_curators_and_registrars_release(role: str) -> None:
    made = in_quarantine(days_ago=9)
    with pytest.raises(NotAllowedError, match="Curator, Registrar"):
        release(made, out_on=timezone.localdate(), by=register.person(role), why="released")


def test_refusal_stands_on_the_page(registrar: Client) -> None:
    made = in_quarantine()
    answer = registrar.post(reverse("material:arrival-release", args=[made.pk]), {"out_on": timezone.localdate()})
    assert answer.status_code == 422
    assert "Release it then." in answer.content.decode()


def test_quarantine_of_what_is_released_stays() -> None:
    made = in_quarantine(days_ago=9)
    by = register.person()
    release(made, out_on=timezone.localdate(), by=by, why="released")
    with pytest.raises(ValidationError, match="Take the release back"):
        put_into_quarantine(made, by=by, why="longer", treatment_hours=96)
    take_release_back(made, by=by, why="a wing moved")
    assert put_into_quarantine(made, by=by, why="longer", treatment_hours=96) == ["treatment_hours"]
    assert made.is_unreleased
    with pytest.raises(ValidationError, match="nothing to take back"):
        take_release_back(made, by=by, why="twice")


def test_form_of_the_delivery_is_no_way_around_the_gate() -> None:
    """What came in under an entry number is released on its path; other material is taken out by who may release."""
    accession = register.accession()
    received = register.arrival(quarantine_in_on=TODAY, treatment_hours=72)
    join_accession(received, accession, by=register.person(), why="joined")
    with pytest.raises(ValidationError, match="page of its arrival"):
        change_delivery(received, by=register.person(), why="out", quarantine_out_on=TODAY)
    old = register.delivery(accession, 2, quarantine_in_on=date(2024, 7, 1))
    volunteer = register.person(Role.VOLUNTEER)
    with pytest.raises(NotAllowedError):
        change_delivery(old, by=volunteer, why="out", quarantine_out_on=date(2024, 7, 9))
    with pytest.raises(NotAllowedError):
        create_delivery(accession, by=volunteer, why="out", number=3, quarantine_in_on=date(2024, 7, 1),
                        quarantine_out_on=date(2024, 7, 2))  # fmt: skip
    assert change_delivery(old, by=register.person(), why="out", quarantine_out_on=date(2024, 7, 9))


# Accession number -----------------------------------------------------------------------------------------------------


def test_new_accession_starts_from_the_receipt(registrar: Client) -> None:
    sender = register.agent("Lapas Biodiversity Desk")
    made = register.arrival(sender=sender)
    path = reverse("material:arrival-accession", args=[made.pk])
    start = registrar.get(path).context["form"].initial
    assert (start["source"], start["received_on"], start["description"]) == (sender, date(2024, 6, 28), "Pinned flies")
    typed = {"number": "LMN-2026-071", "kind": "field", "source": sender.pk, "received_on": "2024-06-28",
             "accessioned_on": "2026-11-25", "total_kind": "bulk"}  # fmt: skip
    registrar.post(path, typed)
    made.refresh_from_db()
    assert made.accession is not None
    assert (made.accession.number, made.number, made.accession.source) == ("LMN-2026-071", 1, sender)


def test_joins_an_accession_as_its_next_delivery(registrar: Client) -> None:
    accession = register.accession("LMN-2024-038")
    register.delivery(accession, 4)
    made = register.arrival()
    path = reverse("material:arrival-accession", args=[made.pk])
    assert '<option value="LMN-2024-038">' in registrar.get(path).content.decode()
    answer = registrar.post(path, {"join": "1", "join-number": "LMN-2024-83"})
    assert "No accession has the number “LMN-2024-83”" in answer.content.decode()
    registrar.post(path, {"join": "1", "join-number": "LMN-2024-038"})
    made.refresh_from_db()
    assert (made.accession, made.number, made.entry_number) == (accession, 5, "E-2024-001")
    with pytest.raises(ValidationError, match="has the accession LMN-2024-038"):
        join_accession(made, accession, by=register.person(), why="again")


def test_nothing_is_kept_of_a_number_that_is_taken() -> None:
    register.accession("LMN-2024-038")
    made = register.arrival()
    with pytest.raises(ValidationError):
        give_new_accession(made, by=register.person(), why="entered", number="LMN-2024-038")
    made.refresh_from_db()
    assert (made.accession, Accession.objects.count()) == (None, 1)


def test_a_number_need_not_wait_for_the_release(registrar: Client) -> None:
    """And the pages of the accession and of the specimen say that it is not released."""
    made = in_quarantine()
    accession = give_new_accession(made, by=register.person(), why="entered", number="LMN-2026-071")
    specimen = register.specimen(accession=accession, delivery=made)
    assert f"Delivery 1 is in quarantine since {made.quarantine_in_on:%-d %B %Y}" in words(
        registrar, "accession", accession.pk
    )
    page = registrar.get(reverse("verdicts:specimen", args=[specimen.pk])).content.decode()
    assert "Not assessed yet" in page
    assert "The material is not released from quarantine." in page
    assert "LMN-2026-071" in words(registrar, "accessions", quarantine="on")


def test_delivery_without_accession_has_no_other_form(registrar: Client) -> None:
    made = register.arrival()
    answer = registrar.get(reverse("material:delivery-edit", args=[made.pk]))
    assert answer["Location"] == reverse("material:arrival", args=[made.pk])


def test_deliveries_of_an_accession_count_from_one(registrar: Client) -> None:
    path = reverse("material:delivery-new", args=[register.accession().pk])
    answer = registrar.post(path, {"number": "0"})
    assert "Deliveries of an accession count from 1." in answer.content.decode()


# The list -------------------------------------------------------------------------------------------------------------


def spread() -> dict[str, Delivery]:
    """One delivery at each place of the path, on TODAY, and some that are through."""
    by = register.person()
    accession = register.accession()
    return {
        "quarantine": register.arrival("E-1", received_on=date(2026, 11, 24)),
        "hours": register.arrival("E-2", received_on=date(2026, 11, 1), quarantine_in_on=TODAY, treatment_hours=72),
        "release": register.arrival("E-3", received_on=date(2026, 10, 1), quarantine_waived="in ethanol"),
        "accession": register.arrival("E-4", received_on=date(2026, 9, 1), quarantine_waived="in ethanol",
                                      released_at=timezone.now(), released_by=by),
        "old": register.delivery(accession, 1, quarantine_in_on=date(2026, 8, 1)),
        "old and out": register.delivery(accession, 2, quarantine_in_on=date(2024, 7, 1),
                                         quarantine_out_on=date(2024, 7, 9)),
        "nothing recorded": register.delivery(accession, 3),
    }  # fmt: skip


def names(found: list[Any], made: dict[str, Delivery]) -> list[str]:
    by_key = {delivery.pk: name for name, delivery in made.items()}
    return [by_key[row.delivery.pk] for row in found]


def test_what_waits_oldest_first() -> None:
    made = spread()
    found = arrivals(ArrivalFilter(), TODAY)
    assert names(found, made) == ["old", "accession", "release", "hours", "quarantine"]
    # 1 August to 25 November 2026: 30 + 30 + 31 + 25 = 116 days; from 24 November one
    assert [row.days for row in found][:1] == [116]
    assert [row.days for row in found][-1:] == [1]


@pytest.mark.parametrize(
    ("stand", "expected"),
    [
        ("quarantine", {"quarantine"}), ("hours", {"hours"}), ("release", {"release", "old"}),
        ("accession", {"quarantine", "hours", "release", "accession"}), ("done", set()),
    ],
)  # fmt: skip
def test_list_is_narrowed(stand: str, expected: set[str]) -> None:
    """Without a number is also what waits for its release at the same time."""
    made = spread()
    assert set(names(arrivals(ArrivalFilter(stand=stand), TODAY), made)) == expected


def test_list_is_searched_and_ordered(registrar: Client) -> None:
    made = spread()
    assert names(arrivals(ArrivalFilter(q="e-3"), TODAY), made) == ["release"]
    assert names(arrivals(ArrivalFilter(sort="stand"), TODAY), made)[0] == "quarantine"
    assert names(arrivals(ArrivalFilter(sort="entry"), TODAY), made)[-1] == "accession"
    assert names(arrivals(ArrivalFilter(sort="nonsense"), TODAY), made)[0] == "quarantine"
    assert "No delivery is like that" in words(registrar, "arrivals", q="nowhere")


def test_through_is_listed_when_asked_for() -> None:
    by = register.person()
    through = register.arrival(quarantine_waived="in ethanol", released_at=timezone.now(), released_by=by)
    join_accession(through, register.accession(), by=by, why="joined")
    assert arrivals(ArrivalFilter(), TODAY) == []
    assert [row.delivery for row in arrivals(ArrivalFilter(stand="done"), TODAY)] == [through]


def test_list_as_a_file(registrar: Client) -> None:
    spread()
    answer = registrar.get(reverse("material:arrivals-export"))
    lines = b"".join(answer).decode("utf-8-sig").splitlines()  # type: ignore[call-overload]
    assert lines[0].startswith("entryNumber,stands at,from,")
    assert len(lines) == 1 + 5
    assert any(line.startswith("E-2,hours,") for line in lines)


def test_queries_do_not_grow(registrar: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Session, person, how many wait, the rows. Of one delivery: session, person, delivery, history."""
    for n in range(20):
        register.arrival(f"E-2026-{n:03}", sender=register.agent(f"Agent {n}"))
    with django_assert_num_queries(4):
        registrar.get(reverse("material:arrivals"))
    path = reverse("material:arrival", args=[register.arrival("E-2026-100").pk])
    with django_assert_num_queries(4):
        registrar.get(path)


def test_form_of_a_delivery_that_was_received_leaves_quarantine_to_its_path(registrar: Client) -> None:
    accession = register.accession()
    received = join_accession(register.arrival(), accession, by=register.person(), why="joined")
    path = reverse("material:delivery-edit", args=[received.pk])
    assert not {"quarantine_in_on", "quarantine_out_on", "treatment"} & set(registrar.get(path).context["form"].fields)
    registrar.post(path, {"number": "1", "received_on": "2024-06-28", "imported_on": "2024-06-27", "why": "waybill"})
    received.refresh_from_db()
    assert received.imported_on == "2024-06-27"
