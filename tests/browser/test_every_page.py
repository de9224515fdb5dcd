"""Every page, at a desk in daylight and on a tablet in the dark: nothing that keeps people out or runs off the edge.

axe-core finds what a machine can find of WCAG; whether the words help, only a person can say.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, CDPSession, ConsoleMessage, Error, Frame, Page, Response

from tests.browser.conftest import DESK, PATIENCE_MS, TABLET, Server, sign_in
from tests.browser.site_map import Address, addresses

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
CAUTION = "no legal advice and no finding of an offence"
IS_WITHOUT_CAUTION = """caution => {
    const of = document.querySelector("article.pack") ? "textContent" : "innerText";
    const says = document.body[of].replace(/\\s+/g, " ").toLowerCase();
    return Boolean(document.querySelector("main [data-v]")) && !says.includes(caution);
}"""
"""Words that the style sheet of print hides are not counted; but a field pack says it in the language of the trip."""
SERIOUS = {"serious", "critical"}
AXE: str = Axe().axe_script
LOOK: str = (Path(__file__).parent / "look.js").read_text("utf-8")
ALL: list[str] = []
OF_SIZE_AND_THEME = [
    "color-contrast", "link-in-text-block", "target-size", "scrollable-region-focusable", "css-orientation-lock",
    "meta-viewport",
]  # fmt: skip
"""Rules that look at more than the elements of a page: these may find something else in another window. What only a
narrow window shows is looked at by these alone."""
OF_SIZE = ["scrollable-region-focusable"]
"""Of these the one whose outcome is a page's own: colours, links in text and targets come from the style sheet that all
pages share, and are looked at in the dark on every third page."""


@pytest.fixture(scope="session")
def signed_in(browser: Browser, reading_server: Server, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The cookies of each role."""
    kept: dict[str, Path] = {}
    for role in ("registrar", "compliance", "administrator"):
        context = browser.new_context()
        page = context.new_page()
        sign_in(page, reading_server.address, role)
        if role == "registrar":
            _bring_in(page, reading_server.address)
        kept[role] = tmp_path_factory.mktemp("cookies") / f"{role}.json"
        context.storage_state(path=kept[role])
        context.close()
    return kept


def _bring_in(page: Page, address: str) -> None:
    """Files in hand, so that the pages about them have something to show: full of mistakes, and unlike the register."""
    page.goto(f"{address}/intake/new/")
    page.get_by_label("File", exact=True).set_input_files(FIXTURES / "lindmark_with_mistakes.csv")
    page.get_by_role("button", name="Read the file").click()
    page.wait_for_url("**/intake/*/")
    papers = json.loads((FIXTURES / "lindmark_papers.json").read_text("utf-8"))
    papers["papers"][0]["issuer"] = "Norrstrand estate and heirs (invented)"
    papers["papers"][1]["covers"]["accessions"].append("LMN-2031-001")
    changed = {"name": "changed.json", "mimeType": "application/json", "buffer": json.dumps(papers).encode()}
    page.goto(f"{address}/papers/import/")
    page.get_by_label("File").set_input_files(changed)  # type: ignore[arg-type]
    page.get_by_role("button", name="Look at the file").click()
    page.wait_for_url("**/papers/import/*/")


@dataclass(frozen=True)
class Window:
    """A page, and the line to the debugger of its browser."""

    page: Page
    line: CDPSession

    def bring_axe(self) -> None:
        """The debugger keeps what it has compiled: a script given to the page would be read anew in each."""
        told = self.line.send("Runtime.evaluate", {"expression": f"{AXE}; typeof axe.run"})
        assert told["result"].get("value") == "function", told


@pytest.fixture(scope="session")
def windows(browser: Browser, signed_in: dict[str, Path]) -> Iterator[dict[str, Window]]:
    """One page for each role, kept for all addresses: a new one costs more than most of them."""
    contexts = {
        role: browser.new_context(storage_state=cookies, viewport=DESK, reduced_motion="reduce")
        for role, cookies in signed_in.items()
    }
    pages = {role: context.new_page() for role, context in contexts.items()}
    yield {role: Window(page, page.context.new_cdp_session(page)) for role, page in pages.items()}
    for context in contexts.values():
        context.close()


