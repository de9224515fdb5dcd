"""An accession held against its plan: what was otherwise, and whether the computed verdicts say that it matters.

The plan: 17 to 19 June 2024 within 500 m of 42.084 N, 43.903 E, by J. Ek and M. Lind, hand net, dragonflies, ten.
The permit: 1 to 18 June 2024, a hand net alone, anybody, anywhere. No other layer requires a paper.
"""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pyproj import Geod

from accessions.material.actions.specimens import enter_specimen
from accessions.material.models import Accession, Specimen
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import PaperVersion, VersionTaxon, VersionWord
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, PlanSignOff
from governance.plans.queries.after import AfterTrip, EventAfter, after_trip
from governance.plans.queries.what_matters import Subject, Weight
from governance.verdicts.actions import assess
from tests.factories import register
from tests.factories.plans import field_plan, stop, target, trap, way_home

pytestmark = pytest.mark.django_db

LON, LAT = 43.903, 42.084
WRITTEN = {
    "eventDate": "2024-06-17", "decimalLatitude": str(LAT), "decimalLongitude": str(LON), "geodeticDatum": "WGS84",
    "coordinateUncertaintyInMeters": "30", "countryCode": "GE", "samplingProtocol": "hand net", "recordedBy": "J. Ek",
}  # fmt: skip
DRAGONFLY = {"scientificName": "Calopteryx splendens", "order": "Odonata", "family": "Calopterygidae"}


@pytest.fixture
def plan() -> FieldPlan:
    sheet = register.sheet("GE")
    for layer in Layer:
        register.rule(sheet, layer, required=layer == Layer.COLLECTING)
    accession = register.accession()
    permit = register.paper()
    VersionWord.objects.create(
        version=register.version(permit, "2024-06-01", "2024-06-18"), subject="methods", word="hand net"
    )
    register.link(permit, accession=accession)
    made = field_plan(reference="FP-2024-02", accession=accession)
    bridge = stop(
        made, name="Upper bridge", position=1, country="GE", longitude_deg=LON, latitude_deg=LAT, radius_m=500.0,
        first_on=date(2024, 6, 17), last_on=date(2024, 6, 19), people="J. Ek | M. Lind",
    )  # fmt: skip
    target(bridge, "Odonata", expected="10")
    return made


def accession_of(plan: FieldPlan) -> Accession:
    """What the plan became."""
    assert plan.accession
    return plan.accession


def taken(plan: FieldPlan, *, name: dict[str, str] = DRAGONFLY, count: str = "1", **terms: str) -> Specimen:
    """A specimen as its record says it, at the planned place and time unless told otherwise."""
    number = f"LMN-{Specimen.objects.count() + 1}"
    return enter_specimen(
        accession_of(plan), WRITTEN | terms, name, by=register.person(Role.REGISTRAR), why="typed",
        catalog_number=number, individual_count=count,
    )  # fmt: skip


def compared(plan: FieldPlan, *, judged: bool = True) -> AfterTrip:
    if judged:
        assess(by=None, why="after the trip")
    found = after_trip(FieldPlan.objects.get(pk=plan.pk))
    assert found is not None
    return found


def only(plan: FieldPlan, *, judged: bool = True) -> EventAfter:
    (event,) = compared(plan, judged=judged).events
    return event


def said(event: EventAfter) -> list[tuple[Subject, str, Weight]]:
    return [(one.subject, one.sentence, one.weight) for one in event.differences]


