"""Data quality: each rule on the rows where it begins and ends. TRADE 9.5 names the rules; limits are worked out in
comments."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from unittest import mock

import pytest
from django.core.cache import cache
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Determination, SamplingEvent, Specimen
from accessions.material.oddities import oddities_of
from accessions.people.access import role_bits
from accessions.people.history import record
from accessions.people.models import Role
from accessions.people.past import reading_at
from governance.audit.queries import quality, quality_places
from governance.audit.questions.quality import RULE, RULES
from governance.engine.tables import Layer
from governance.papers.models import PaperScan
from governance.scans.models import ScanPage
from tests.factories import register, scans
from tests.factories.verdicts import Why, judged
from tests.integration.audit.put import column, put, table, told

pytestmark = pytest.mark.django_db


def run(number: str, first: str, last: str, **fields: Any) -> SamplingEvent:
    """An event of several days."""
    days = {"earliest_on": date.fromisoformat(first), "latest_on": date.fromisoformat(last)}
    return register.event(number, first, event_date=f"{first}/{last}", **days, **fields)


def found(key: str, *columns: str, **values: Any) -> Any:
    return column(put(f"quality-{key}", **values), *columns)


class TestOrder:
    def test_received_before_collected(self) -> None:
        """Received on 28 June 2024. Collected on that day is right, a day later is not; two of one event are one row.
        The day of a delivery comes before that of its accession."""
        accession = register.accession("A", received_on=date(2024, 6, 28))
        late, same = register.event("LATE", "2024-06-29"), register.event("SAME", "2024-06-28")
        for number, event in enumerate((late, late, same)):
            register.specimen(f"A-{number}", accession=accession, event=event)
        delivery = register.delivery(accession, received_on=date(2024, 7, 1))
        register.specimen("B-0", accession=accession, event=late, delivery=delivery)
        early = register.delivery(accession, 2, received_on=date(2024, 6, 1))
        register.specimen("C-0", accession=accession, event=same, delivery=early)
        assert found("received-before-collected", "event", "days", "specimens", "one") == [
            ("LATE", 1, 2, "A-0"), ("SAME", 27, 1, "C-0"),
        ]  # fmt: skip

    def test_the_same_as_intake_says(self) -> None:
        """The set rule and the sentence about one specimen find the same specimens."""
        accession = register.accession("A", received_on=date(2024, 6, 28))
        made = [
            register.specimen(f"A-{day}", accession=accession, event=register.event(day, f"2024-06-{day}"))
            for day in ("27", "28", "29", "30")
        ]
        odd = [one.catalog_number for one in made if any("after the accession" in text for text in oddities_of(one))]
        assert odd == ["A-29", "A-30"] == found("received-before-collected", "one")

    def test_accessioned_before_received(self) -> None:
        """The first of two deliveries came a day after the number was given; of the other accession on that day."""
        for number, day in (("A", 2), ("B", 1)):
            accession = register.accession(number, accessioned_on=date(2024, 5, 1))
            register.delivery(accession, 1, received_on=date(2024, 5, day))
            register.delivery(accession, 2, received_on=date(2024, 9, 1))
        assert found("accessioned-before-received", "accession", "days") == [("A", 1)]

    @pytest.mark.parametrize(("written", "is_odd"), [
        ("2024-06-16", True), ("2024-06-17", False), ("2024-06", False), ("2024-05", True), ("2023", True),
        ("2024", False), ("2024-06-10/2024-06-16", True), ("2024-06-10/2024-06-17", False), ("16.6.2024", False),
        ("", False),
    ])  # fmt: skip
    def test_left_and_determined_before_collected(self, written: str, is_odd: bool) -> None:
        """Collected on 17 June 2024. What is vague counts by the last day that it may mean; what cannot be read says
        nothing."""
        accession = register.accession("A")
        delivery = register.delivery(accession, exported_on=written)
        specimen = register.specimen("A-1", accession=accession, delivery=delivery)
        Determination.objects.filter(specimen=specimen).update(date_identified=written)
        assert found("left-before-collected", "one") == (["A-1"] if is_odd else [])
        assert found("determined-before-collected", "specimen") == (["A-1"] if is_odd else [])


class TestDays:
    def test_trap_runs(self) -> None:
        """Six weeks are 42 days: from 1 May to 12 June is 42 days later, to 13 June 43."""
        run("SIX", "2024-05-01", "2024-06-12")
        run("MORE", "2024-05-01", "2024-06-13")
        run("VAGUE", "2024-01-01", "2024-12-31", reading="vague")
        assert found("trap-run", "event", "days") == [("MORE", 44)]

    def test_unreadable_dates(self) -> None:
        """An interval that runs backwards; a year of two figures; a label that says another day."""
        unread = {"reading": "unreadable", "earliest_on": None, "latest_on": None}
        register.event("BACK", "", event_date="2024-06-20/2024-06-17", **unread)
        register.event("TWO", "", event_date="3/4/19", **unread)
        register.event("CLASH", "", event_date="2024-06-18", verbatim_event_date="21 July 2024",
                       **unread | {"reading": "conflict"})  # fmt: skip
        register.event("FINE")
        hints = dict(found("date-unreadable", "event", "hint"))
        assert set(hints) == {"BACK", "TWO", "CLASH"}
        assert "ends before it starts" in hints["BACK"] and "century is not written" in hints["TWO"]
        assert "2024-07-21" in hints["CLASH"]

    def test_slips_of_a_century_and_days_ahead(self) -> None:
        """Received in 2024: collected in 1924 is a slip in field collecting, in a gift it is not; 1922 is 102 years
        before. The day after the one that is asked about lies ahead."""
        for number, kind, year in (("A", "field", 1924), ("B", "gift", 1924), ("C", "field", 1922)):
            accession = register.accession(number, kind=kind, received_on=date(2024, 6, 28))
            register.specimen(f"{number}-1", accession=accession, event=register.event(number, f"{year}-06-17"))
        register.event("AHEAD", "2026-11-27")
        register.event("TODAY", "2026-11-26")
        assert found("century", "event", "what") == [
            ("A", "a hundred years before its accession was received"), ("AHEAD", "lies ahead"),
        ]  # fmt: skip


def at(number: str, latitude: str, longitude: str, country: str = "GE", **fields: Any) -> SamplingEvent:
    """An event at a position, written and read."""
    return register.event(
        number, decimal_latitude=latitude, decimal_longitude=longitude, country_code=country, country=country,
        latitude_deg=float(latitude), longitude_deg=float(longitude), **fields,
    )  # fmt: skip


class TestPlaces:
    def test_outside_the_country_with_the_slip(self) -> None:
        """Tbilisi is about 41.7 N, 44.8 E. Swapped it is in southern Russia (44.8 N, 41.7 E), which lies apart from
        Georgia; with a sign lost it is at sea or in another hemisphere. Off by 200 m at the border is fine: outlines
        are known to 5 km. A generalised position says nothing."""
        at("FINE", "41.70", "44.80")
        at("SWAPPED", "44.80", "41.70")
        at("SIGN", "-41.70", "44.80")
        at("COARSE", "44.80", "41.70", data_generalizations="to 10 km")
        at("NOWHERE", "44.80", "41.70", "")
        rows = {row["event"]: row for row in table(put("quality-outside-country"))}
        assert set(rows) == {"SWAPPED", "SIGN"}
        assert rows["SWAPPED"]["slip"] == "latitude and longitude swapped"
        assert rows["SIGN"]["slip"] == "a sign lost or one too many"
        # From 41.7 S to the southern tip of Georgia at about 41.05 N: 82.75 degrees of 111 km are about 9,180 km.
        assert 9_000 < rows["SIGN"]["km"] < 9_400

    def test_at_sea_by_a_method_of_the_land(self) -> None:
        """In the Black Sea at 42.0 N, 40.5 E, some 85 km off Poti: within 200 nautical miles, so the country may be
        right, but nobody nets butterflies there. A plankton net may be; without a method nobody can tell."""
        at("LAND", "42.0", "40.5", sampling_protocol="light trap")
        at("WATER", "42.0", "40.5", sampling_protocol="plankton net")
        at("BLANK", "42.0", "40.5", sampling_protocol="")
        assert found("at-sea", "event") == ["LAND"]
        assert found("outside-country", "event") == []

    def test_what_was_left_aside_is_said(self) -> None:
        """With a limit of one, the second of two suspicious places is not measured."""
        at("A", "44.80", "41.70")
        at("B", "44.81", "41.70")
        with mock.patch.object(quality_places, "MOST_MEASURED", 1):
            answer = put("quality-outside-country")
        assert (answer.count, [one.count for one in answer.missing]) == (1, [1])

    @pytest.mark.parametrize(("latitude", "longitude", "is_odd"), [
        ("0", "0", True), ("0.000", "-0.0", True), ("0", "43.9", False), ("0.01", "0", False), ("", "", False),
    ])  # fmt: skip
    def test_nought_nought(self, latitude: str, longitude: str, is_odd: bool) -> None:
        register.event("E", decimal_latitude=latitude, decimal_longitude=longitude, latitude_deg=None,
                       longitude_deg=None)  # fmt: skip
        assert found("zero-zero", "event") == (["E"] if is_odd else [])

    def test_two_sites_on_one_point(self) -> None:
        """By a boundary and by an event; two codes of one name are one place, and a point apart is another."""
        weir, mill = register.site("GE-1", name="Weir"), register.site("GE-2", name="Mill")
        same, apart = register.site("GE-3", name="weir"), register.site("GE-4", name="Ford")
        register.boundary(weir, longitude_deg=43.9, latitude_deg=42.0)
        register.event("E", site=mill, longitude_deg=43.9, latitude_deg=42.0)
        register.boundary(same, longitude_deg=43.5, latitude_deg=42.5)
        register.boundary(apart, longitude_deg=43.5, latitude_deg=42.4)
        assert found("sites-on-one-point", "count", "sites") == [(2, "GE-1 Weir; GE-2 Mill")]
        register.event("F", site=weir, longitude_deg=43.5, latitude_deg=42.5)
        assert len(found("sites-on-one-point", "count")) == 1


class TestLacking:
    def test_without_date_place_name(self) -> None:
        bare: dict[str, Any] = {"longitude_deg": None, "latitude_deg": None}
        register.event("NO-DATE", "")
        register.event("NO-PLACE", **bare)
        register.event("LOCALITY", locality="by the weir", **bare)
        register.event("SITE", site=register.site(), **bare)
        register.specimen("A-1", name=register.written_name("", shown=""), event=register.event("E"))
        register.specimen("A-2", event=register.event("F"))
        assert found("without-date", "event") == ["NO-DATE"]
        assert found("without-place", "event") == ["NO-PLACE"]
        assert found("without-name", "specimen") == ["A-1"]


class TestNumbers:
    def test_above_the_norm(self) -> None:
        """A hand net gives 300 a day: 301 on a day are looked at, on two days 600 are not; a second method adds its
        own; of a method without a norm nothing is said. What was taken from a lot is not counted twice."""
        one, two = register.event("ONE"), run("TWO", "2024-06-17", "2024-06-18")
        both = register.event("BOTH", sampling_protocol="hand net | pitfall trap")
        other = register.event("OTHER", sampling_protocol="telepathy")
        lot = register.specimen("L-1", kind="lot", event=one, count_low=300, count_high=300)
        register.specimen("L-2", kind="lot", event=one, parent=lot, count_low=200, count_high=200)
        for event, n in ((two, 600), (both, 1_300), (other, 10_000)):
            register.specimen(kind="lot", event=event, count_low=n, count_high=n)
        assert found("count-above-norm", "event") == []
        register.specimen("L-3", event=one)
        register.specimen(event=both)
        assert found("count-above-norm", "event", "individuals", "norm") == [("ONE", 301, 300), ("BOTH", 1_301, 1_300)]

    def test_more_taken_than_held(self) -> None:
        """A lot of ten: six and four are ten, one more is too many; a leg is no individual; a lot without a bound
        holds any number. The same as ``oddities_of`` says."""
        lot = register.specimen("L-1", kind="lot", count_low=10, count_high=10)
        endless = register.specimen("L-2", kind="lot", count_low=1, count_high=None)
        for n in (6, 4):
            register.specimen(kind="lot", parent=lot, count_low=n, count_high=n)
        register.specimen(kind="part", parent=lot)
        register.specimen(kind="lot", parent=endless, count_low=50, count_high=50)
        assert found("parent-fewer", "specimen") == [] == oddities_of(Specimen.objects.get(pk=lot.pk))
        register.specimen(parent=lot)
        assert found("parent-fewer", "specimen", "held", "taken", "more") == [("L-1", 10, 11, 1)]
        assert oddities_of(Specimen.objects.get(pk=lot.pk)) == [
            "11 individuals were taken from it; it held 10 at most."
        ]


class TestPeople:
    def test_longer_than_a_life_allows(self) -> None:
        """From 1900 to 1975 are 75 years, to 1976 more; J. Ek and Ek, J. are one name; two people of a cell are two."""
        register.event("A", "1900-05-01", recorded_by="J. Ek | V. Lund")
        register.event("B", "1976-05-01", recorded_by="Ek, J.")
        register.event("C", "1975-05-01", recorded_by="V. Lund")
        assert found("collector-years", "name", "years", "events") == [("Ek, J.", 76, 2)]

    def test_people_who_look_alike(self) -> None:
        """A form in common; a family name with initials that fit; not with others, and no organisation by initials."""
        one = register.agent("Jon Ek")
        other = register.agent("Ek, Jon", kind="person")
        register.agent("J. Ek")
        register.agent("K. Ek")
        register.agent("J. Lund")
        register.agent("J. Lund Ltd", kind="organisation")
        rows = found("same-people", "one", "other", "why")
        same, maybe = "one form of a name is the same", "same family name, initials that fit"
        assert sorted(rows) == sorted([
            ("Jon Ek", "Ek, Jon", same), ("Jon Ek", "J. Ek", maybe), ("Ek, Jon", "J. Ek", maybe)
        ])  # fmt: skip
        assert one.pk < other.pk


class TestPapers:
    def test_used_before_it_was_issued(self) -> None:
        """Collected on 17 June 2024, and covered: by a paper of 18 June, which is odd, and by one of that day. A paper
        of export is not tested on that day. Of a closed paper the day of issue stays out."""
        late = register.paper("LATE", issued_on=date(2024, 6, 18), restricted_to=role_bits([Role.REGISTRAR]),
                              restricted_why="by contract")  # fmt: skip
        same = register.paper("SAME", issued_on=date(2024, 6, 17))
        export = register.paper("EXPORT", issued_on=date(2025, 1, 1))
        why = {Layer.LAND: Why("covered", "", late), Layer.COLLECTING: Why("covered", "", same),
               Layer.EXPORT: Why("covered", "", export)}  # fmt: skip
        judged(register.specimen("A-1"), "0" * 9, why)
        judged(register.specimen("A-2", event=register.event("B", "2024-06-19")), "0" * 9, why)
        columns = ("paper", "issued", "first", "specimens")
        day = date(2024, 6, 17)
        assert found("paper-before-issue", *columns) == [("LATE", date(2024, 6, 18), day, 1)]
        assert column(put("quality-paper-before-issue", Role.CURATOR), *columns) == [("LATE", None, day, 1)]

    def test_issued_after_it_ended(self) -> None:
        for number, issued in (("A", date(2024, 7, 1)), ("B", date(2024, 6, 30))):
            register.version(register.paper(number, issued_on=issued))
        open_ended = register.paper("C", issued_on=date(2024, 7, 1))
        register.version(open_ended)
        register.version(open_ended, "2024-06-30", None)
        assert found("paper-days", "paper", "last") == [("A", date(2024, 6, 30))]

    def test_without_a_scan(self) -> None:
        """One that has none, and one whose scan was taken off."""
        for number in ("A", "B", "C"):
            register.paper(number)
        scan, by = scans.scan(b"a", stored=False), register.person()
        for paper in (register.paper("D"), register.paper("E")):
            PaperScan.objects.create(paper=paper, scan=scan, name="x", filed_by=by)
        PaperScan.objects.filter(paper__reference="E").update(taken_off_at="2024-01-01T00:00Z", taken_off_by=by)
        assert found("paper-without-scan", "paper") == ["A", "B", "C", "E"]

    def test_scans_with_fewer_pages_than_they_say(self) -> None:
        """ "Page 1, 2 of 3" lacks a page; "1, 2 of 2" does not. The name of a closed scan stays out."""
        for name, of in (("Zzshort.pdf", 3), ("whole.pdf", 2)):
            scan = scans.scan(name.encode(), stored=False, original_name=name, page_count=2,
                              restricted_to=role_bits([Role.REGISTRAR]))  # fmt: skip
            for number in (1, 2):
                ScanPage.objects.create(scan=scan, number=number, printed_page=number, printed_of=of)
        assert found("scan-pages", "name", "lacks") == [
            ("Zzshort.pdf", "Page 3 of 3 is missing, by the page numbers printed on the others.")
        ]  # fmt: skip
        theirs = put("quality-scan-pages", Role.CURATOR)
        assert theirs.count == 1 and "Zzshort" not in told(theirs)


def test_every_rule_has_a_test_and_says_where_it_comes_from() -> None:
    """The keys stand in addresses and in kept counts: they never change."""
    assert set(RULE) == {f"quality-{key}" for key in (
        "received-before-collected", "accessioned-before-received", "left-before-collected",
        "determined-before-collected", "trap-run", "date-unreadable", "century", "outside-country", "at-sea",
        "zero-zero", "sites-on-one-point", "without-date", "without-place", "without-name", "count-above-norm",
        "parent-fewer", "collector-years", "same-people", "paper-before-issue", "paper-days", "paper-without-scan",
        "scan-pages",
    )}  # fmt: skip
    assert all(str(rule.basis) for rule in RULES)


def test_what_is_kept_of_a_large_register_follows_every_change(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    """As if the register were large: the second time only the mark is read; once a history has another entry, all of it
    again; and of an earlier moment nothing is kept."""
    cache.clear()
    accession = register.accession("A", received_on=date(2024, 6, 16))
    register.specimen("A-1", accession=accession)
    rule, today = RULE["quality-received-before-collected"], date(2026, 11, 26)
    with mock.patch.object(quality, "LARGE", 0):
        with django_assert_num_queries(2):
            assert len(rule.found(today)) == 1
        with django_assert_num_queries(1):
            assert len(rule.found(today)) == 1
        accession.received_on = date(2024, 6, 17)
        record(accession, by=register.person(), why="the book says so")
        assert len(rule.found(today)) == 0
        with reading_at(datetime(2024, 1, 1, tzinfo=UTC)), django_assert_num_queries(1):
            assert len(rule.found(today)) == 0
    cache.clear()
