"""A field plan, from a pasted table to a covered cell: the story of a trip before it begins, as a curator lives it.

The demo's country sheet for Georgia requires the consent of the land; nobody asked the owner yet.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Opened, Server

TABLE = [
    ["stop", "country", "latitude", "longitude", "radius", "first day", "last day", "methods", "people", "groups"],
    ["Weir pool", "GE", "42.07", "43.9", "50", "2027-06-03", "2027-06-04", "hand net", "J. Ek", "Trichoptera"],
    ["Alder brook", "GE", "42.075", "43.905", "50", "2027-06-05", "2027-06-05", "hand net", "J. Ek", "Trichoptera"],
]
CONSENT = "LND-2027-050"


def cell(page: Page, stop: str, layer: str) -> Locator:
    """A cell of the matrix, by what it says to those who do not see it."""
    return page.get_by_role("cell").filter(has=page.get_by_role("link", name=re.compile(rf"{stop}, {layer}:")))


def begin(page: Page, server: Server) -> str:
    """A plan with a title; returns its address."""
    page.goto(f"{server.address}/plans/new/")
    page.get_by_label("Title").fill("Weir week, June 2027")
    page.get_by_role("button", name="Begin the plan").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Weir week")
    return page.url


def paste(page: Page) -> None:
    page.get_by_role("link", name="Paste stops").click()
    page.get_by_label("Table").fill("\n".join("\t".join(row) for row in TABLE))
    page.get_by_role("button", name="Read the table").last.click()
    expect(page.get_by_role("main")).to_contain_text("2 stops were read without a problem.")
    page.get_by_role("button", name="Take over 2 stops").click()
    expect(page.get_by_role("main")).to_contain_text("2 stops were added.")


def ask_the_owner(page: Page) -> None:
    """Put on the checklist, and asked today."""
    page.get_by_role("link", name=re.compile("Record an application.*Land")).click()
    page.get_by_label("Ask", exact=True).fill("Sakhvlari Forest Cooperative (invented)")
    page.get_by_role("button", name="Put it on the checklist").click()
    page.get_by_role("link", name="It was asked for").click()
    page.get_by_role("button", name="It was asked for").click()
    expect(page.get_by_role("main")).to_contain_text("What is only asked for covers nothing.")


def record_the_grant(page: Page) -> None:
    page.get_by_role("link", name="It was granted").click()
    page.get_by_role("textbox", name="Reference").first.fill(CONSENT)
    page.get_by_role("button", name="Register it as granted").click()
    expect(page.get_by_role("main")).to_contain_text(f"It is {CONSENT}.")


def enter_terms(page: Page) -> None:
    """The consent holds on the first stop's days, and ends before the second."""
    page.get_by_role("link", name="Enter its terms").click()
    page.get_by_label("Valid from").fill("2027-06-01")
    page.get_by_label("Valid to").fill("2027-06-04")
    page.get_by_label("Country, province or site").first.fill("Georgia")
    page.get_by_label("which is a").first.select_option(label="Country")
    page.get_by_label("Reason").fill("the consent came by mail")
    page.get_by_role("button", name="See what would change").last.click()
    page.get_by_role("button", name="Add the version").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(CONSENT)


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_a_pasted_table_to_a_covered_cell(opened: Opened, server: Server, script: bool) -> None:
    """The cell says "no paper" while it is only asked for, "cannot tell" until the terms are read, then "covered" for
    the stop that they cover, and for no other."""
    page = opened("curator", script=script)
    plan = begin(page, server)
    paste(page)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("No paper on file")
    # The sheet's lead time for land is 30 days; the first stop is on 3 June 2027, thirty days after 4 May.
    expect(cell(page, "Weir pool", "Land")).to_contain_text("start by 4 May")

    ask_the_owner(page)
    page.goto(plan)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("No paper on file")

    page.get_by_role("link", name=re.compile("^Landowner’s consent")).first.click()
    record_the_grant(page)
    application = page.url
    page.goto(plan)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("Cannot tell")

    page.goto(application)
    enter_terms(page)
    page.goto(plan)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("Covered")
    expect(cell(page, "Alder brook", "Land")).to_contain_text("Outside terms")
