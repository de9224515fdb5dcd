"""The reading pane as a person uses it: with the pointer, by the keyboard alone, and without script."""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import TABLET, Opened, Server, opening, serving
from tests.factories import scans

PAGES = 4
NAME = "nazvri consent.pdf"


def file_scan(page: Page, server: Server) -> str:
    """A PDF of four pages, dropped on an accession; the address of its page."""
    accession = server.key("material_accession", "number = 'LMN-2024-038'")
    page.goto(f"{server.address}/scans/filing/accession/{accession}/")
    content = {"name": NAME, "mimeType": "application/pdf", "buffer": scans.pdf(PAGES)}
    page.get_by_label("Choose files").set_input_files(content)  # type: ignore[arg-type]
    page.get_by_role("button", name="File them").click()
    expect(page.get_by_role("status").filter(has_text=f"{NAME}: Filed.")).to_be_visible()
    page.goto(f"{server.address}/scans/")
    page.get_by_role("link", name=NAME).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(NAME)
    return page.url


def stage(page: Page) -> Any:
    return page.get_by_role("group", name="The page")


def expect_shown(page: Page, number: int) -> None:
    """The page is the one that is told, and its picture is really there."""
    picture = page.get_by_role("img", name=f"Page {number} of {PAGES}")
    expect(picture).to_have_attribute("src", re.compile(rf"/pages/{number}\.png\?"))
    there = "image => image.complete && image.naturalWidth > 100"
    wait_until(page, lambda: bool(picture.evaluate(there)), f"the picture of page {number} did not come")


def wait_until(page: Page, holds: Callable[[], bool], otherwise: str) -> None:
    """Asked from here: without script a page runs no timers."""
    until = time.monotonic() + 15
    while not holds():
        assert time.monotonic() < until, otherwise
        page.wait_for_timeout(50)


@pytest.fixture(scope="module")
def served(demo_file: Path, tmp_path_factory: pytest.TempPathFactory, ready: subprocess.Popen[str]) -> Iterator[Server]:
    """One server for all tests here: they look, and change nothing."""
    with serving(demo_file, tmp_path_factory.mktemp("pane"), ready) as server:
        yield server


@pytest.fixture(scope="module")
def address(browser: Browser, served: Server) -> Iterator[str]:
    """Of the page of the scan, which is filed once."""
    with opening(browser, served) as open_as:
        yield file_scan(open_as("registrar", script=False), served)


@pytest.fixture
def opened(browser: Browser, served: Server) -> Iterator[Opened]:
    with opening(browser, served) as open_as:
        yield open_as


@pytest.fixture
def desk(address: str, opened: Opened) -> Page:
    page = opened("registrar", script=False)
    page.goto(address)
    return page


@pytest.fixture
def live(address: str, opened: Opened) -> Page:
    """The same scan with script."""
    page = opened("registrar")
    page.goto(address)
    return page


def test_without_script(desk: Page) -> None:
    expect_shown(desk, 1)
    desk.get_by_role("link", name="Next").click()
    expect_shown(desk, 2)
    desk.get_by_role("link", name="Page 4").click()
    expect_shown(desk, 4)
    desk.get_by_label("Page", exact=True).fill("3")
    desk.get_by_role("button", name="Go").click()
    expect_shown(desk, 3)
    desk.get_by_role("link", name="Previous").click()
    expect_shown(desk, 2)
    desk.get_by_role("link", name="Larger").click()
    expect(desk).to_have_url(re.compile(r"page=2&.*size=150"))
    desk.get_by_role("link", name="Turn").click()
    expect(desk.locator("[data-image]")).to_have_attribute("src", re.compile(r"/pages/2\.png\?width=1600&turn=90"))
    desk.get_by_role("link", name="Whole page").click()
    expect(desk).to_have_url(re.compile(r"size=fit"))
    desk.goto(desk.url.split("?")[0] + "?page=2&mark=0.1,0.05,0.5,0.1")
    expect_mark(desk, 0.1, 0.05, 0.5, 0.1)


PLACE_OF_MARK = """mark => {
    const m = mark.getBoundingClientRect(), p = document.querySelector("[data-image]").getBoundingClientRect();
    return [(m.left - p.left) / p.width, (m.top - p.top) / p.height,
            (m.right - p.left) / p.width, (m.bottom - p.top) / p.height];
}"""


def expect_mark(page: Page, *place: float) -> None:
    """Where the mark is drawn, from 0 to 1 of the picture as it stands on the screen: both in one moment, since the
    pane may be moving."""
    mark, wanted = page.locator("[data-marks] rect"), pytest.approx(list(place), abs=0.01)
    wait_until(page, lambda: bool(mark.evaluate(PLACE_OF_MARK) == wanted), f"the mark does not come to {place}")


