"""What is owed, as people of the demo meet it: a duty until it is accepted, a report until it is sent, a page that a
reader opens without an account.

In the demo the return of COL-2026-018 is due on 10 January 2027, RP-2026-006 is a draft for Georgia that answers the
yearly report of ABS-2024-009, and RP-2026-007 is issued.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Opened, Server


def step(page: Page, name: str) -> None:
    """Follow a link of the page, by its words."""
    page.get_by_role("main").get_by_role("link", name=name, exact=True).first.click()


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).first.click()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_a_duty_from_due_to_accepted(opened: Opened, server: Server, script: bool) -> None:
    page = opened("registrar", script=script)
    page.goto(f"{server.address}/duties/")
    page.get_by_role("link", name="Return of the year, also if nothing was taken").first.click()
    expect(page.get_by_role("main")).to_contain_text("Due on 10 January 2027")
    expect(page.get_by_role("main")).to_contain_text("also if nothing was taken")

    step(page, "Mark as done")
    press(page, "Mark as done")  # without a word on how: refused, and said why
    expect(page.get_by_role("main")).to_contain_text("Say how it was done, and where the proof is.")
    page.get_by_label("How, and where the proof is").fill("Through the form of the Board; copy in drawer S 1.")
    page.get_by_label(re.compile("^Nil return")).check()
    press(page, "Mark as done")
    expect(page.get_by_role("main")).to_contain_text("drawer S 1")

    step(page, "Record that it was accepted")
    page.get_by_label(re.compile("^By whom, and how")).fill("Mail of the Board, no questions.")
    press(page, "Record it")
    expect(page.get_by_role("main")).to_contain_text("Mail of the Board")
    expect(page.get_by_role("main").locator(".answer")).to_contain_text(re.compile("accepted", re.I))
    page.goto(f"{server.address}/duties/?state=accepted")
    expect(page.get_by_role("main")).to_contain_text("Return of the year, also if nothing was taken")


def test_a_report_from_draft_to_sent(opened: Opened, server: Server) -> None:
    page = opened("registrar")
    report = server.key("reports_report", "reference = 'RP-2026-006'")
    address = f"{server.address}/reports/{report}/"
    page.goto(address)
    expect(page.get_by_role("main").locator(".answer")).to_contain_text("A draft")

    number = page.get_by_role("row", name=re.compile("^Specimens, lots and parts")).get_by_role("link").first
    shown = number.inner_text()
    number.click()  # the figure opens to its rows
    expect(page.get_by_role("main")).to_contain_text(f"make the figure {shown}")
    expect(page.get_by_role("main")).to_contain_text("LMN-FW-")

    page.goto(address)
    step(page, "Issue the report")
    for box in page.get_by_role("main").get_by_role("checkbox").all():
        box.check()
    press(page, "Issue the report")
    expect(page.get_by_role("main").locator(".answer")).to_contain_text("Issued")
    with page.expect_download() as download:
        page.get_by_role("main").get_by_role("link", name=re.compile("DOCX")).first.click()
    digest = hashlib.sha256(Path(download.value.path()).read_bytes()).hexdigest()
    expect(page.get_by_role("main")).to_contain_text(digest[:12])  # the hash on the page is that of the file

    step(page, "Record how it was sent")
    page.get_by_label(re.compile("^To whom")).fill("Access desk of the Directorate")
    page.get_by_label(re.compile("^How")).first.fill("Registered mail")
    page.get_by_label(re.compile("^Proof")).first.fill("Receipt 4488, drawer G 4")
    press(page, "Record the sending")
    expect(page.get_by_role("main")).to_contain_text("Receipt 4488")
    page.goto(f"{server.address}/duties/?state=done")
    expect(page.get_by_role("main")).to_contain_text("Report to the Directorate on the material")


def test_a_shared_page_opened_revoked_refused(opened: Opened, server: Server, browser: Browser) -> None:
    page = opened("registrar")
    page.goto(f"{server.address}/reports/shares/new/")
    page.get_by_label("For whom").fill("Access desk of the Directorate")
    page.get_by_label("About a country").fill("Georgia")
    page.get_by_label(re.compile("^RP-2026-007")).check()
    press(page, "Make the page")
    secret = page.get_by_label("Address", exact=True).input_value()

    visitor = browser.new_context(accept_downloads=True).new_page()
    answer = visitor.goto(secret)
    assert answer is not None
    assert answer.status == 200
    assert "noindex" in answer.headers["x-robots-tag"]
    expect(visitor.get_by_role("main")).to_contain_text("LMN-2024-038")
    with visitor.expect_download() as download:
        visitor.get_by_role("link", name=re.compile("DOCX")).first.click()
    assert Path(download.value.path()).read_bytes()[:2] == b"PK"
    visitor.get_by_label(re.compile("^Your name")).fill("A reader")
    visitor.get_by_role("textbox", name=re.compile("^(Your )?message", re.I)).fill("Thank you; please send two copies.")
    visitor.get_by_role("button", name=re.compile("Send", re.I)).click()
    expect(visitor.get_by_role("main")).to_contain_text("Your message has arrived")

    page.goto(f"{server.address}/reports/shares/")
    page.get_by_role("link", name="Access desk of the Directorate", exact=True).first.click()
    expect(page.get_by_role("main")).to_contain_text("please send two copies")
    step(page, "Revoke")
    page.get_by_label(re.compile("^Reason")).fill("The desk has all it needs.")
    press(page, "Revoke it")
    refused = visitor.goto(secret)
    assert refused is not None
    assert refused.status in {404, 410}
    expect(visitor.locator("body")).not_to_contain_text("LMN-2024-038")
    visitor.context.close()
