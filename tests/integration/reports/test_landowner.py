"""The report to a landowner: only what was taken on their land on days of their tenure. Counted by hand.

What owners ask for follows common practice (no source): a species list with dates, where it is kept, what became of it.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.people.access import role_bits
from accessions.people.models import Agent
from accessions.sites.models import Site, SiteTenure
from governance.reports.composing.codes import PERIOD, TENURE, UNDATED
from governance.usedesk.models import DeskRules
from tests.factories import register
from tests.factories.composed import composed, everything, notes, rows, value
from tests.factories.usedesk import made_use, recipient

pytestmark = pytest.mark.django_db

SQUARE = '{"type": "Polygon", "coordinates": [[[43.9, 42.0], [43.91, 42.0], [43.91, 42.01], [43.9, 42.0]]]}'


@pytest.fixture
def meadow() -> Site:
    return register.site("GE-MEA-1", name="Bridge meadow")


@pytest.fixture
def owner(meadow: Site) -> Agent:
    """Owner of the meadow from 1 March 2019 to 30 June 2022."""
    made = register.agent("Tamar Lomidze")
    SiteTenure.objects.create(site=meadow, agent=made, held_from=date(2019, 3, 1), held_to=date(2022, 6, 30))
    return made


def take(site: Site, day: str = "2020-06-17", last: str = "", name: str = "Calopteryx splendens", **fields: Any) -> Any:
    until: dict[str, Any] = {"latest_on": date.fromisoformat(last)} if last else {}
    event = register.event(day=day, site=site, **until)
    return register.specimen(event=event, name=register.written_name(name), **fields)


def taken_on(made: Any) -> list[str]:
    return [first for (first,) in rows(made, "material", "first_on")]


def test_only_days_of_the_tenure_count(meadow, owner):
    """The day before the first, the first, the last, the day after the last."""
    for day in ("2019-02-28", "2019-03-01", "2022-06-30", "2022-07-01"):
        take(meadow, day)
    made = composed("landowner", agent=owner)
    assert sorted(taken_on(made)) == ["2019-03-01", "2022-06-30"]
    assert value(made, "not_known") == "0", "a day that is known to be outside is nothing open"


def test_only_days_of_the_period_count(meadow, owner):
    for day in ("2019-12-31", "2020-01-01", "2020-12-31", "2021-01-01"):
        take(meadow, day)
    made = composed("landowner", agent=owner, period_from=date(2020, 1, 1), period_to=date(2020, 12, 31))
    assert sorted(taken_on(made)) == ["2020-01-01", "2020-12-31"]


def test_what_may_be_theirs_is_counted_and_not_listed(meadow, owner):
    """No day at all; 20 June to 10 July 2022, when the land changed hands; 30 December to 2 January, over the year."""
    doubtful = [
        take(meadow, ""), take(meadow, "2022-06-20", "2022-07-10"), take(meadow, "2021-12-30", "2022-01-02"),
    ]  # fmt: skip
    made = composed("landowner", agent=owner, period_from=date(2022, 1, 1), period_to=date(2022, 12, 31))
    assert rows(made, "unknown", "question") == [(UNDATED,), (TENURE,), (PERIOD,)]
    assert [value(made, key) for key in ("specimens", "not_known")] == ["0", "3"]
    assert not any(one.catalog_number in everything(made) for one in doubtful)
    said = notes(made)
    assert [said[f"unknown_{question}"]["n"] for question in (UNDATED, TENURE, PERIOD)] == [1, 1, 1]
    assert "nothing_certain" in said and "nothing_found" not in said


def test_a_tenure_without_ends_holds_what_has_no_day(meadow):
    always = register.agent("Nino Beridze")
    SiteTenure.objects.create(site=meadow, agent=always)
    take(meadow, "")
    assert value(composed("landowner", agent=always), "specimens") == "1"


def test_tenures_that_follow_each_other_are_one(meadow, owner):
    """Occupier until the day before; a span over both days is theirs. A gap of one day is somebody else's."""
    SiteTenure.objects.create(
        site=meadow, agent=owner, kind="occupier", held_from=date(2018, 1, 1), held_to=date(2019, 2, 28)
    )
    take(meadow, "2019-02-27", "2019-03-02")
    assert value(composed("landowner", agent=owner), "specimens") == "1"
    owner.tenures.filter(kind="occupier").update(held_to=date(2019, 2, 27))
    made = composed("landowner", agent=owner)
    assert (value(made, "specimens"), value(made, "unknown")) == ("0", None)
    assert rows(made, "unknown", "question") == [(TENURE,)]


