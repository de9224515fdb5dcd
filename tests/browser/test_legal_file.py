"""The legal file in a real browser: cells open by keyboard and without script, at a desk and on a tablet; it prints."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, ViewportSize, expect

from tests.browser.conftest import DESK, TABLET, Opened, Server

ACCESSION = "number = 'LMN-2024-038'"


def file_address(server: Server) -> str:
    return f"{server.address}/accessions/{server.key('material_accession', ACCESSION)}/file/"


def land_of(page: Page, row: str) -> Locator:
    """The cell of the first layer of a row."""
    rows = page.locator("tbody").filter(has=page.get_by_role("rowheader", name=row))
    return rows.locator("details").first


@pytest.mark.parametrize("size", [DESK, TABLET], ids=["desk", "tablet"])
def test_a_cell_opens_by_keyboard_and_without_script(opened: Opened, server: Server, size: ViewportSize) -> None:
    page = opened("registrar", script=False, size=size)
    page.goto(file_address(server))
    chosen = page.locator("details.lf-cell").nth(9)
    inside = chosen.get_by_role("link", name="Link a paper")
    assert not inside.is_visible()
    chosen.locator("summary").focus()
    page.keyboard.press("Enter")
    expect(inside).to_be_visible()
    box = chosen.locator(".lf-open").bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= size["width"], "what opens stays inside the window"
    page.keyboard.press("Tab")
    expect(chosen.locator(":focus"), "the next stop is inside the cell").to_have_count(1)


def test_all_nine_layers_are_named_at_both_sizes(opened: Opened, server: Server) -> None:
    page = opened("auditor")
    for size in (DESK, TABLET):
        page.set_viewport_size(size)
        page.goto(file_address(server))
        names = page.locator(".lf thead th" if size == DESK else ".lf tbody >> nth=0 >> .lf-layer")
        shown = [text for text in names.all_inner_texts() if text != "Of the accession"]
        assert shown == ["Land", "Collecting", "Species", "Protected site", "Access (ABS)", "Export", "Import", "CITES",
                         "Transfer"]  # fmt: skip
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0


def test_a_paper_attached_from_a_cell_to_a_part_changes_the_verdicts(opened: Opened, server: Server) -> None:
    """Part C has no occupier's consent; the paper is linked to that part alone, after a look at what would change."""
    page = opened("curator")
    page.goto(file_address(server))
    chosen = land_of(page, "Part C")
    chosen.locator("summary").click()
    expect(chosen).not_to_contain_text("LND-2024-120")
    chosen.get_by_role("link", name="Link a paper").click()
    page.get_by_label("Reference of the paper").fill("LND-2024-120")
    page.get_by_role("button", name="See what would change").click()
    expect(page).to_have_title(re.compile("What would change"))
    page.get_by_role("button", name="Link the paper").click()
    page.wait_for_url("**/file/")
    expect(page.get_by_role("status")).to_contain_text("LND-2024-120 is linked (1 link).")
    expect(land_of(page, "Part C")).to_contain_text("LND-2024-120")
    expect(land_of(page, "Part A")).not_to_contain_text("LND-2024-120")


def test_the_file_prints(opened: Opened, server: Server) -> None:
    page = opened("registrar")
    for address in (file_address(server), file_address(server) + "print/"):
        page.goto(address)
        assert page.pdf(format="A4")[:5] == b"%PDF-"
        page.emulate_media(media="print")
        assert not page.get_by_role("link", name="Record title").is_visible()
        assert page.get_by_text("no legal advice").first.is_visible()
        page.emulate_media(media="screen")
