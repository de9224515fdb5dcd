"""The state of the reading pane, from the address."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest
from django.http import QueryDict

from governance.scans.models import Scan
from governance.scans.pane import Pane, boxes_of, boxes_text, pane_of, turned

SIXTY = cast(Scan, SimpleNamespace(page_count=60))


def pane(asked: str = "", **more: Any) -> Pane:
    return pane_of(SIXTY, QueryDict(asked), **more)


@pytest.mark.parametrize(
    ("turn", "expected"),
    [
        # A box in the upper left corner of the upright page: x from 0.1 to 0.3, y from 0.2 to 0.25. Turn a sheet of
        # paper clockwise: what was its left side is the upper one, so y is the old x, and x is 1 - the old y.
        (0, (0.1, 0.2, 0.3, 0.25)),
        (90, (0.75, 0.1, 0.8, 0.3)),
        (180, (0.7, 0.75, 0.9, 0.8)),
        (270, (0.2, 0.7, 0.25, 0.9)),
    ],
)
def test_box_on_a_turned_page(turn: int, expected: tuple[float, ...]) -> None:
    assert turned((0.1, 0.2, 0.3, 0.25), turn) == pytest.approx(expected)


def test_marks_are_drawn_in_percent() -> None:
    drawn = pane("page=3&mark=0.1,0.2,0.3,0.25").drawn_boxes
    assert drawn == [{"x": "10.00%", "y": "20.00%", "width": "20.00%", "height": "5.00%"}]


@pytest.mark.parametrize(
    "text",
    ["", "x", "0.1,0.2,0.3", "0.1,0.2,0.3,0.4,0.5", "0.3,0.2,0.1,0.25", "0.1,0.2,0.1,0.25", "0.1,0.2,1.1,0.3",
     "-0.1,0.2,0.3,0.4", "nan,0.2,0.3,0.4", "inf,0.2,0.3,0.4"],
)  # fmt: skip
def test_what_is_no_box_is_left_out(text: str) -> None:
    assert boxes_of(f"{text};0,0,1,1") == ((0.0, 0.0, 1.0, 1.0),)


def test_boxes_go_through_the_address_and_back() -> None:
    boxes = ((0.1, 0.25, 0.5, 0.3), (0.0, 0.0, 1.0, 1.0))
    assert boxes_text(boxes) == "0.1,0.25,0.5,0.3;0,0,1,1"
    assert boxes_of(boxes_text(boxes)) == boxes


@pytest.mark.parametrize(
    ("asked", "expected"),
    [("", 13), ("page=14", 14), ("page=12", 13), ("page=17", 16), ("page=0", 13), ("page=x", 13), ("page=-1", 13),
     ("page=99999999999999999999", 13), ("page=²", 13)],
)  # fmt: skip
def test_page_stays_within_the_range(asked: str, expected: int) -> None:
    assert pane(asked, first=13, last=16).page == expected


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [(None, None, (1, 60)), (13, 16, (13, 16)), (61, 70, (60, 60)), (59, 99, (59, 60)), (20, 10, (20, 20))],
)
def test_range_stays_within_the_scan(first: int | None, last: int | None, expected: tuple[int, int]) -> None:
    shown = pane(first=first, last=last)
    assert (shown.first, shown.last) == expected


def test_page_of_the_paper_counts_from_its_first() -> None:
    shown = pane("page=14", first=13, last=16)
    assert (shown.page_in_range, shown.pages_in_range, shown.is_range) == (2, 4, True)
    assert not pane("page=14").is_range


def test_marks_given_to_the_tag_show_on_their_page_alone() -> None:
    marks = [(0.1, 0.1, 0.2, 0.2)]
    assert pane("", page=5, marks=marks).boxes == ((0.1, 0.1, 0.2, 0.2),)
    assert pane("page=6", page=5, marks=marks).boxes == ()
    assert pane("page=5&mark=", page=5, marks=marks).boxes == ()


def test_links_keep_what_else_is_asked() -> None:
    shown = pane("q=net&page=2&turn=90&size=150&mark=0,0,1,1")
    assert shown.href_next == "?q=net&page=3&turn=90&size=150#pane"
    assert shown.href_turn == "?q=net&page=2&turn=180&size=150&mark=0,0,1,1#pane"
    assert shown.href_larger == "?q=net&page=2&turn=90&size=200&mark=0,0,1,1#pane"
    assert shown.kept == [("q", "net"), ("turn", "90"), ("size", "150")]


@pytest.mark.parametrize("asked", ["turn=45&size=huge", "turn=360&size=", "turn=-90&size=1e9"])
def test_what_makes_no_sense_is_left_out(asked: str) -> None:
    shown = pane(asked)
    assert (shown.turn, shown.size) == (0, "width")


def test_ends_stay_where_they_are() -> None:
    assert pane("page=1").href_previous.startswith("?page=1&")
    assert pane("page=60").href_next.startswith("?page=60&")
    assert pane("size=fit").is_smallest
    assert pane("size=300").is_largest


def test_a_very_long_scan_shows_the_pages_around() -> None:
    long = cast(Scan, SimpleNamespace(page_count=1000))
    assert pane_of(long, QueryDict("page=1")).thumbnails == range(1, 201)
    assert pane_of(long, QueryDict("page=500")).thumbnails == range(400, 600)
    assert pane_of(long, QueryDict("page=1000")).thumbnails == range(801, 1001)
    assert pane("").thumbnails == range(1, 61)
