"""An auditor at work in the demo: questions, the past, a history, the seal, and evidence to take along.

The demo entered its register in September 2026 and named LMN-FW-0241800 anew in October, by which a verdict changed.
"""

from __future__ import annotations

import hashlib
import re
import zipfile
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import PATIENCE_MS, Opened, Server


def ask(page: Page, server: Server, title: str) -> None:
    """From the list of questions to one of them."""
    page.goto(f"{server.address}/audit/")
    page.get_by_role("main").get_by_role("link", name=title).click()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_three_questions_and_a_history(opened: Opened, server: Server, script: bool) -> None:
    page = opened("auditor", script=script)

    ask(page, server, "Show the permit for a specimen, in the version in force that day")
    page.get_by_label("Specimen").fill("LMN-FW-0241873")
    page.get_by_role("button", name="Ask", exact=True).click()
    expect(page.locator(".answer")).to_contain_text("papers bear on LMN-FW-0241873")
    expect(page.get_by_role("main")).to_contain_text("LND-2024-117")

    ask(page, server, "What was collected outside the dates")
    expect(page.locator(".answer")).to_contain_text(re.compile(r"The days of \d+ specimens lie outside the dates"))

    ask(page, server, "Which specimens changed verdict after they were determined anew?")
    expect(page.locator(".answer")).to_contain_text("1 specimen changed verdict")
    page.get_by_label(re.compile("^As known on")).fill("2026-10-01")
    page.get_by_role("button", name="Ask", exact=True).click()
    expect(page.locator(".answer")).to_contain_text("No verdict changed after a determination")
    expect(page.get_by_role("main")).to_contain_text("1 row came since")

    specimen = server.key("material_specimen", "catalog_number = 'LMN-FW-0241800'")
    page.goto(f"{server.address}/audit/history/material.specimen/{specimen}/")
    expect(page.get_by_role("main")).to_contain_text("Larva seen again under the microscope; three tails.")
    expect(page.get_by_role("main")).to_contain_text("Jon Ek")
    page.get_by_role("main").get_by_role("link", name="manage.py demo").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Written on")


def test_the_seal_is_checked_and_a_printed_one_is_ours(opened: Opened, server: Server) -> None:
    page = opened("auditor")
    page.goto(f"{server.address}/audit/seal/")
    page.get_by_role("main").get_by_role("button", name="Check now").click()
    expect(page.locator(".answer")).to_contain_text("Unbroken since")


def test_evidence_to_take_along(opened: Opened, server: Server, tmp_path: Path) -> None:
    """What is in the file is what its list of hashes says, and its index opens without the register."""
    page = opened("auditor")
    page.goto(f"{server.address}/audit/evidence/?of=specimen:LMN-FW-0241800")
    with page.expect_download(timeout=4 * PATIENCE_MS) as download:
        page.get_by_role("button", name="Make the file").click(timeout=4 * PATIENCE_MS)  # it is made before it comes
    with zipfile.ZipFile(download.value.path()) as packed:
        packed.extractall(tmp_path)
    lines = (tmp_path / "hashes.txt").read_text("utf-8").splitlines()
    assert len(lines) > 10
    for line in lines:
        sha256, name = line.split("  ", 1)
        assert hashlib.sha256((tmp_path / name).read_bytes()).hexdigest() == sha256

    page.goto((tmp_path / "index.html").as_uri())
    expect(page.get_by_role("heading", level=1)).to_contain_text("LMN-FW-0241800")
    assert [fault["id"] for fault in Axe().run(page).response["violations"]] == []
    page.get_by_role("link", name=re.compile("COL-2024-052")).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("COL-2024-052")