def test_species_with_dates_numbers_and_where_they_are_kept(meadow, owner):
    """3 + 1 splendens of two days, one of them lent; a lot of 30 forcipatus; a leg is no specimen of its own."""
    DeskRules.objects.update_or_create(pk=1, defaults={"institution": "Lindmark Museum of Natural History"})
    lent = take(meadow, "2020-06-17", kind="lot", count_low=3, count_high=3)
    take(meadow, "2021-07-01")
    take(meadow, name="Onychogomphus forcipatus", kind="lot", count_low=30, count_high=30)
    register.specimen(parent=lent, kind="part")
    made_use(lent, recipient=recipient(name="Nordvik Museum"))
    made = composed("landowner", agent=owner)
    house, site = "Lindmark Museum of Natural History", "GE-MEA-1, Bridge meadow"
    assert rows(made, "species", *(column.key for column in made.tables["species"].columns)) == [
        (
            "Calopteryx splendens",
            2,
            4,
            "2020-06-17",
            "2021-07-01",
            "GE-MEA-1, Bridge meadow",
            f"{house}; Nordvik Museum",
        ),
        ("Onychogomphus forcipatus", 1, 30, "2020-06-17", "2020-06-17", site, house),
    ]
    keys = ("specimens", "individuals", "taxa", "sites", "now_here", "now_out")
    assert [value(made, key) for key in keys] == ["3", "34", "2", "1", "2", "1"]


def test_what_was_done_with_it(meadow, owner):
    """An extraction from a leg is a use of the specimen; who asked, and what the desk answered, stays in the house."""
    mine = take(meadow)
    leg = register.specimen(parent=mine, kind="part")
    made_use(leg, deed="extraction", on=date(2026, 1, 5), title="CANARY-TITLE", recipient=recipient(name="CANARY-WHO"))
    made_use(mine, deed="publication", on=date(2026, 2, 1), citation="Ek (2026), Rivers 3: 1-9", is_outside=True)
    made = composed("landowner", agent=owner)
    assert rows(made, "uses", "deed", "specimens", "title", "recipient", "answer", "outside") == [
        ("extraction", 1, None, None, None, None), ("publication", 1, None, None, None, None),
    ]  # fmt: skip
    assert rows(made, "publications", "citation", "specimens") == [("Ek (2026), Rivers 3: 1-9", 1)]
    assert "CANARY" not in everything(made)


def test_the_map_has_their_boundaries_alone(meadow, owner):
    """The boundary until 2018 and that from July 2022 are not of their days; another site is not theirs at all."""
    register.boundary(meadow, polygon=SQUARE, held_from=date(2019, 3, 1), held_to=date(2022, 6, 30))
    register.boundary(meadow, held_to=date(2019, 2, 28), radius_m=111.0)
    register.boundary(meadow, held_from=date(2022, 7, 1), radius_m=222.0)
    register.boundary(register.site("GE-OTH-1", name="Other bank"), radius_m=333.0)
    made = composed("landowner", agent=owner)
    assert made.contents.map.areas == (("GE-MEA-1", SQUARE),)
    assert made.contents.map.points == (), "neither other boundaries nor where specimens were taken"


def test_boundaries_of_days_of_tenure_and_period_are_drawn(meadow, owner):
    """Until 31 May 2020 a disc, from 1 June on a square: a report on June shows the square."""
    register.boundary(meadow, held_to=date(2020, 5, 31), radius_m=111.0)
    register.boundary(meadow, polygon=SQUARE, held_from=date(2020, 6, 1))
    june = composed("landowner", agent=owner, period_from=date(2020, 6, 1), period_to=date(2020, 6, 30))
    may = composed("landowner", agent=owner, period_from=date(2020, 5, 1), period_to=date(2020, 5, 31))
    assert (len(june.contents.map.areas), len(june.contents.map.points)) == (1, 0)
    assert (len(may.contents.map.areas), [point.radius_m for point in may.contents.map.points]) == (0, [111.0])


