"""Maps and timelines in templates: what they say in words, and nothing inline that a browser would refuse."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
import shapely
from django.template import Context, Template

from governance.papers.drawing import Area, AreaKind, Band, BandKind, CountryCount, Happening, MapPoint, TimeRow
from governance.papers.drawing.axis import Tick
from governance.papers.templatetags.timeline import days_words, row_words, tick_words


def rendered(source: str, **context: Any) -> str:
    return Template("{% load maps timeline %}" + source).render(Context(context))


def label_of(svg: str) -> str:
    found = re.search(r'role="(?:img|group)" aria-label="([^"]*)"', svg)
    assert found is not None
    return found[1]


AREA = Area(AreaKind.PERMITTED, shapely.box(43.88, 42.04, 43.96, 42.095), "COL-2024-052 v2")
POINT = MapPoint(43.9127, 42.071, 120, "outside", "Outside terms", "LMN-FW-0241858")


def test_map_says_its_numbers() -> None:
    label = label_of(rendered('{% area_map areas=areas points=points title="Place" %}', areas=[AREA], points=[POINT]))
    assert label.startswith("Place; 1 of kind “Permitted area”; 1 specimen; Outside terms: 1; ")
    assert "LMN-FW-0241858 42.0710, 43.9127 ±120 m" in label


def test_map_has_a_key_of_what_is_on_it_only() -> None:
    text = rendered("{% area_map areas=areas points=points %}", areas=[AREA], points=[POINT])
    assert "Permitted area" in text and "Outside terms" in text and "How well the position is known" in text
    assert "Excluded area" not in text.split("map-key")[1]
    assert "the coastline is 1:10 million" in text


def test_map_escapes_what_people_wrote() -> None:
    hostile = "<script>alert(1)</script>"
    area = Area(AreaKind.EXCLUDED, shapely.box(10, 10, 30, 30), hostile)
    text = rendered("{% area_map areas=areas points=points %}", areas=[area], points=[MapPoint(20, 20, label=hostile)])
    assert "<script" not in text
    assert "&lt;script&gt;" in text


@pytest.mark.parametrize("source", ["{% area_map areas=areas points=points %}", "{% world_map counts %}"])
def test_drawings_need_neither_style_nor_script(source: str) -> None:
    """The content security policy refuses both."""
    text = rendered(source, areas=[AREA], points=[POINT], counts=[CountryCount("GE", "Georgia", 12)])
    assert "style=" not in text and "<script" not in text and "onclick" not in text


def test_empty_map_says_so() -> None:
    assert "Nothing here has a place that can be drawn." in rendered("{% area_map %}")


def test_point_leads_where_it_is_told() -> None:
    text = rendered(
        "{% area_map points=points %}",
        points=[MapPoint(20, 20, None, "covered", "Covered", "LMN-7", href="/specimens/7/")],
    )
    assert '<a href="/specimens/7/" aria-label="LMN-7 Covered"><circle' in text
    assert 'role="group"' in text, "links inside a picture would be hidden from those who do not see it"


def test_world_says_the_countries_with_the_most() -> None:
    counts = [CountryCount("CR", "Costa Rica", 300), CountryCount("GE", "Georgia", 1420, href="/specimens/?country=GE")]
    text = rendered("{% world_map counts %}", counts=counts)
    assert label_of(text) == "World map of specimens by country: Georgia 1,420, Costa Rica 300."
    assert '<a href="/specimens/?country=GE"><circle' in text


ROW = TimeRow(
    "Land",
    "LND-2024-117",
    bands=[
        Band(BandKind.IN_FORCE, date(2024, 5, 1), date(2024, 6, 14), "v1"),
        Band(BandKind.PAUSE, date(2024, 6, 1), date(2024, 6, 1)),
    ],
    happenings=[Happening(date(2024, 6, 17), label="collected")],
)


def test_row_in_words() -> None:
    assert row_words(ROW) == (
        "Land LND-2024-117: in force v1 1 May 2024 to 14 June 2024; not in force 1 June 2024; collected 17 June 2024."
    )
    assert row_words(TimeRow("Land")) == "Land: no days."


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2024, 6, 3), date(2024, 6, 18), "3 June 2024 to 18 June 2024"),
        (date(2024, 6, 3), None, "from 3 June 2024 on"),
        (None, date(2024, 6, 3), "until 3 June 2024"),
        (None, None, "without limit"),
    ],
)
def test_stretch_of_days_in_words(first: date | None, last: date | None, words: str) -> None:
    assert days_words(first, last) == words


@pytest.mark.parametrize(
    ("unit", "with_year", "words"),
    [("day", False, "1 May"), ("day", True, "1 May 2024"), ("month", False, "May"), ("month", True, "May 2024"),
     ("year", True, "2024")],
)  # fmt: skip
def test_tick_in_words(unit: str, with_year: bool, words: str) -> None:
    assert tick_words(Tick(0.0, date(2024, 5, 1), unit, with_year)) == words


def test_timeline_is_drawn_with_its_words_and_today() -> None:
    text = rendered("{% timeline rows today=today %}", rows=[ROW], today=date(2024, 6, 20))
    assert label_of(text) == row_words(ROW)
    assert 'class="barr"' in text and 'class="hatch"' in text and 'class="now"' in text
    assert "style=" not in text


def test_timeline_of_nothing_says_so() -> None:
    assert "No day is recorded that could be drawn." in rendered("{% timeline rows %}", rows=[TimeRow("Land")])
