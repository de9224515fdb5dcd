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
from playwright.sync_api import Browser, ConsoleMessage, Error, Page, Response

from tests.browser.conftest import DESK, TABLET, Server, sign_in
from tests.browser.site_map import Address, addresses

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
CAUTION = "no legal advice and no finding of an offence"
SERIOUS = {"serious", "critical"}
AXE: str = Axe().axe_script
RUN_AXE = """of => {
    const left = axe._audit.rules.filter(
        rule => ["minor", "moderate"].includes(rule.impact) || (of.length && !of.includes(rule.id))
    );
    const rules = Object.fromEntries(left.map(rule => [rule.id, {enabled: false}]));
    return axe.run({resultTypes: ["violations"], selectors: false, rules}).then(found => found.violations);
}"""
"""Without the rules that axe itself never calls serious or critical: what they find would be left out below."""
ALL: list[str] = []
OF_SIZE_AND_THEME = [
    "color-contrast", "link-in-text-block", "target-size", "scrollable-region-focusable", "css-orientation-lock",
    "meta-viewport",
]  # fmt: skip
"""Rules that look at more than the elements of a page: these may find something else in another window. What only a
narrow window shows is looked at by these alone."""


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


@pytest.fixture(scope="session")
def pages(browser: Browser, signed_in: dict[str, Path]) -> Iterator[dict[str, Page]]:
    """One page for each role, kept for all addresses: a new window costs more than most of them."""
    contexts = {
        role: browser.new_context(storage_state=cookies, viewport=DESK, reduced_motion="reduce")
        for role, cookies in signed_in.items()
    }
    yield {role: context.new_page() for role, context in contexts.items()}
    for context in contexts.values():
        context.close()


@dataclass
class Visit:
    """What one address made of the page: what it answered itself, before it sent on, and what went wrong."""

    page: Page
    answers: list[Response] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def answered(self, response: Response) -> None:
        if response.request.is_navigation_request():
            self.answers.append(response)

    def said(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.faults.append(f"console: {message.text}")

    def broke(self, error: Error) -> None:
        self.faults.append(f"script: {error}")

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
def visit(pages: dict[str, Page], address: Address, reading_server: Server) -> Iterator[Visit]:
    page = pages[address.role]
    page.set_default_timeout(15_000)
    page.context.add_cookies([{"name": "theme", "value": "light", "url": reading_server.address}])
    page.set_viewport_size(DESK)
    visit = Visit(page)
    heard = {"response": visit.answered, "console": visit.said, "pageerror": visit.broke}
    for event, listener in heard.items():
        page.on(event, listener)  # type: ignore[call-overload]
    yield visit
    for event, listener in heard.items():
        page.remove_listener(event, listener)
    page.emulate_media(media="screen")
    page.goto("about:blank")  # nothing of this address may speak up in the next


@pytest.mark.parametrize("address", addresses(), ids=lambda address: address.name)
def test_page(visit: Visit, address: Address, reading_server: Server) -> None:
    answer = visit.open(reading_server.address + address.path(reading_server))
    if not is_page(answer):
        assert answer.status in (200, 302, 405), f"{address.name}: {answer.status}"
        return
    assert answer.status == 200, f"{address.name}: {answer.status}"
    page, faults = visit.page, visit.faults
    page.evaluate(AXE)
    for size, theme, rules in ((DESK, "light", ALL), (TABLET, "dark", OF_SIZE_AND_THEME)):
        page.set_viewport_size(size)
        page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
        faults += [f"at {size['width']}, {theme}: {fault}" for fault in (*_axe(page, rules), *_edges(page))]
    faults += _head(page)
    assert faults == []
    assert page.pdf(format="A4")[:5] == b"%PDF-", "it prints"
    page.emulate_media(media="print")
    if page.locator("main [data-v]").count():
        assert page.get_by_text(CAUTION).count() >= 1, "a verdict without the caution"


def _axe(page: Page, rules: list[str]) -> list[str]:
    violations = page.evaluate(RUN_AXE, rules)
    return [
        f"{found['id']}: {found['help']}: {json.dumps([node['html'][:160] for node in found['nodes'][:3]])}"
        for found in violations
        if found["impact"] in SERIOUS
    ]


def _edges(page: Page) -> list[str]:
    """A page is as wide as its window; wide tables scroll inside their panel."""
    wide, window = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    return [f"{wide} px wide in a window of {window}"] if wide > window else []


def _head(page: Page) -> list[str]:
    faults = []
    if page.get_by_role("heading", level=1).count() != 1:
        faults.append("not exactly one heading of level 1")
    if page.title().startswith(" ·"):
        faults.append("no title")
    return faults
