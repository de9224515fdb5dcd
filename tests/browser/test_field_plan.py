"""A field plan, from a pasted table to a covered cell: the story of a trip before it begins, as a curator lives it.

The demo's country sheet for Georgia requires the consent of the land; nobody asked the owner yet.
"""

from __future__ import annotations

import re
from datetime import date

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
    return page.get_by_role("link", name=re.compile(rf"{stop}, {layer}:"))


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
    page.get_by_role("link", name=re.compile("Record an application.*Land")).click()
    page.get_by_label("Ask", exact=True).fill("Sakhvlari Forest Cooperative (invented)")
    page.get_by_role("button", name="Put it on the checklist").click()
    page.get_by_role("link", name="It was asked for").click()
    page.get_by_role("button", name=re.compile("asked", re.IGNORECASE)).click()
    expect(page.get_by_role("main")).to_contain_text("What is only asked for covers nothing.")


def record_the_grant(page: Page) -> None:
    page.get_by_role("link", name="It was granted").click()
    page.get_by_label("Reference", exact=True).fill(CONSENT)
    page.get_by_role("button", name="Register it as granted").click()
    expect(page.get_by_role("main")).to_contain_text(CONSENT)


def enter_terms(page: Page) -> None:
    """The consent holds in June, in the valley: a circle of three kilometres."""
    page.get_by_label("Valid from").fill("2027-06-01")
    page.get_by_label("Valid to").fill("2027-06-30")


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_a_pasted_table_to_a_covered_cell(opened: Opened, server: Server, script: bool) -> None:
    """Pasted, checked, asked for, granted: the cell says "no paper", then "cannot tell" until the terms are read."""
    page = opened("curator", script=script)
    plan = begin(page, server)
    paste(page)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("No paper on file")
    # The sheet's lead time for land is 30 days; the first stop is on 3 June 2027, thirty days after 4 May.
    expect(cell(page, "Weir pool", "Land")).to_contain_text("start by 4 May")

    ask_the_owner(page)
    page.goto(plan)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("No paper on file")

    page.get_by_role("link", name=re.compile("Landowner’s consent")).first.click()
    record_the_grant(page)
    page.goto(plan)
    expect(cell(page, "Weir pool", "Land")).to_contain_text("Cannot tell")
    assert date(2027, 5, 4).toordinal() + 30 == date(2027, 6, 3).toordinal()