def test_keys(live: Page) -> None:
    for _ in range(60):  # reached with Tab alone
        live.keyboard.press("Tab")
        if live.evaluate("document.activeElement.classList.contains('pane-stage')"):
            break
    expect(stage(live)).to_be_focused()
    for key, number in [("PageDown", 2), ("ArrowRight", 3), ("End", 4), ("PageDown", 4), ("ArrowLeft", 3),
                        ("PageUp", 2), ("Home", 1), ("PageUp", 1), ("PageDown", 2)]:  # fmt: skip
        live.keyboard.press(key)
        expect_shown(live, number)
    expect(live.get_by_role("status").filter(has_text="Page 2 of 4")).to_be_attached()
    sheet = live.locator(".pane-sheet")
    for key, size in [("+", "150"), ("+", "200"), ("-", "150"), ("0", "fit"), ("-", "fit"), ("+", "width")]:
        live.keyboard.press(key)
        expect(sheet).to_have_attribute("data-size", size)
    live.keyboard.press("r")
    expect(live.locator("[data-image]")).to_have_attribute("src", re.compile("turn=90"))
    expect(stage(live)).to_be_focused()
    live.reload()  # the address kept up
    expect_shown(live, 2)
    expect(live.locator("[data-image]")).to_have_attribute("src", re.compile("turn=90"))


def test_keys_are_left_alone_where_something_is_typed(live: Page) -> None:
    field = live.get_by_label("Page", exact=True)
    field.focus()
    live.keyboard.press("+")
    live.keyboard.press("r")
    expect(live.locator(".pane-sheet")).to_have_attribute("data-size", "width")
    expect(live.locator("[data-image]")).not_to_have_attribute("src", re.compile("turn"))


def test_pointer_changes_the_page_and_keeps_what_is_typed_beside(live: Page) -> None:
    live.evaluate("document.body.insertAdjacentHTML('beforeend', '<label>Beside <input id=beside></label>')")
    live.get_by_label("Beside").fill("12 ha")
    live.get_by_role("link", name="Next").click()
    expect_shown(live, 2)
    live.get_by_role("link", name="Page 4").click()
    expect_shown(live, 4)
    expect(live.get_by_role("link", name="Page 4")).to_have_attribute("aria-current", "page")
    expect(live.locator("[data-do=next]")).to_have_attribute("aria-disabled", "true")
    live.get_by_label("Page", exact=True).fill("99")
    live.keyboard.press("Enter")
    expect_shown(live, 4)
    expect(live.get_by_label("Page", exact=True)).to_have_value("4")
    expect(live.get_by_label("Beside")).to_have_value("12 ha")


def test_passage_is_shown_from_anywhere_on_the_page(live: Page) -> None:
    """What an offer or a hit of the search does: a button with the page and the boxes."""
    button = '<button type="button" data-pane-page="3" data-pane-mark="0.1,0.8,0.5,0.85">§ 4</button>'
    live.evaluate("button => document.querySelector('main').insertAdjacentHTML('afterbegin', button)", button)
    live.get_by_role("button", name="§ 4").click()
    expect_shown(live, 3)
    expect_mark(live, 0.1, 0.8, 0.5, 0.85)
    expect(live.locator("[data-marks] rect")).to_be_in_viewport()  # far down: brought into view
    live.get_by_role("link", name="Turn").click()
    expect(live.locator("[data-image]")).to_have_attribute("src", re.compile("turn=90"))
    expect_shown(live, 3)
    # a quarter clockwise: x from 1 - 0.85 to 1 - 0.8, y from 0.1 to 0.5
    expect_mark(live, 0.15, 0.1, 0.2, 0.5)
    live.get_by_role("link", name="Next").click()
    expect(live.locator("[data-marks] rect")).to_have_count(0)


def test_whole_page_fits_and_nothing_hangs_over_the_edge(address: str, opened: Opened) -> None:
    for page in (opened("registrar"), opened("registrar", size=TABLET)):
        page.goto(address)
        stage(page).click()
        page.keyboard.press("0")
        expect_shown(page, 1)
        picture, frame = page.locator("[data-image]").bounding_box(), stage(page).bounding_box()
        assert picture and frame
        assert picture["y"] >= frame["y"] - 1
        assert picture["y"] + picture["height"] <= frame["y"] + frame["height"] + 1
        assert picture["width"] / picture["height"] == pytest.approx(595.28 / 841.89, abs=0.01)  # A4 stays A4
        page.keyboard.press("+")
        page.keyboard.press("+")
        page.keyboard.press("+")
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
