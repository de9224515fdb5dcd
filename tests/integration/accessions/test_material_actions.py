"""What the actions of the room of material write: the row, its history with who and why, and the mark for verdicts."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from accessions.material.actions.accessions import (
    change_accession,
    change_delivery,
    change_part,
    create_accession,
    create_delivery,
    create_part,
)
from accessions.material.actions.moves import OtherAccessionError, move_to_part
from accessions.material.actions.pools import make_pool
from accessions.material.actions.siting import attach_events
from accessions.material.actions.specimens import change_event, change_specimen, determine, enter_specimen
from accessions.material.models import Accession, SamplingEvent, Specimen, Touch
from accessions.material.oddities import oddities_of
from accessions.material.queries.specimens import NumberRangeError, facts_of, number_range, specimens_in_range
from accessions.material.statements import place_event, written_event
from accessions.people.access import NotAllowedError
from accessions.people.editing import NotEditableError
from accessions.people.models import Role
from tests.factories import register

pytestmark = pytest.mark.django_db

EVENT = {
    "eventDate": "2024-06-17", "decimalLatitude": "42.084", "decimalLongitude": "43.903", "geodeticDatum": "WGS84",
    "coordinateUncertaintyInMeters": "30", "countryCode": "GE", "samplingProtocol": "hand net", "recordedBy": "J. Ek",
}  # fmt: skip


def marks() -> list[tuple[str, int]]:
    return [(touch.scope, touch.key) for touch in Touch.objects.all()]


def last_history(row: object) -> tuple[str, str, str]:
    newest = row.history.first()  # type: ignore[attr-defined]
    return newest.history_type, newest.history_user.username, newest.history_change_reason


def test_an_accession_is_entered_with_its_history() -> None:
    curator = register.person(Role.CURATOR)
    accession = create_accession(by=curator, why="book of 2024", number="LMN-2024-038", title="Nazvri")
    assert last_history(accession) == ("+", "curator", "book of 2024")
    assert marks() == []  # nothing to judge yet


def test_an_accession_number_is_given_once() -> None:
    register.accession("LMN-1")
    with pytest.raises(ValidationError) as error:
        create_accession(by=register.person(), why="again", number="LMN-1")
    assert "number" in error.value.message_dict


def test_a_number_that_is_taken_in_the_same_moment_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The look for it finds nothing, and the database refuses."""
    register.accession("LMN-1")
    monkeypatch.setattr(Accession, "full_clean", lambda self: None)
    with pytest.raises(ValidationError, match="Another accession has this number"):
        create_accession(by=register.person(), why="book of 2024", number="LMN-1")
    assert Accession.objects.count() == 1


def test_received_after_accessioned_is_refused_in_words() -> None:
    with pytest.raises(ValidationError, match="before the day of receipt"):
        create_accession(
            by=register.person(), why="x", number="LMN-2",
            received_on=date(2024, 6, 28), accessioned_on=date(2024, 6, 27),
        )  # fmt: skip


def test_only_what_verdicts_read_leaves_a_mark() -> None:
    curator, accession = register.person(), register.accession()
    assert change_accession(accession, by=curator, why="typo", title="Upper Nazvri") == ["title"]
    assert marks() == []
    change_accession(accession, by=curator, why="book", received_on=date(2024, 6, 28))
    assert marks() == [("accession", accession.pk)]


def test_a_change_that_changes_nothing_writes_nothing() -> None:
    accession = register.accession(title="Nazvri")
    before = accession.history.count()
    assert change_accession(accession, by=register.person(), why="same", title="Nazvri") == []
    assert accession.history.count() == before


def test_two_people_at_two_fields_both_keep_theirs() -> None:
    curator, accession = register.person(), register.accession(title="old")
    seen_by_the_second = type(accession).objects.get(pk=accession.pk)
    change_accession(accession, by=curator, why="a", title="new")
    change_accession(seen_by_the_second, by=curator, why="b", description="told by the second")
    accession.refresh_from_db()
    assert (accession.title, accession.description) == ("new", "told by the second")


def test_a_field_that_is_not_editable_is_refused() -> None:
    with pytest.raises(NotEditableError, match="id"):
        change_accession(register.accession(), by=register.person(), why="x", id=7)


def test_an_auditor_enters_nothing() -> None:
    with pytest.raises(NotAllowedError):
        create_accession(by=register.person(Role.AUDITOR), why="x", number="LMN-9")


def test_the_days_of_a_delivery_leave_a_mark_and_quarantine_does_not() -> None:
    curator, accession = register.person(), register.accession()
    delivery = create_delivery(accession, by=curator, why="came", number=1)
    change_delivery(delivery, by=curator, why="freezer", quarantine_in_on=date(2024, 7, 1))
    assert marks() == []
    change_delivery(delivery, by=curator, why="declaration", exported_on="2024-06-28")
    assert marks() == [("delivery", delivery.pk)]