def test_sites_with_finds_are_drawn_and_those_that_cannot_be_are_named(meadow, owner):
    """Finds at the meadow, which has a boundary, and at a bank without one; the third site has a boundary, no finds."""
    bank, empty = register.site("GE-BAN-1", name="Bank"), register.site("GE-EMP-1", name="Empty bank")
    for site in (bank, empty):
        SiteTenure.objects.create(site=site, agent=owner, held_from=date(2019, 3, 1), held_to=date(2022, 6, 30))
    for site in (meadow, empty):
        register.boundary(site, polygon=SQUARE)
    take(meadow)
    made = composed("landowner", agent=owner)
    assert [name for name, _area in made.contents.map.areas] == ["GE-MEA-1"]
    assert "site_not_drawn" not in notes(made)
    take(bank)
    made = composed("landowner", agent=owner)
    told = [(note.part, note.values) for note in made.contents.notes if note.key == "site_not_drawn"]
    assert told == [(part, {"sites": "GE-BAN-1, Bank"}) for part in ("map", "unknown")]
    assert [name for name, _area in made.contents.map.areas] == ["GE-MEA-1"]


def test_a_loan_is_told_and_is_not_nothing(meadow, owner):
    lent = take(meadow)
    assert "nothing_done" in notes(composed("landowner", agent=owner))
    made_use(lent, recipient=recipient(name="Nordvik Museum"))
    said = notes(composed("landowner", agent=owner))
    assert said["passed_on"] == {"n": 1} and "nothing_done" not in said


def test_vague_days_stand_in_no_first_or_last_day(meadow, owner):
    """One of June 2020 without a day, one of 17 June 2020."""
    take(meadow, "2020-06-01", last="2020-06-30")
    take(meadow, "2020-06-17")
    made = composed("landowner", agent=owner)
    assert rows(made, "species", "specimens", "first_on", "last_on") == [(2, "2020-06-17", "2020-06-17")]
    assert notes(made)["days_not_exact"] == {"n": 1}


def test_no_boundary_no_map(meadow, owner):
    made = composed("landowner", agent=owner)
    assert made.contents.map is None
    assert "no_boundary" in notes(made)


def test_nothing_of_others_and_of_closed_papers_goes_in(meadow, owner):
    """Canaries in every place from which a name, a site, a paper or a verdict could come."""
    other = register.agent("CANARY Person")
    SiteTenure.objects.create(site=meadow, agent=other, held_from=date(2022, 7, 1))
    far = register.site("CANARY-SITE", name="CANARY bank")
    SiteTenure.objects.create(site=far, agent=other)
    take(far, "2020-06-17", catalog_number="CANARY-1")
    take(meadow, "2023-06-17", catalog_number="CANARY-2")
    mine = take(meadow, "2020-06-17")
    mine.event.locality = "below the house of CANARY Person"
    mine.event.save()
    made_use(mine, recipient=recipient(name="CANARY borrower", kind=3))
    made_use(mine, deed="publication", citation="CANARY Person (2024), Notes", on=date(2026, 2, 1))
    closed = register.paper("CANARY-7", issuer="CANARY issuer", restricted_to=role_bits(["compliance"]),
                            restricted_why="CANARY why")  # fmt: skip
    register.link(closed, specimen=mine)
    made = composed("landowner", reader=register.person("compliance"), agent=owner)
    assert "CANARY" not in everything(made)
    assert value(made, "owner") == "Tamar Lomidze" and made.contents.disclosure.names_owners
    said = notes(made)
    assert (said["kept_recipients"], said["kept_owners"]) == ({"n": 1}, {"n": 1})


def test_a_site_that_bears_the_name_of_another_owner_is_masked(meadow, owner):
    meadow.name = "Meadow of Ana Kiknadze"
    meadow.save()
    SiteTenure.objects.create(site=meadow, agent=register.agent("Ana Kiknadze"), held_from=date(2022, 7, 1))
    take(meadow)
    made = composed("landowner", agent=owner)
    assert "Kiknadze" not in everything(made)
    assert rows(made, "species", "site") == [("GE-MEA-1, Meadow of […]",)]
