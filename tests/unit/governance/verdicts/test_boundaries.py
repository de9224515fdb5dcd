"""Versions that name a registered site, cut at the days on which its boundary changes."""

from __future__ import annotations

from datetime import date

from governance.engine.tables import PlaceItem, Version
from governance.verdicts.feed.boundaries import Boundary, cut

SITE = PlaceItem(site="ge-naz-1", text="GE-NAZ-1")
EARLY, LATE = (43.9, 42.0, 100.0), (43.9, 42.0, 900.0)


def day(text: str | None) -> int | None:
    return None if text is None else date.fromisoformat(text).toordinal()


def version(first: str | None, last: str | None, *places: PlaceItem) -> Version:
    return Version(from_day=day(first), to_day=day(last), include_places=places or (SITE,))


def boundary(first: str | None, last: str | None, disc: tuple[float, float, float]) -> Boundary:
    return Boundary(day(first), day(last), None, disc, 5.0)


def pieces(of: Version, *boundaries: Boundary, superseded: str | None = None) -> list[tuple[object, ...]]:
    """First day, last day, disc and error of each piece."""
    return [
        (piece.from_day, piece.to_day, piece.include_places[0].disc, piece.include_places[0].boundary_error_m)
        for piece in cut(of, day(superseded), {"ge-naz-1": boundaries})
    ]


def test_a_change_within_the_version_cuts_it() -> None:
    """The day before the change still has the earlier boundary, the day of the change the later one."""
    found = pieces(
        version("2024-05-01", "2024-06-30"), boundary(None, "2024-06-09", EARLY), boundary("2024-06-10", None, LATE)
    )
    assert found == [
        (day("2024-05-01"), day("2024-06-09"), EARLY, 5.0),
        (day("2024-06-10"), day("2024-06-30"), LATE, 5.0),
    ]


def test_days_without_boundary_leave_the_site_unmapped() -> None:
    found = pieces(version("2024-05-01", None), boundary("2024-06-01", "2024-06-30", EARLY))
    assert found == [
        (day("2024-05-01"), day("2024-05-31"), None, None),
        (day("2024-06-01"), day("2024-06-30"), EARLY, 5.0),
        (day("2024-07-01"), None, None, None),
    ]


def test_changes_outside_its_days_do_not_cut_it() -> None:
    """Before its start, on its start, and after its last day; also where a later version takes over first."""
    held = (boundary(None, "2024-04-30", EARLY), boundary("2024-05-01", "2024-06-30", LATE))
    assert pieces(version("2024-05-01", "2024-06-30"), *held) == [(day("2024-05-01"), day("2024-06-30"), LATE, 5.0)]
    early = pieces(version("2024-05-01", "2024-12-31"), *held, superseded="2024-07-01")
    assert early == [(day("2024-05-01"), day("2024-12-31"), LATE, 5.0)]


def test_a_version_of_unknown_start_is_not_cut() -> None:
    """Its pieces would have a known start. It takes a boundary that holds on all its days, and no other."""
    assert pieces(version(None, "2024-06-30"), boundary("2024-01-01", None, EARLY)) == [
        (None, day("2024-06-30"), None, None)
    ]
    assert pieces(version(None, "2024-06-30"), boundary(None, None, EARLY)) == [(None, day("2024-06-30"), EARLY, 5.0)]


def test_two_boundaries_of_one_day_map_nothing() -> None:
    found = pieces(version("2024-05-01", None), boundary(None, None, EARLY), boundary("2024-06-01", None, LATE))
    assert found == [(day("2024-05-01"), day("2024-05-31"), EARLY, 5.0), (day("2024-06-01"), None, None, None)]


def test_an_area_on_the_paper_wins() -> None:
    own = PlaceItem(site="ge-naz-1", disc=(1.0, 2.0, 3.0), text="GE-NAZ-1")
    of = version("2024-05-01", None, own)
    assert cut(of, None, {"ge-naz-1": [boundary("2024-06-01", None, LATE)]}) == [of]


def test_an_error_on_the_paper_wins() -> None:
    own = PlaceItem(site="ge-naz-1", boundary_error_m=50.0, text="GE-NAZ-1")
    found = pieces(version("2024-05-01", None, own), boundary(None, None, LATE))
    assert found == [(day("2024-05-01"), None, LATE, 50.0)]