def test_out_of_quarantine_before_it_went_in_is_refused() -> None:
    with pytest.raises(ValidationError, match="leaves quarantine after"):
        create_delivery(
            register.accession(), by=register.person(), why="x", number=1,
            quarantine_in_on=date(2024, 7, 2), quarantine_out_on=date(2024, 7, 1),
        )  # fmt: skip


def test_specimens_move_into_a_part_with_history_and_marks() -> None:
    curator, accession = register.person(), register.accession()
    part = create_part(accession, by=curator, why="by site", letter="A")
    one, other = register.specimen("S-1", accession=accession), register.specimen("S-2", accession=accession)
    assert move_to_part(accession, part, [one.pk, other.pk], by=curator, why="weir") == 2
    assert move_to_part(accession, part, [one.pk], by=curator, why="again") == 0
    one.refresh_from_db()
    assert one.part == part
    assert last_history(one) == ("~", "curator", "weir")
    assert marks() == [("specimen", one.pk), ("specimen", other.pk)]


def test_above_500_specimens_the_accession_is_marked_instead() -> None:
    """501 is one more than are marked one by one."""
    curator, accession = register.person(), register.accession()
    event, name = register.event(), register.written_name()
    Specimen.objects.bulk_create(Specimen(accession=accession, event=event, name=name) for _ in range(501))
    part = register.part(accession)
    keys = list(Specimen.objects.values_list("pk", flat=True))
    assert move_to_part(accession, part, keys, by=curator, why="all") == 501
    assert marks() == [("accession", accession.pk)]


def test_a_part_of_another_letter_is_judged_again() -> None:
    """Papers are linked to parts, and the letter is told with them."""
    registrar = register.person(Role.REGISTRAR)
    part = create_part(register.accession("LMN-2024-038"), by=registrar, why="by site", letter="A")
    Touch.objects.all().delete()
    assert change_part(part, by=registrar, why="misread", letter="B") == ["letter"]
    assert marks() == [("part", part.pk)]
    assert last_history(part)[2] == "misread"
    assert change_part(part, by=registrar, why="again", letter="B") == []


def test_an_event_that_says_the_same_is_no_change() -> None:
    specimen, person = register.specimen("S-1"), register.person()
    before, moved = change_event(specimen, EVENT, everyone=False, by=person, why="read")
    assert moved == 1
    Touch.objects.all().delete()
    event, moved = change_event(specimen, written_event(before), everyone=False, by=person, why="looked")
    assert (event, moved, marks()) == (before, 0, [])


def test_a_part_or_specimen_of_another_accession_is_refused() -> None:
    curator, accession, other = register.person(), register.accession(), register.accession("LMN-OTHER")
    stranger = register.specimen("S-9", accession=other)
    with pytest.raises(OtherAccessionError):
        move_to_part(accession, register.part(other), [], by=curator, why="x")
    with pytest.raises(OtherAccessionError):
        move_to_part(accession, None, [stranger.pk], by=curator, why="x")


def test_counts_are_read_again_when_they_change() -> None:
    """VERDICTS, section 6: a range of 300-500 counts as 300 to 500; a blank count as one, assumed."""
    curator, specimen = register.person(), register.specimen("S-1")
    change_specimen(specimen, by=curator, why="counted", count_range="300-500")
    specimen.refresh_from_db()
    assert (specimen.count_low, specimen.count_high, specimen.count_assumed) == (300, 500, False)
    change_specimen(specimen, by=curator, why="not counted", count_range="")
    specimen.refresh_from_db()
    assert (specimen.count_low, specimen.count_high, specimen.count_assumed) == (1, 1, True)
    assert ("specimen", specimen.pk) in marks()


def test_nothing_is_taken_from_its_own_child() -> None:
    curator, wasp = register.person(), register.specimen("S-1")
    leg = register.specimen("S-1-L", parent=wasp, kind="part")
    with pytest.raises(ValidationError, match="itself taken from"):
        change_specimen(wasp, by=curator, why="x", parent=leg)
    wasp.refresh_from_db()
    assert wasp.parent is None


def test_a_part_of_another_accession_is_not_chosen_for_a_specimen() -> None:
    stranger = register.part(register.accession("LMN-OTHER"))
    with pytest.raises(ValidationError, match="another accession"):
        change_specimen(register.specimen("S-1"), by=register.person(), why="x", part=stranger)


