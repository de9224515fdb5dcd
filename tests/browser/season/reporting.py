"""The end of the year: what is owed is done, reported, sent and shared."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.season.arriving import ACCESSION
from tests.browser.season.telling import Story, chapter, link, main_of, press, says

COPY = "Send a copy of the publication to the Authority"
YEARLY = "Report to the Directorate on the material, its uses and the benefits shared"


@chapter("duty", on="2027-11-22", title="What the agreement asks in return is done")
def duty_is_met(story: Story) -> None:
    """Nobody typed the duty: it follows from the publication and the agreement."""
    page = story.sign_in("tomas")
    story.go(page, "/duties/?q=copy+of+the+publication")
    # Published on 10 November 2027; the agreement gives six months: 10 May 2028.
    row = page.get_by_role("row").filter(has_text="10 May 2028")
    row.get_by_role("link", name=COPY).click()
    says(page, "Due on 10 May 2028")
    link(page, "Mark as done")
    page.get_by_label("How, and where the proof is").fill("By mail with the PDF; answer in drawer G 4.")
    press(page, "Mark as done")
    says(page, "drawer G 4")
    story.picture(page)


@chapter("report", on="2027-12-06", title="The provider's report is drafted, issued and sent")
def report_is_sent(story: Story) -> None:
    """Its numbers are the rows of the register; once issued, it is frozen."""
    page = story.sign_in("tomas")
    _draft(story, page)
    # The trip is the only one of the year: its five specimens, and each number opens its rows.
    taken = page.get_by_role("row", name=re.compile("^Taken in the period")).get_by_role("link").first
    expect(taken).to_have_text("5")
    taken.click()
    says(page, "LMN-FW-0310001")
    story.go(page, "report")
    story.picture(page)
    link(page, "Issue the report")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Issue")
    for box in main_of(page).get_by_role("checkbox").all():
        box.check()
    press(page, "Issue the report")
    expect(main_of(page).locator(".answer")).to_contain_text("Issued")
    link(page, "Record how it was sent")
    page.get_by_label(re.compile("^To whom")).fill("Access desk of the Directorate")
    page.get_by_label(re.compile("^How")).first.fill("Registered mail")
    page.get_by_label(re.compile("^Proof")).first.fill("Receipt 5120, drawer G 4")
    press(page, "Record the sending")
    says(page, "Receipt 5120")
    story.go(page, "/duties/?state=done")
    says(page, YEARLY)


def _draft(story: Story, page: Page) -> None:
    story.go(page, "/reports/")
    link(page, "New report")
    main_of(page).get_by_role("link", name=re.compile("provider", re.I)).first.click()
    page.get_by_label("Country", exact=True).fill("Georgia")
    page.get_by_label("Period from").fill("2026-12-01")
    page.get_by_label("Period to").fill("2027-11-30")
    duty = page.get_by_label("The duty that it answers")
    answered = duty.get_by_role("option").filter(has_text="31 Dec 2027, ABS-2024-009")
    duty.select_option(value=answered.get_attribute("value"))
    press(page, "Compose the draft")
    expect(main_of(page).locator(".answer")).to_contain_text("A draft")
    says(page, ACCESSION)
    story.keep("report", page)


@chapter("shared", on="2027-12-07", title="The provider opens it without an account")
def report_is_shared(story: Story) -> None:
    """One address for one reader, until a day; it shows what they may know, and takes an answer."""
    page = story.sign_in("tomas")
    story.go(page, "/reports/shares/new/")
    page.get_by_label("For whom").fill("Access desk of the Directorate (invented)")
    page.get_by_label("About a country").fill("Georgia")
    page.get_by_label(re.compile("^RP-2027-001")).check()
    press(page, "Make the page")
    secret = page.get_by_label("Address", exact=True).input_value()
    visitor = story.visitor()
    visitor.goto(secret)
    says(visitor, ACCESSION)
    expect(visitor.get_by_role("link", name=re.compile("DOCX")).first).to_be_visible()
    story.picture(visitor)
    visitor.get_by_label(re.compile("^Your name")).fill("A reader")
    visitor.get_by_role("textbox", name=re.compile("^(Your )?message", re.I)).fill("Received, with thanks.")
    visitor.get_by_role("button", name=re.compile("Send", re.I)).click()
    says(visitor, "Your message has arrived")