@dataclass
class Visit:
    """What one address made of the page: what it answered itself, before it sent on, and what went wrong."""

    window: Window
    answers: list[Response] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    is_there: bool = False

    @property
    def page(self) -> Page:
        return self.window.page

    def answered(self, response: Response) -> None:
        if response.request.is_navigation_request():
            self.answers.append(response)

    def said(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.faults.append(f"console: {message.text}")

    def broke(self, error: Error) -> None:
        self.faults.append(f"script: {error}")

    def arrived(self, frame: Frame) -> None:
        """What spoke up until now was the page before."""
        if frame == self.page.main_frame and not self.is_there:
            self.is_there = True
            self.faults.clear()

    def open(self, url: str) -> Response:
        """Go there; on a file, or on a refusal without words, the browser does not stay, and says so."""
        try:
            self.page.goto(url)
        except Error:
            if not self.answers or is_page(self.answers[0]):
                raise
        return self.answers[0]


def is_page(answer: Response) -> bool:
    return answer.status not in (302, 405) and "text/html" in answer.headers.get("content-type", "")


@pytest.fixture
def visit(windows: dict[str, Window], address: Address, reading_server: Server) -> Iterator[Visit]:
    visit = Visit(windows[address.role])
    page = visit.page
    page.set_default_timeout(PATIENCE_MS)
    page.context.add_cookies([{"name": "theme", "value": "light", "url": reading_server.address}])
    page.set_viewport_size(DESK)
    heard = {
        "response": visit.answered, "console": visit.said, "pageerror": visit.broke, "framenavigated": visit.arrived,
    }  # fmt: skip
    for event, listener in heard.items():
        page.on(event, listener)  # type: ignore[call-overload]
    yield visit
    for event, listener in heard.items():
        page.remove_listener(event, listener)
    page.emulate_media(media="screen")


IN_THE_DARK = {address.name for address in addresses()[::3]}


@pytest.mark.parametrize("address", addresses(), ids=lambda address: address.name)
def test_page(visit: Visit, address: Address, reading_server: Server) -> None:
    answer = visit.open(reading_server.address + address.path(reading_server))
    if not is_page(answer):
        assert answer.status in (200, 302, 405), f"{address.name}: {answer.status}"
        return
    assert answer.status == 200, f"{address.name}: {answer.status}"
    page, faults = visit.page, visit.faults
    visit.window.bring_axe()
    faults += [f"at a desk, light: {fault}" for fault in _faults(page, "light", ALL)]
    page.set_viewport_size(TABLET)
    again = OF_SIZE_AND_THEME if address.name in IN_THE_DARK else OF_SIZE
    faults += [f"on a tablet, dark: {fault}" for fault in _faults(page, "dark", again)]
    assert faults == []
    page.emulate_media(media="print")
    assert not page.evaluate(IS_WITHOUT_CAUTION, CAUTION), "a verdict without the caution"


def _faults(page: Page, theme: str, rules: list[str]) -> Iterator[str]:
    """What axe calls serious or critical; what runs off the edge, since wide tables scroll inside their panel."""
    found = page.evaluate(LOOK, {"theme": theme, "of": rules})
    for violation in found["violations"]:
        if violation["impact"] in SERIOUS:
            nodes = json.dumps([node["html"][:160] for node in violation["nodes"][:3]])
            yield f"{violation['id']}: {violation['help']}: {nodes}"
    if found["wide"] > found["room"]:
        yield f"{found['wide']} px wide in a window of {found['room']}"
    if found["headings"] != 1:
        yield "not exactly one heading of level 1"
    if found["title"].startswith(" ·"):
        yield "no title"


def test_what_is_wrong_is_seen(browser: Browser) -> None:
    """Else the sweep could not fail: of twenty rows the seventeenth has a button without a name; no heading; too wide.

    Source of the rule: WCAG 2.2, 4.1.2. Fifteen rows that are built alike are left out, and are there again afterwards.
    """
    rows = "".join(f"<tr><td>{number}</td><td><button>{'' if number == 17 else 'Do'}</button></td></tr>"
                   for number in range(1, 21))  # fmt: skip
    table = f"<table><tbody>{rows}</tbody></table>"
    page = browser.new_page(viewport=TABLET)
    page.set_content(f"<html lang=en><title>x</title><main>{table}<p style='width: 900px'>wide</p></main></html>")
    page.evaluate(AXE)
    faults = [fault.partition(":")[0] for fault in _faults(page, "light", ALL)]
    assert faults == ["button-name", "908 px wide in a window of 820", "not exactly one heading of level 1"]
    assert page.locator("td:first-child").all_inner_texts() == [str(number) for number in range(1, 21)]
    page.close()