class TestWhatIsOtherwise:
    def test_as_planned(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06-17/2024-06-18")
        event = only(plan)
        assert event.is_as_planned and event.stop is not None and event.stop.name == "1. Upper bridge"

    @pytest.mark.parametrize(
        ("day", "sentences"),
        [
            ("2024-06-16", ["1 day before the first planned day, 17 Jun 2024"]),
            ("2024-06-17", []),
            ("2024-06-19", []),
            ("2024-06-20", ["1 day after the last planned day, 19 Jun 2024"]),
            # 30 days in June: from the 19th to the 30th are 11 days, and one more to 1 July
            ("2024-07-01", ["12 days after the last planned day, 19 Jun 2024"]),
            ("2024-06-10/2024-06-25", ["7 days before the first planned day, 17 Jun 2024",
                                       "6 days after the last planned day, 19 Jun 2024"]),
        ],
    )  # fmt: skip
    def test_days(self, plan: FieldPlan, day: str, sentences: list[str]) -> None:
        taken(plan, eventDate=day)
        assert [sentence for subject, sentence, _ in said(only(plan)) if subject is Subject.DAYS] == sentences

    def test_a_vague_date_that_may_be_within_is_not_told(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06")
        event = only(plan)
        assert not event.differences and not event.is_as_planned
        assert {one.subject for one in event.unknown} == {Subject.DAYS}

    def test_a_vague_date_that_cannot_be_within_is_a_difference(self, plan: FieldPlan) -> None:
        """The last of July is 42 days after 19 June: 11 to the end of June and 31."""
        taken(plan, eventDate="2024-07")
        assert said(only(plan))[0][1] == "42 days after the last planned day, 19 Jun 2024"

    def test_no_date_is_not_told(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="")
        event = only(plan)
        assert [one.sentence for one in event.unknown] == ["the days of the event are not known"]

    def test_distance_to_the_planned_ground(self, plan: FieldPlan) -> None:
        """0.01° of the meridian at 42.089 N on WGS84, by hand: radius of curvature

        M = a (1 - e²) / (1 - e² sin² φ)^1.5 = 6378137 × 0.99330562 / (1 - 0.00669438 × 0.449253)^1.5 = 6364110 m;
        × 0.01 × π / 180 = 1110.7 m; less the radius of 500 m: 611 m. PROJ, asked directly, says the same to 0.1 m.
        """
        taken(plan, decimalLatitude="42.094")
        event = only(plan)
        by_proj = Geod(ellps="WGS84").inv(LON, LAT, LON, 42.094)[2] - 500
        assert event.apart is not None and event.apart.apart_m == pytest.approx(by_proj, abs=0.01)
        assert event.apart.apart_m == pytest.approx(610.7, abs=0.2)
        assert said(event)[0][1] == "611 m from the planned ground of 1. Upper bridge; position known to ±30 m"

    @pytest.mark.parametrize(("uncertainty", "known"), [("610", True), ("612", False)])
    def test_a_distance_within_what_is_known_of_the_position(
        self, plan: FieldPlan, uncertainty: str, known: bool
    ) -> None:
        taken(plan, decimalLatitude="42.094", coordinateUncertaintyInMeters=uncertainty)
        event = only(plan)
        assert bool(event.differences) is known and bool(event.unknown) is not known

    def test_distance_to_a_drawn_area(self, plan: FieldPlan) -> None:
        """The northern edge lies at 42.1 N; a point 0.01° north of it, near the middle, is 1110.7 m away (as above)."""
        square = [[43.8, 42.0], [44.0, 42.0], [44.0, 42.1], [43.8, 42.1], [43.8, 42.0]]
        area = json.dumps({"type": "Polygon", "coordinates": [square]})
        plan.stops.update(area=area, longitude_deg=None, latitude_deg=None, radius_m=None)
        taken(plan, decimalLatitude="42.11")
        event = only(plan)
        assert event.apart is not None and event.apart.apart_m == pytest.approx(1110.7, abs=1)

    def test_the_nearest_of_several_stops_by_place_then_by_days(self, plan: FieldPlan) -> None:
        far = stop(plan, name="Far", position=2, longitude_deg=44.5, latitude_deg=42.5)
        later = stop(plan, name="Later", position=3, country="GE", longitude_deg=LON, latitude_deg=LAT, radius_m=500.0,
                     first_on=date(2024, 8, 1), last_on=date(2024, 8, 3))  # fmt: skip
        taken(plan, eventDate="2024-08-02")
        taken(plan, decimalLongitude="44.49", decimalLatitude="42.49")
        assert {event.stop.stop.pk for event in compared(plan).events if event.stop} == {later.pk, far.pk}

    def test_the_site_comes_before_the_distance(self, plan: FieldPlan) -> None:
        site = register.site("GE-NAZ-1")
        register.boundary(site, longitude_deg=44.5, latitude_deg=42.5)
        named = stop(plan, name="Site", position=2, site=site, country="", longitude_deg=None, latitude_deg=None,
                     radius_m=None, first_on=date(2024, 6, 17), last_on=date(2024, 6, 19))  # fmt: skip
        taken(plan, locationID="GE-NAZ-1", decimalLatitude="", decimalLongitude="")
        event = only(plan)
        assert event.stop is not None and event.stop.stop.pk == named.pk
        assert Subject.PLACE not in {subject for subject, *_ in said(event)}

    def test_statements_of_one_number_are_one_event_measured_where_it_is_farthest(self, plan: FieldPlan) -> None:
        """Three specimens of FB-12: two at the stop, one 611 m beyond its ground (as above)."""
        for latitude in ("42.084", "42.0841", "42.094"):
            taken(plan, eventID="FB-12", decimalLatitude=latitude)
        event = only(plan)
        assert event.real.specimens == 3 and len(event.real.statements) == 3
        assert [sentence[:5] for _, sentence, _ in said(event)] == ["611 m"]

    def test_statements_of_one_number_on_other_days_are_events_of_their_own(self, plan: FieldPlan) -> None:
        taken(plan, eventID="FB-12")
        taken(plan, eventID="FB-12", eventDate="2024-06-20")
        assert [event.is_as_planned for event in compared(plan).events] == [True, False]

    def test_an_event_without_position_is_held_by_its_days(self, plan: FieldPlan) -> None:
        taken(plan, decimalLatitude="", decimalLongitude="")
        event = only(plan)
        assert [one.subject for one in event.unknown] == [Subject.PLACE] and not event.differences

    def test_people_as_records_and_papers_are_held(self, plan: FieldPlan) -> None:
        """Family name first is the same person; a first name in full may be; another family name is not."""
        taken(plan, recordedBy="Ek, J. | Maja Lind | K. Dal")
        event = only(plan)
        assert [sentence for _, sentence, _ in said(event)] == ["not planned: K. Dal"]
        assert [one.sentence for one in event.unknown] == ["initials do not tell whether planned: Maja Lind"]

    def test_methods(self, plan: FieldPlan) -> None:
        taken(plan, samplingProtocol="Hand net | light trap")
        assert said(only(plan))[0][:2] == (Subject.METHODS, "not planned: light trap")

    def test_a_trap_has_days_of_its_own(self, plan: FieldPlan) -> None:
        trap(plan.stops.get(), method="Malaise trap", first_on=date(2024, 6, 17), last_on=date(2024, 7, 10))
        taken(plan, samplingProtocol="Malaise trap", eventDate="2024-06-17/2024-07-10")
        taken(plan, samplingProtocol="hand net", eventDate="2024-07-10")
        trapped, netted = compared(plan).events
        assert not [one for one in trapped.differences if one.subject is Subject.DAYS]
        assert [one.sentence for one in netted.differences] == ["21 days after the last planned day, 19 Jun 2024"]

    def test_groups(self, plan: FieldPlan) -> None:
        """A dragonfly is planned, a caddisfly not; "Insecta" alone may be one."""
        odonate = DRAGONFLY | {"class": "Insecta"}
        caddis = {"scientificName": "Hydropsyche", "order": "Trichoptera", "class": "Insecta"}
        for name in (odonate, caddis, {"scientificName": "Insecta", "class": "Insecta"}):
            taken(plan, name=name)
        event = only(plan)
        assert [sentence for subject, sentence, _ in said(event) if subject is Subject.GROUPS] == [
            "not planned: Hydropsyche"
        ]
        assert [one.sentence for one in event.unknown] == ["the classification does not tell whether planned: Insecta"]

    @pytest.mark.parametrize(("count", "over"), [("10", False), ("11", True)])
    def test_numbers_over_those_expected(self, plan: FieldPlan, count: str, over: bool) -> None:
        taken(plan, count=count)
        (found,) = compared(plan).stops
        assert [one.sentence for one in found.differences] == (["11 Odonata recorded, 10 expected"] if over else [])

    def test_stops_that_were_not_visited(self, plan: FieldPlan) -> None:
        stop(plan, name="Elsewhere", position=2, longitude_deg=44.5, latitude_deg=42.5)
        taken(plan)
        assert [one.planned.stop.name for one in compared(plan).not_visited] == ["Elsewhere"]

    def test_an_event_beside_its_stop_is_no_visit(self, plan: FieldPlan) -> None:
        taken(plan, decimalLatitude="42.094")
        (found,) = compared(plan).stops
        assert not found.is_visited and not found.may_be_visited and len(found.events) == 1

    def test_days_of_the_way_home(self, plan: FieldPlan) -> None:
        way_home(plan, exported_on="2024-06-25", imported_on="2024-06-26", transferred_on="2024-07-01")
        came = register.delivery(accession_of(plan), exported_on="2024-06-25", imported_on="2024-06-29")
        Specimen.objects.filter(pk=taken(plan).pk).update(delivery=came)
        (found,) = compared(plan).deliveries
        assert [one.sentence for one in found.differences] == [
            "arrived on 2024-06-29, planned was 2024-06-26: 3 days later"
        ]
        assert [one.sentence for one in found.unknown] == [
            "changed hands: the day is not recorded, planned was 2024-07-01"
        ]


class TestWhatMatters:
    def test_a_day_after_the_permit_ended_matters(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06-20")
        ((subject, _, weight),) = said(only(plan))
        assert (subject, weight) == (Subject.DAYS, Weight.MATTERS)

    def test_a_day_within_the_permit_is_only_a_difference(self, plan: FieldPlan) -> None:
        """Before the first planned day, and the permit holds from the 1st."""
        taken(plan, eventDate="2024-06-16")
        ((subject, _, weight),) = said(only(plan))
        assert (subject, weight) == (Subject.DAYS, Weight.HARMLESS)

    def test_it_is_the_same_subject_that_must_say_so(self, plan: FieldPlan) -> None:
        """The method is outside the permit; the person is not planned, which the permit does not mind."""
        taken(plan, samplingProtocol="light trap", recordedBy="K. Dal")
        weights = {subject: weight for subject, _, weight in said(only(plan))}
        assert weights == {Subject.PEOPLE: Weight.HARMLESS, Subject.METHODS: Weight.MATTERS}

    def test_a_group_is_told_by_its_own_specimens(self, plan: FieldPlan) -> None:
        """Of a dragonfly and a caddisfly only the first was planned. The permit is for the one, then for the other."""
        caddis = {"scientificName": "Hydropsyche", "order": "Trichoptera", "class": "Insecta"}
        taken(plan)
        taken(plan, name=caddis)
        term = VersionTaxon.objects.create(version=PaperVersion.objects.get(), name="Odonata")
        assert [one.weight for one in only(plan).differences] == [Weight.MATTERS]
        VersionTaxon.objects.filter(pk=term.pk).update(name="Trichoptera")
        assert [one.weight for one in only(plan).differences] == [Weight.HARMLESS]

    def test_what_was_not_judged_cannot_be_told(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06-20")
        (difference,) = only(plan, judged=False).differences
        assert (difference.weight, difference.judgement.unjudged) == (Weight.UNTOLD, 1)

    def test_a_verdict_of_an_earlier_record_does_not_count(self, plan: FieldPlan) -> None:
        """Judged on the 17th, then corrected to the 20th: nobody has judged the 20th yet."""
        from accessions.material.actions.specimens import change_event

        made = taken(plan)
        assess(by=None, why="first")
        change_event(made, {"eventDate": "2024-06-20"}, everyone=False, by=register.person(Role.REGISTRAR), why="slip")
        found = compared(plan, judged=False)
        assert [one.weight for one in found.differences] == [Weight.UNTOLD] and found.waiting

    def test_a_layer_that_tested_nothing_leaves_it_open(self, plan: FieldPlan) -> None:
        """Land requires a paper, and nobody has searched for one: what it would say of the day is not known."""
        from governance.verdicts.models import SheetRule

        SheetRule.objects.filter(layer=int(Layer.LAND)).update(required=True)
        taken(plan, eventDate="2024-06-16")
        (difference,) = only(plan).differences
        assert difference.weight == Weight.UNTOLD
        assert [(one.cell.layer, one.code) for one in difference.judgement.said] == [(Layer.LAND, "not-searched")]

    def test_each_day_of_the_way_home_is_told_by_its_own_layers(self, plan: FieldPlan) -> None:
        """The export permit ended on 25 June: that it left on the 27th matters, that it arrived later does not."""
        from governance.verdicts.models import SheetRule

        SheetRule.objects.filter(layer=int(Layer.EXPORT)).update(required=True)
        permit = register.paper("EXP-2024-001", layers=(Layer.EXPORT,))
        register.version(permit, "2024-06-20", "2024-06-25")
        register.link(permit, accession=plan.accession)
        way_home(plan, exported_on="2024-06-25", imported_on="2024-06-26")
        came = register.delivery(accession_of(plan), exported_on="2024-06-27", imported_on="2024-06-28")
        Specimen.objects.filter(pk=taken(plan).pk).update(delivery=came)
        (found,) = compared(plan).deliveries
        assert [(one.subject, one.weight) for one in found.differences] == [
            (Subject.EXPORT_DAY, Weight.MATTERS), (Subject.IMPORT_DAY, Weight.HARMLESS),
        ]  # fmt: skip

    def test_says_of_how_many_specimens_it_is_said(self, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06-20")
        taken(plan, eventDate="2024-06-20", name={"scientificName": "Aeshna", "order": "Odonata"})
        (difference,) = only(plan).differences
        assert [(one.words, one.specimens) for one in difference.judgement.said] == [
            ("Collecting: After the end date", 2)
        ]

    @pytest.mark.parametrize(("day", "weight"), [("2024-06-20", Weight.MATTERS), ("2024-06-16", Weight.UNTOLD)])
    def test_one_specimen_that_was_not_judged(self, plan: FieldPlan, day: str, weight: Weight) -> None:
        """What one verdict says stands; that the other says nothing yet keeps a difference from being harmless."""
        taken(plan, eventDate=day)
        assess(by=None, why="first")
        taken(plan, eventDate=day)
        (difference,) = only(plan, judged=False).differences
        assert (difference.weight, difference.judgement.unjudged) == (weight, 1)


class TestWhichVersion:
    def test_the_one_that_was_signed_off_not_the_newest(self, plan: FieldPlan) -> None:
        by = register.person(Role.COMPLIANCE)
        PlanSignOff.objects.create(
            version=keep_version(plan, by=by, why="begun"), signed_by=by, remark="Looked at all."
        )
        plan.stops.update(last_on=date(2024, 6, 30))
        keep_version(plan, by=by, why="longer")
        taken(plan, eventDate="2024-06-20")
        found = compared(plan)
        assert found.planned.is_signed and found.planned.version is not None and found.planned.version.number == 1
        assert [one.subject for one in found.differences] == [Subject.DAYS]

    def test_without_a_sign_off_the_newest(self, plan: FieldPlan) -> None:
        by = register.person(Role.CURATOR)
        keep_version(plan, by=by, why="begun")
        plan.stops.update(last_on=date(2024, 6, 30))
        keep_version(plan, by=by, why="longer")
        taken(plan, eventDate="2024-06-20")
        assert not compared(plan).differences

    def test_a_plan_that_became_nothing(self) -> None:
        assert after_trip(field_plan()) is None


class TestPage:
    @pytest.fixture
    def auditor(self, client: Client) -> Client:
        client.force_login(register.person(Role.AUDITOR))
        return client

    def test_says_first_how_it_went(self, auditor: Client, plan: FieldPlan) -> None:
        taken(plan)
        taken(plan, eventDate="2024-06-20")
        taken(plan, eventDate="2024-06-16")
        assess(by=None, why="after the trip")
        text = auditor.get(reverse("plans:plan-after", args=[plan.pk])).content.decode()
        assert "1 of 3 events went as planned; 1 difference matters." in text
        assert "1 more is only a difference." in text

    @pytest.mark.parametrize(
        ("show", "days"),
        [("matters", ["20 Jun 2024"]), ("different", ["16 Jun 2024", "20 Jun 2024"]), ("planned", ["17 Jun 2024"]),
         ("nonsense", ["16 Jun 2024", "17 Jun 2024", "20 Jun 2024"])],
    )  # fmt: skip
    def test_narrows(self, auditor: Client, plan: FieldPlan, show: str, days: list[str]) -> None:
        for day in ("2024-06-17", "2024-06-20", "2024-06-16"):
            taken(plan, eventDate=day)
        assess(by=None, why="after the trip")
        answer = auditor.get(reverse("plans:plan-after", args=[plan.pk]), {"show": show})
        assert [event.real.when for event in answer.context["page"].object_list] == days

    def test_says_so_where_there_is_nothing_yet(self, auditor: Client, plan: FieldPlan) -> None:
        assert "holds no specimen yet" in auditor.get(reverse("plans:plan-after", args=[plan.pk])).content.decode()
        other = field_plan()
        assert (
            "has become no accession yet" in auditor.get(reverse("plans:plan-after", args=[other.pk])).content.decode()
        )

    def test_the_file_has_a_row_for_each_difference(self, auditor: Client, plan: FieldPlan) -> None:
        taken(plan, eventDate="2024-06-20", recordedBy="K. Dal")
        taken(plan)
        assess(by=None, why="after the trip")
        answer = auditor.get(reverse("plans:plan-after-csv", args=[plan.pk]))
        text = b"".join(answer).decode("utf-8-sig")  # type: ignore[call-overload]
        rows = list(csv.DictReader(io.StringIO(text)))
        assert [(row["first day"], row["subject"], row["matters"]) for row in rows] == [
            ("2024-06-17", "", ""), ("2024-06-20", "Days", "matters"), ("2024-06-20", "People", "only a difference"),
        ]  # fmt: skip
        assert rows[1]["because"] == "Collecting: After the end date (1)"

    @pytest.mark.parametrize("events", [10, 100])
    def test_queries_do_not_grow(
        self, auditor: Client, plan: FieldPlan, events: int, django_assert_num_queries: Any
    ) -> None:
        name = register.written_name()
        for number in range(events):
            register.specimen(accession=Accession.objects.get(), event=register.event(f"E-{number}"), name=name)
        keep_version(plan, by=register.person(Role.CURATOR), why="begun")
        assess(by=None, why="after the trip")
        with django_assert_num_queries(14):
            auditor.get(reverse("plans:plan-after", args=[plan.pk]), {"size": "100"})
