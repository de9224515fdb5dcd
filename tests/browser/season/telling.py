"""How the story is told: chapters in order, each on its day, with people who sign in, and a picture of each.

The clock of the served register is moved from chapter to chapter (``tests/browser/forked.py``), so that a plan of
January, a trip of June and a report of December are what they are, and pictures show the same days whenever they are
made.
"""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Locator, Page, ViewportSize, expect

from tests.browser.conftest import PASSWORD, PATIENCE_MS, REGISTER, Server

PICTURES: Final = "FIELDWRIT_PICTURES"
"""Environment variable: the folder into which the pictures go; without it none is taken."""

WINDOW: Final[ViewportSize] = {"width": 1200, "height": 800}
COLOURS: Final = 96
HIGHEST: Final = 720
"""Pixels: what is longer is cut, since a chapter shows one thing."""
MARGIN: Final = 16

NAME_OF: Final[dict[str, str]] = {name.split(".")[0]: name for name in REGISTER["accounts"]}
"""How people sign in, by first name."""

Told = Callable[["Story"], None]


@dataclass(frozen=True)
class Chapter:
    """One step of the season: its key is the name of its picture, its title heads its section in the documentation."""

    key: str
    on: str
    title: str
    tell: Told


CHAPTERS: Final[list[Chapter]] = []


def chapter(key: str, *, on: str, title: str) -> Callable[[Told], Told]:
    """The chapters, in the order in which they are written."""

    def keep(tell: Told) -> Told:
        CHAPTERS.append(Chapter(key, on, title, tell))
        return tell

    return keep


def turn_clock(database: Path, day: str) -> None:
    """From now on it is nine o'clock of that day; in one step, since the server reads the file whenever it likes."""
    written = database.parent / "clock.new"
    written.write_text(day, "utf-8")
    written.replace(database.parent / "clock")


@dataclass
class Story:
    """The register that is served, whoever is signed in, and what later chapters must know (addresses, numbers)."""

    server: Server
    browser: Browser
    known: dict[str, str] = field(default_factory=dict)
    _contexts: list[BrowserContext] = field(default_factory=list)
    _chapter: str = ""

    def tell(self, told: Chapter) -> None:
        """A chapter, on its day; whoever signed in for it leaves at its end."""
        self._chapter = told.key
        turn_clock(self.server.database, told.on)
        try:
            told.tell(self)
        finally:
            for context in self._contexts:
                context.close()
            self._contexts.clear()

    def visitor(self) -> Page:
        """Somebody without an account."""
        context = self.browser.new_context(viewport=WINDOW, accept_downloads=True)
        self._contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        return page

    def sign_in(self, first_name: str) -> Page:
        """Somebody of the museum, by first name."""
        page = self.visitor()
        page.goto(f"{self.server.address}/sign-in/")
        page.get_by_label("Name", exact=False).first.fill(NAME_OF[first_name])
        page.get_by_label("Password", exact=False).first.fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(lambda url: "/sign-in/" not in url)
        return page

    def go(self, page: Page, path: str) -> None:
        """To an address, or to the page that an earlier chapter kept under this name."""
        page.goto(self.server.address + self.known.get(path, path))

    def keep(self, name: str, page: Page) -> None:
        """For later chapters: where the page is."""
        self.known[name] = page.url.removeprefix(self.server.address)

    def picture(self, page: Page, *, upto: Locator | None = None, highest: int = HIGHEST) -> None:
        """The page below its head, down to the end of something, if pictures are wanted; one a chapter."""
        folder = os.environ.get(PICTURES)
        if not folder:
            return
        page.mouse.move(0, 0)
        page.evaluate("document.activeElement && document.activeElement.blur(); window.scrollTo(0, 0)")
        top = (main_of(page).bounding_box() or {"y": 0})["y"]
        end = upto.first.bounding_box() if upto else None
        height = min(end["y"] + end["height"] + MARGIN - top if end else highest, highest)
        taken = page.screenshot(full_page=True, clip={"x": 0, "y": top, "width": WINDOW["width"], "height": height})
        shown = Image.open(io.BytesIO(taken)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
        shown.save(Path(folder) / f"{self._chapter}.png", optimize=True)


def main_of(page: Page) -> Locator:
    return page.get_by_role("main")


def says(page: Page, words: str) -> None:
    """The page says it, as soon as it is there."""
    expect(main_of(page)).to_contain_text(words)


def link(page: Page, name: str) -> None:
    """Follow a link of the page, by all its words."""
    main_of(page).get_by_role("link", name=name, exact=True).first.click()


def press(page: Page, name: str) -> None:
    main_of(page).get_by_role("button", name=name, exact=True).first.click()