def test_an_event_is_changed_for_one_specimen_alone() -> None:
    curator = register.person()
    shared = place_event(EVENT, by=curator, why="x")
    one, other = register.specimen("S-1", event=shared), register.specimen("S-2", event=shared)
    event, moved = change_event(one, {"eventDate": "2024-06-18"}, everyone=False, by=curator, why="field book")
    one.refresh_from_db()
    other.refresh_from_db()
    assert moved == 1
    assert (one.event, other.event) == (event, shared)
    assert event.earliest_on == date(2024, 6, 18)
    assert event.decimal_latitude == "42.084"  # what was not changed stays
    assert marks() == [("specimen", one.pk)]


def test_an_event_is_changed_for_all_that_share_it() -> None:
    curator = register.person()
    shared = place_event(EVENT, by=curator, why="x")
    specimens = [register.specimen(f"S-{n}", event=shared) for n in range(3)]
    event, moved = change_event(specimens[0], {"countryCode": "AM"}, everyone=True, by=curator, why="border")
    assert moved == 3
    assert set(Specimen.objects.values_list("event", flat=True)) == {event.pk}
    assert last_history(specimens[2]) == ("~", "curator", "border")
    assert sorted(marks()) == sorted([("event", shared.pk), ("event", event.pk)])  # what a cap counted, and counts now


def test_a_statement_that_is_there_already_is_shared() -> None:
    curator = register.person()
    first = place_event(EVENT, by=curator, why="x")
    second = place_event(EVENT | {"eventDate": "2024-06-18"}, by=curator, why="x")
    specimen = register.specimen("S-1", event=second)
    event, _moved = change_event(specimen, {"eventDate": "2024-06-17"}, everyone=False, by=curator, why="x")
    assert event == first
    assert SamplingEvent.objects.count() == 2


def test_a_new_determination_keeps_the_earlier_one() -> None:
    curator, specimen = register.person(), register.specimen("S-1")
    made = determine(
        specimen, {"scientificName": "Calopteryx virgo"}, identified_by="N. Gvaramadze", date_identified="2025",
        by=curator, why="genitalia",
    )  # fmt: skip
    specimen.refresh_from_db()
    assert specimen.name == made.name
    told = [(d.name.shown, d.is_current) for d in specimen.determinations.order_by("pk")]
    assert told == [("Calopteryx splendens", False), ("Calopteryx virgo", True)]
    assert ("specimen", specimen.pk) in marks()


def test_a_determination_without_a_name_is_refused() -> None:
    with pytest.raises(ValidationError, match="Write the name"):
        determine(register.specimen(), {}, identified_by="", date_identified="", by=register.person(), why="x")


def test_a_specimen_is_entered_by_hand_and_finds_its_site() -> None:
    volunteer, site = register.person(Role.VOLUNTEER), register.site("GE-NAZ-1")
    specimen = enter_specimen(
        register.accession(), EVENT | {"locationID": " ge-naz-1 "}, {"scientificName": "Aedes vexans"},
        by=volunteer, why="label", catalog_number="S-1", individual_count="4",
    )  # fmt: skip
    assert specimen.event.site == site
    assert (specimen.count_low, specimen.count_high) == (4, 4)
    assert specimen.determinations.get().name.scientific_name == "Aedes vexans"
    assert last_history(specimen) == ("+", "volunteer", "label")


def test_a_catalogue_number_is_given_once() -> None:
    register.specimen("S-1")
    with pytest.raises(ValidationError, match="catalogue number"):
        enter_specimen(register.accession("LMN-2"), EVENT, {}, by=register.person(), why="x", catalog_number="S-1")
    assert Specimen.objects.count() == 1


def test_events_that_name_a_site_are_attached_to_it() -> None:
    """Capitals and blanks aside; what names another site, or has one, stays."""
    curator = register.person()
    named = place_event(EVENT | {"siteName": "nazvri,  UPPER bridge"}, by=curator, why="x")
    other = place_event(EVENT | {"siteName": "Elsewhere"}, by=curator, why="x")
    site = register.site("GE-NAZ-1", name="Nazvri, upper bridge")
    assert attach_events(site, by=curator, why="named") == 1
    named.refresh_from_db()
    other.refresh_from_db()
    assert (named.site, other.site) == (site, None)
    assert marks() == [("site", site.pk)]
    assert attach_events(site, by=curator, why="named") == 0


@pytest.mark.parametrize(
    ("first", "last", "inside", "outside"),
    [
        ("LMN-FW-0001", "LMN-FW-0020", ["LMN-FW-0001", "LMN-FW-0020", "LMN-FW-7"], ["LMN-FW-0021", "LMN-XX-0005"]),
        ("12a", "14a", ["13a"], ["13b", "13"]),
    ],
)
def test_a_range_of_numbers(first: str, last: str, inside: list[str], outside: list[str]) -> None:
    wanted = number_range(first, last)
    assert [number for number in [*inside, *outside] if wanted.holds(number)] == inside


