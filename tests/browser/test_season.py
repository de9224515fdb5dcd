"""A season of the museum, from the plan to the seal, through all rooms: the chapters of tests/browser/season in order.

The demo's museum goes to Georgia in 2027. Its register moves through that year with the story. The same run makes the
pictures of governance/docs/season.md: ``uv run .ci/pictures.py --season``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from subprocess import Popen

import pytest
from PIL import Image
from playwright.sync_api import Browser

from tests.browser.conftest import PROJECT, Server, serving
from tests.browser.season import story as whole
from tests.browser.season.telling import CHAPTERS, WINDOW, Story, turn_clock

DOCS = PROJECT / "governance" / "docs"
PAGE = (DOCS / "season.md").read_text("utf-8")
HEAVIEST = 90_000
"""Bytes of a picture: the documentation is cloned with the code."""


@pytest.fixture
def season(demo_file: Path, tmp_path: Path, ready: Popen[str]) -> Iterator[Server]:
    """A server of the story's own, whose clock stands at its first day before it starts."""
    turn_clock(tmp_path / "served.sqlite3", CHAPTERS[0].on)
    with serving(demo_file, tmp_path, ready) as server:
        yield server


def test_a_season_from_the_plan_to_the_seal(season: Server, browser: Browser) -> None:
    story = Story(season, browser)
    for told in CHAPTERS:
        story.tell(told)


def test_the_story_goes_forward() -> None:
    days = [told.on for told in CHAPTERS]
    assert days == sorted(days)
    assert {told.tell.__module__ for told in CHAPTERS} == {f"{whole.__package__}.{name}" for name in whole.__all__}


def test_each_chapter_has_its_section_and_its_picture() -> None:
    """The documentation tells what the test does, in the same order and under the same titles."""
    sections = re.findall(r"^## \d+\. (.+)$", PAGE, re.MULTILINE)
    assert sections == [told.title for told in CHAPTERS]
    shown = re.findall(r"\]\(season/(\w+)\.png\)", PAGE)
    assert shown == [told.key for told in CHAPTERS]
    assert {path.stem for path in (DOCS / "season").glob("*.png")} == set(shown), "a picture that nobody shows"


@pytest.mark.parametrize("path", sorted((DOCS / "season").glob("*.png")), ids=lambda path: path.stem)
def test_pictures_are_light_and_as_wide_as_the_page(path: Path) -> None:
    assert path.stat().st_size < HEAVIEST
    with Image.open(path) as picture:
        assert picture.width == WINDOW["width"]
