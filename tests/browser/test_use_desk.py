"""A request for material, from the first code to what became of it: as a registrar of the demo lives it.

In the demo the permit COL-2019-004 lets material be lent to public institutions, the agreement ABS-2024-009 asks for
written agreement before sequencing, and the heirs of MTA-2024-002 let nothing leave the house.
"""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing, nullcontext

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Opened, Server

FREE, TO_ASK, TO_STAY = 6, 4, 3
"""Specimens that are scanned: of the permit, of the agreement, of the heirs."""


def numbers(server: Server, accession: str, count: int, part: str = "") -> list[str]:
    """Catalogue numbers of an accession, of those whose verdicts need no look (0, 1), but any of the heirs'."""
    worst = 5 if accession == "LMN-2024-019" else 1
    sql = (
        "SELECT s.catalog_number FROM verdicts_standing s LEFT JOIN material_part p ON p.id = s.part_key "
        "WHERE s.accession_number = ? AND s.worst <= ? AND (? = '' OR p.letter = ?) ORDER BY s.catalog_number LIMIT ?"
    )
    with closing(sqlite3.connect(server.database)) as connection:
        found = [row[0] for row in connection.execute(sql, (accession, worst, part, part, count))]
    assert len(found) == count, f"the demo has too few specimens of {accession}"
    return found


def begin(page: Page, server: Server) -> str:
    """Take down what is asked; returns the address of the request."""
    page.goto(f"{server.address}/desk/requests/new/")
    page.get_by_role("textbox", name=re.compile("^What is asked")).fill("Legs of lake insects")
    page.get_by_role("combobox", name=re.compile("^For")).select_option(
        label="Hafnarvík Institute for Lakes (invented), IS"
    )
    for use in ("Loan abroad", "Sequencing"):
        page.get_by_label(use, exact=True).check()
    page.get_by_label("Goes to").fill("Iceland")
    page.get_by_role("group", name="Commercial").get_by_label("No", exact=True).check()
    page.get_by_role("group", name="For identification only").get_by_label("No", exact=True).check()
    page.get_by_role("main").get_by_role("button", name="Record the request").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Legs of lake insects")
    return page.url


def scan(page: Page, request: str, codes: list[str], *, script: bool) -> None:
    """As a handheld reader types: the code, then Enter; the first one twice, and one that nobody knows.

    Without script the page comes anew after each code, with the focus where it was.
    """
    page.goto(f"{request}scan/")
    for code in [*codes, codes[0], "LMN-FW-9999999"]:
        expect(page.get_by_role("textbox", name="Barcode or number")).to_be_focused()
        page.keyboard.type(code)
        with nullcontext() if script else page.expect_navigation():
            page.keyboard.press("Enter")
        expect(page.get_by_role("main").get_by_text(code).first).to_be_visible()
    expect(page.get_by_role("main")).to_contain_text("Was in the basket already.")
    expect(page.get_by_role("main")).to_contain_text("No specimen has this number.")


def group(page: Page, word: str) -> Locator:
    return page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=re.compile(f"^{word}")))


def ask_the_provider(page: Page, request: str) -> None:
    """Asked, and agreed for this request."""
    group(page, "Ask the provider first").get_by_role("link", name="Ask under ABS-2024-009").click()
    page.get_by_role("main").get_by_role("button", name=re.compile("asked|Record", re.I)).first.click()
    page.get_by_role("link", name=re.compile("Record the reply")).first.click()
    page.get_by_label("agreed", exact=False).first.check()
    page.get_by_label("The reply in its words").fill("Agreed for one leg of each.")
    page.get_by_role("button", name="Save the reply").click()
    expect(page.get_by_role("main")).to_contain_text("Agreed for one leg of each.")
    page.goto(request)


def approve_in_part(page: Page, first: int) -> None:
    group(page, "Allowed").first.get_by_role("link", name=re.compile("go$")).first.click()
    page.get_by_label("may go").check()
    page.get_by_label("The first").check()
    page.get_by_text("Only some of them").click()
    page.get_by_label("How many").fill(str(first))
    with page.expect_navigation():
        page.get_by_role("button", name="Decide", exact=True).click()


def lend(page: Page, request: str) -> None:
    page.goto(f"{request}")
    number = request.rstrip("/").rsplit("/", 1)[1]
    page.goto(f"{request.split('/desk/')[0]}/desk/uses/new/loan/?request={number}")
    page.get_by_role("button", name="Record it", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Lent")
    expect(page.get_by_role("main")).to_contain_text("4 specimens")


def take_back_half(page: Page, came_back: list[str]) -> None:
    page.get_by_role("link", name="Record a return").click()
    for number in came_back:
        page.get_by_label(number).check()
    page.get_by_role("button", name="Record the return").click()
    expect(page.get_by_role("main")).to_contain_text("2 of 4")


def publish(page: Page, server: Server, cited: list[str]) -> None:
    """One entry for all that it cites."""
    page.goto(f"{server.address}/desk/uses/new/publication/")
    page.get_by_label("Citation").fill("Aradóttir (2026, invented). Legs of lake insects.")
    page.get_by_label("DOI").fill("https://doi.org/10.99999/lakes.2026.7")
    page.get_by_label("Catalogue numbers").fill("\n".join(cited))
    page.get_by_role("button", name="Record it", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Published")
    expect(page.get_by_role("main")).to_contain_text("10.99999/lakes.2026.7")
    expect(page.get_by_role("main")).to_contain_text("3 specimens")


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_a_scan_to_what_became_of_it(opened: Opened, server: Server, script: bool) -> None:
    page = opened("registrar", script=script)
    request = begin(page, server)
    free = numbers(server, "LMN-2019-112", FREE)
    to_ask = numbers(server, "LMN-2024-038", TO_ASK, "B")
    scan(page, request, [*free, *to_ask, *numbers(server, "LMN-2024-019", TO_STAY)], script=script)

    page.goto(request)
    expect(page.get_by_role("main")).to_contain_text(f"{FREE} of {FREE + TO_ASK + TO_STAY} can go now")
    expect(group(page, "Ask the provider first")).to_contain_text(str(TO_ASK))
    expect(group(page, "Not allowed")).to_contain_text("shall not leave the premises")

    ask_the_provider(page, request)
    expect(page.get_by_role("main")).to_contain_text(f"{FREE + TO_ASK} of {FREE + TO_ASK + TO_STAY} can go now")

    approve_in_part(page, 4)
    page.goto(request)
    expect(page.get_by_role("main")).to_contain_text("Decided: 4")

    page.get_by_role("link", name="Terms sheet").click()
    expect(page.get_by_role("main")).to_contain_text(free[0])
    expect(page.get_by_role("main")).not_to_contain_text(to_ask[0])  # not approved, so not on the sheet
    with page.expect_download() as download:
        page.get_by_role("link", name="Sheet as DOCX").click()
    assert download.value.suggested_filename.endswith(".docx")

    lend(page, request)
    take_back_half(page, free[:2])
    publish(page, server, free[:3])
    specimen = server.key("material_specimen", f"catalog_number = '{free[0]}'")
    page.goto(f"{server.address}/desk/what-became/specimen/{specimen}/")
    for word in ("Lent", "Published"):
        expect(page.get_by_role("main")).to_contain_text(word)