@pytest.mark.parametrize(
    ("first", "last", "reason"), [("A", "B", "no-digits"), ("A-1", "B-2", "differ"), ("A-2", "A-1", "order")]
)
def test_numbers_that_span_no_range(first: str, last: str, reason: str) -> None:
    with pytest.raises(NumberRangeError, match=reason):
        number_range(first, last)


def test_a_range_finds_specimens_of_its_accession_only() -> None:
    accession = register.accession()
    wanted = [register.specimen(f"S-{n}", accession=accession).pk for n in (9, 10)]
    register.specimen("S-11", accession=register.accession("LMN-OTHER"))
    assert sorted(specimens_in_range(accession, number_range("S-9", "S-11"))) == sorted(wanted)


def test_facts_tell_how_many_share_the_event() -> None:
    event = register.event()
    one, _other = register.specimen("S-1", event=event), register.specimen("S-2", event=event)
    facts = facts_of(one.pk)
    assert facts is not None
    assert facts.sharing == 1
    assert facts_of(10**9) is None


def oddities(event: dict[str, str], **fields: object) -> list[str]:
    accession = register.accession(f"LMN-{Specimen.objects.count()}", received_on=fields.pop("received_on", None))
    written = place_event(EVENT | event, by=register.person(), why="x")
    specimen = register.specimen(accession=accession, event=written, delivery=fields.pop("delivery", None))
    return oddities_of(specimen, date_identified=str(fields.pop("date_identified", "")))


def test_sound_facts_are_not_remarked() -> None:
    """Each on the last day that is sound: received and determined on the day of collecting, a trap run of six weeks."""
    assert oddities({"eventDate": "2024-06-17"}, received_on=date(2024, 6, 17), date_identified="2024-06-17") == []
    assert oddities({"eventDate": "2024-05-01/2024-06-12"}) == []  # 42 days apart: six weeks


def test_odd_facts_are_remarked_and_not_refused() -> None:
    assert "after the accession was received on 16 June 2024" in oddities({}, received_on=date(2024, 6, 16))[0]
    assert "before it was collected on 17 June 2024" in oddities({}, date_identified="2024-06-16")[0]
    assert "6 weeks" in oddities({"eventDate": "2024-05-01/2024-06-13"})[0]  # 43 days apart


def test_export_before_collecting_is_remarked() -> None:
    delivery = register.delivery(register.accession("LMN-WAY"), exported_on="2024-06-16")
    assert "Left the country on 16 June 2024" in oddities({}, delivery=delivery)[0]


def test_what_is_written_of_an_event_is_read_back() -> None:
    event = place_event(EVENT, by=register.person(), why="x")
    assert {term: text for term, text in written_event(event).items() if text} == EVENT


def test_fractions_hold_no_more_than_their_lot() -> None:
    """Of a lot of 10, fractions of 6 and 5 are one too many; a leg is no individual and counts nothing."""
    lot = register.specimen("L-1", kind="lot", individual_count="10", count_low=10, count_high=10)
    register.specimen("L-1-a", kind="lot", parent=lot, count_low=6, count_high=6)
    register.specimen("L-1-leg", kind="part", parent=lot, count_low=1, count_high=1)
    assert oddities_of(lot) == []
    register.specimen("L-1-b", kind="lot", parent=lot, count_low=5, count_high=5)
    assert oddities_of(lot) == ["11 individuals were taken from it; it held 10 at most."]


def test_a_volunteer_moves_nothing_to_another_part() -> None:
    """Papers are linked to parts, so a move changes the legal footing: a volunteer types facts and no more."""
    volunteer = register.person("volunteer")
    accession = register.accession()
    part = register.part(accession)
    specimen = register.specimen(accession=accession)
    with pytest.raises(NotAllowedError):
        move_to_part(accession, part, [specimen.pk], by=volunteer, why="x")
    with pytest.raises(NotAllowedError):
        change_specimen(specimen, by=volunteer, why="x", part=part)
    specimen.refresh_from_db()
    assert specimen.part_id is None
    assert change_specimen(specimen, by=volunteer, why="label read again", sex="male") == ["sex"]


def test_what_is_no_pool(monkeypatch: pytest.MonkeyPatch) -> None:
    curator = register.person(Role.CURATOR)
    members = [register.specimen().pk for _ in range(3)]
    monkeypatch.setattr("accessions.material.actions.pools.MOST", 2)
    for chosen, words in (
        (members[:1] * 2, "at least two specimens"),
        (members, "at most 2 members"),
        ([members[0], members[-1] + 999], "no longer in the register"),
    ):
        with pytest.raises(ValidationError, match=words):
            make_pool(chosen, catalog_number="P-1", by=curator, why="pooled")
    assert not Specimen.objects.filter(catalog_number="P-1").exists()
