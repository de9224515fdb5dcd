"""What people do in a day, in a browser, found by the labels and roles that a screen reader would read out."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import ACCOUNT_OF_ROLE, PASSWORD, Opened, Server

HEADERS = [
    "catalogNumber", "accessionNumber", "eventID", "eventDate", "locationID", "decimalLatitude", "decimalLongitude",
    "geodeticDatum", "coordinateUncertaintyInMeters", "countryCode", "kingdom", "class", "order", "family", "genus",
    "scientificName", "recordedBy", "samplingProtocol", "individualCount",
]  # fmt: skip
ACCESSION = "LMN-2026-090"
DAY_BEFORE, FIRST_DAY = "2026-06-14", "2026-06-15"
"""The permit of the journey is in force from the second of these days on."""


def row(number: str, day: str) -> list[str]:
    return [
        number, ACCESSION, "BJO26-01", day, "SE-BJO-1", "61.9150", "15.3480", "WGS84", "30", "SE", "Animalia",
        "Insecta", "Odonata", "Calopterygidae", "Calopteryx", "Calopteryx virgo", "I. Holmqvist", "hand net", "1",
    ]  # fmt: skip


def file_of(rows: list[list[str]]) -> dict[str, object]:
    text = io.StringIO()
    csv.writer(text).writerows([HEADERS, *rows])
    return {"name": "june_2026.csv", "mimeType": "text/csv", "buffer": text.getvalue().encode()}


def bring_in(page: Page, rows: list[list[str]]) -> None:
    """A file chosen and its columns taken as they are recognised: the check of its rows is shown."""
    page.get_by_role("link", name="Intake").first.click()
    page.get_by_role("link", name="Bring in a file").click()
    page.get_by_label("File", exact=True).set_input_files(file_of(rows))  # type: ignore[arg-type]
    page.get_by_role("button", name="Read the file").click()
    page.get_by_role("button", name="Use these columns").first.click()
    expect(page).to_have_title(re.compile("check"))
    page.wait_for_load_state()


def rows_to_correct(page: Page) -> list[dict[str, str]]:
    """The file of errors, as it is handed out."""
    with page.expect_download() as download:
        page.get_by_role("link", name="Rows to correct", exact=True).click()
    return list(csv.DictReader(Path(download.value.path()).read_text("utf-8-sig").splitlines()))


def register_permit(page: Page) -> None:
    """A permit for dragonflies in Sweden, from its facts."""
    page.get_by_role("link", name="Today").first.click()
    page.get_by_role("link", name="Register a paper").click()
    page.get_by_label("Reference").fill("COL-2026-077")
    page.get_by_label("Kind").select_option(label="Collecting permit")
    page.get_by_label("Issued on").fill("2026-05-20")
    page.get_by_label("Country or province", exact=True).fill("SE")
    page.get_by_label("Held by").fill("I. Holmqvist")
    page.get_by_label("Valid from").fill(FIRST_DAY)
    page.get_by_label("Valid to").fill("2026-08-31")
    page.get_by_label("Country, province or site").first.fill("SE")
    page.get_by_label("Taxa", exact=True).fill("Odonata")
    page.get_by_role("button", name="Register the paper").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("COL-2026-077")
    expect(page.get_by_text("linked to nothing").first).to_be_visible()


def link_permit(page: Page) -> None:
    page.get_by_role("link", name="Link to material").first.click()
    page.get_by_label("Accessions or parts").fill(ACCESSION)
    page.get_by_role("button", name="Link the paper").click()
    expect(page.get_by_role("cell", name="Accession", exact=True)).to_be_visible()


def look_up(page: Page, number: str) -> None:
    """By the box at the head of every page, as a scanner does: it types the number and Enter."""
    page.get_by_role("banner").get_by_label("Scan a label or search").fill(number)
    page.get_by_role("banner").get_by_label("Scan a label or search").press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text(number)
    page.wait_for_load_state()  # what is not there now will not come


def layer(page: Page, name: str) -> Locator:
    """What the strip of the page says of a layer."""
    strip = page.get_by_role("list", name="Permission strip: nine layers")
    return strip.get_by_role("listitem").filter(has_text=name).first


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_a_spreadsheet_to_a_decision(opened: Opened, script: bool) -> None:
    """A curator's day: a delivery with a mistake, its permit, one specimen a day too early; then the registrar, who
    decides about it."""
    page = opened("curator", script=script)
    bring_in(page, [row("LMN-FW-0299001", DAY_BEFORE), row("LMN-FW-0299001", FIRST_DAY)])
    expect(page.get_by_text("2 rows need correction")).to_be_visible()
    wrong = rows_to_correct(page)
    assert [line["eventDate"] for line in wrong] == [DAY_BEFORE, FIRST_DAY]
    assert all("a number of its own" in line["to correct"] for line in wrong)

    bring_in(page, [row("LMN-FW-0299001", DAY_BEFORE), row("LMN-FW-0299002", FIRST_DAY)])
    page.get_by_label("Reason").fill("Delivery of June 2026")
    page.get_by_role("button", name="Commit the file").click()
    expect(page.get_by_role("status")).to_contain_text("2 rows are new")

    register_permit(page)
    link_permit(page)

    look_up(page, "LMN-FW-0299002")
    expect(layer(page, "Collecting")).to_contain_text("Covered")
    look_up(page, "LMN-FW-0299001")
    # The permit begins on 15 June; the specimen was collected on 14 June.
    expect(layer(page, "Collecting")).to_contain_text("Outside terms")
    expect(layer(page, "Collecting")).to_contain_text("1 day before the start date")

    page.get_by_role("link", name="COL-2026-077").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("COL-2026-077")
    page.get_by_role("row").filter(has_text=ACCESSION).get_by_role("link").last.click()
    page.get_by_role("link", name="LMN-FW-0299001").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("LMN-FW-0299001")

    page.wait_for_load_state()
    assert page.get_by_role("main").get_by_role("link", name="Overrule").count() == 0, "a curator does not decide"
    specimen = page.url

    page = opened("registrar", script=script)
    page.goto(specimen)
    page.get_by_role("link", name="Overrule with reason : Collecting").click()
    page.get_by_label("Covered", exact=True).check()
    page.get_by_label("Reason").fill("The board wrote on 12 June: use it at once; its letter is filed.")
    page.get_by_role("button", name="Decide").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("LMN-FW-0299001")
    expect(page.get_by_text("its letter is filed").first).to_be_visible()
    expect(page.get_by_role("main"), "the computed verdict stays visible").to_contain_text("Outside terms")


def test_a_volunteer_prepares_and_does_not_decide(opened: Opened, server: Server) -> None:
    """Neither a way to it on the pages, nor behind the address."""
    page = opened("volunteer")
    look_up(page, "LMN-FW-0241873")
    main = page.get_by_role("main")
    for deed in ("Overrule", "Link a paper", "Record a search"):
        assert main.get_by_role("link", name=deed).count() == 0, deed
    specimen = server.key("material_specimen", "catalog_number = 'LMN-FW-0241873'")
    paper = server.key("papers_paper", "reference = 'COL-2024-052'")
    for path in (f"/specimens/{specimen}/layers/land/overrule/", f"/papers/{paper}/link/", "/papers/new/"):
        answer = page.goto(server.address + path)
        assert answer
        assert answer.status == 403, path
        expect(page.get_by_role("heading", level=1)).to_be_visible()

    bring_in(page, [row("LMN-FW-0299001", FIRST_DAY)])
    assert page.get_by_role("button", name="Commit the file").count() == 0


def press_until(page: Page, key: str, name: str, most: int = 80) -> None:
    """Press a key until the element of that name has the focus."""
    for _ in range(most):
        page.keyboard.press(key)
        focused = page.evaluate(
            "(() => { const e = document.activeElement;"
            " return (e.labels && e.labels.length ? e.labels[0].innerText : e.innerText) || '' })()"
        )
        if " ".join(focused.split()).startswith(name):
            return
    raise AssertionError(f"{name} is not reached with {most} times {key}")


def test_by_keyboard_alone(opened: Opened, server: Server) -> None:
    """From the sign-in page to a specimen, without a mouse; the way past the navigation is the first stop."""
    page = opened("auditor")
    page.context.clear_cookies()
    page.goto(f"{server.address}/sign-in/")
    press_until(page, "Tab", "Name")
    page.keyboard.type(ACCOUNT_OF_ROLE["auditor"])
    press_until(page, "Tab", "Password", most=2)
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{server.address}/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "Skip to content"
    press_until(page, "Tab", "Specimens")
    page.keyboard.press("Enter")
    page.wait_for_url("**/specimens/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # skip to content
    press_until(page, "Tab", "LMN-FW-", most=120)
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/specimens/\d+/$"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("LMN-FW-")
    outline = page.evaluate("(() => { document.querySelector('main a').focus();"
                            " return getComputedStyle(document.activeElement).outlineStyle })()")  # fmt: skip
    assert outline != "none", "what has the focus is seen to have it"
