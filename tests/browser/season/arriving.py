"""Summer: the trip is over, the boxes come, the rows go in, and the papers are linked to the parts."""

from __future__ import annotations

import csv
import io
import re
from typing import Final

from playwright.sync_api import Locator, Page, expect

from tests.browser.season.planning import pdf, wait_for_offers
from tests.browser.season.telling import Story, chapter, link, main_of, press, says

ACCESSION: Final = "LMN-2027-001"
EXPORT: Final = "EXP-2027-118"
EXPORT_PERMIT: Final = [
    "Nazvri Directorate of Environment (invented)",
    "EXPORT PERMIT",
    f"Reference: {EXPORT}",
    "Country: Georgia",
    "Holder: J. Ek",
    "Date of issue: 15 June 2027",
    "Valid from: 15 June 2027",
    "Valid until: 15 July 2027",
]

HEADERS: Final = [
    "catalogNumber", "accessionNumber", "stop of the plan", "eventID", "eventDate", "decimalLatitude",
    "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "countryCode", "kingdom", "class", "order",
    "family", "genus", "scientificName", "recordedBy", "samplingProtocol", "individualCount", "exportedOn",
    "importedOn", "transferredOn",
]  # fmt: skip
MISTYPED: Final = "LMN-FW-0310003"
"""The field book has 8 June; whoever typed the sheet wrote 18."""

SPECIMENS: Final = {
    "LMN-FW-0310001": ("A", "NAZ27-1", "2027-06-08", "42.0715", "43.9000", "Perla caucasica"),
    "LMN-FW-0310002": ("A", "NAZ27-1", "2027-06-08", "42.0715", "43.9000", "Perla caucasica"),
    MISTYPED: ("A", "NAZ27-2", "2027-06-18", "42.0715", "43.9000", "Perla caucasica"),
    "LMN-FW-0310004": ("B", "CHK27-1", "2027-06-10", "42.1200", "43.8710", "Perla caucasica"),
    "LMN-FW-0310005": ("B", "CHK27-1", "2027-06-10", "42.1200", "43.8710", "Perla caucasica"),
}


@chapter("trip", on="2027-06-14", title="The trip is over: the plan becomes an accession")
def plan_becomes_an_accession(story: Story) -> None:
    """Stops become parts, and the papers of the plan go with them."""
    page = story.sign_in("jon")
    story.go(page, "plan")
    link(page, "Turn into accession")
    expect(page.get_by_label("Accession number").first).to_have_value(ACCESSION)
    page.get_by_label("Reason").first.fill("Back from the field")
    story.picture(page)
    press(page, "Turn the plan into this accession")
    expect(page.get_by_role("heading", level=1)).to_contain_text(ACCESSION)
    says(page, "Chkara spring")
    story.keep("accession", page)


@chapter("arrival", on="2027-06-24", title="The boxes come, and go into quarantine")
def boxes_come(story: Story) -> None:
    """Maja takes them in; when they may come out follows from the hours of the treatment, not from her."""
    page = story.sign_in("maja")
    story.go(page, "/accessions/arrivals/")
    link(page, "Receive a delivery")
    page.get_by_label("Received on").fill("2027-06-23")
    page.get_by_label("Received by").fill("M. Lind")
    page.get_by_label("Contents").fill("Stoneflies of two stops, 2 boxes of vials")
    page.get_by_label("Boxes").fill("2")
    press(page, "Write the receipt")
    link(page, "Record the quarantine")
    page.get_by_label("-30 °C for 72 hours").check()
    page.get_by_label("Into quarantine on").fill("2027-06-24")
    page.get_by_role("main").get_by_role("button").filter(has_text=re.compile("quarantine", re.I)).first.click()
    # Whatever the hour on 24 June, 72 hours are over for certain on the 28th.
    says(page, "28 June 2027")
    story.keep("arrival", page)
    story.picture(page)


@chapter("released", on="2027-06-28", title="The hours are over: released, and put to the accession")
def delivery_is_released(story: Story) -> None:
    """Tomas releases, gives the number of the trip, and writes down the days of the way."""
    page = story.sign_in("tomas")
    story.go(page, "arrival")
    link(page, "Release it")
    main_of(page).get_by_role("button", name=re.compile("Release")).first.click()
    link(page, "Give a number")
    page.get_by_label("Accession number").first.fill(ACCESSION)
    press(page, "Add it to this accession")
    says(page, ACCESSION)
    story.picture(page)
    story.go(page, "accession")
    deliveries = page.locator("section").filter(has=page.get_by_role("heading", name="Deliveries"))
    deliveries.get_by_role("row").filter(has_text="E-2027-001").get_by_role("link", name="Change").click()
    page.get_by_label("Left the country on").fill("2027-06-21")
    page.get_by_label("Arrived on").fill("2027-06-23")
    page.get_by_label("Changed hands on").fill("2027-06-21")
    page.get_by_label("Reason").fill("Airway bill and receipt")
    main_of(page).get_by_role("button", name=re.compile("^Save")).first.click()
    says(page, "2027-06-21")


def sheet() -> dict[str, object]:
    """The field sheet, with a column that nobody but this museum calls so."""
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(HEADERS)
    for number, (part, event, day, latitude, longitude, name) in SPECIMENS.items():
        rows.writerow([
            number, ACCESSION, part, event, day, latitude, longitude, "WGS84", "50", "GE", "Animalia", "Insecta",
            "Plecoptera", "Perlidae", "Perla", name, "J. Ek", "hand net", "1", "2027-06-21", "2027-06-23", "2027-06-21",
        ])  # fmt: skip
    return {"name": "june_2027.csv", "mimeType": "text/csv", "buffer": text.getvalue().encode()}


@chapter("intake", on="2027-06-30", title="The spreadsheet is taken in")
def spreadsheet_is_taken_in(story: Story) -> None:
    """Maja says what a column means; that the rows go in is for the curator to say."""
    page = story.sign_in("maja")
    page.get_by_role("link", name="Intake").first.click()
    link(page, "Bring in a file")
    page.get_by_label("File", exact=True).set_input_files(sheet())  # type: ignore[arg-type]
    press(page, "Read the file")
    page.get_by_label("stop of the plan").select_option(value="accessionPart")
    story.picture(page)
    press(page, "Use these columns")
    says(page, "a curator or a registrar commits it")
    story.keep("batch", page)

    page = story.sign_in("jon")
    story.go(page, "batch")
    page.get_by_label("Reason").fill("Stoneflies of June 2027")
    press(page, "Commit the file")
    says(page, f"{len(SPECIMENS)} rows are new")


@chapter("linked", on="2027-07-01", title="The export permit is linked to the parts")
def export_permit_is_linked(story: Story) -> None:
    """It came with the boxes; until it is linked, the register has no export paper for what lies here."""
    page = story.sign_in("tomas")
    _drop_the_permit(story, page)
    _register_from_its_words(page)
    story.go(page, "accession")
    link(page, "Legal file")
    story.keep("file", page)
    for part in ("Part A", "Part B"):
        expect(_cell(page, part, "Export").locator("summary")).to_contain_text("No paper on file")
        _attach(story, page, part)
        expect(_cell(page, part, "Export").locator("summary")).to_contain_text("Covered")
    page.reload()  # without what was said of the last step
    story.picture(page)


def _drop_the_permit(story: Story, page: Page) -> None:
    story.go(page, "accession")
    page.get_by_label("Choose files").set_input_files(pdf("export permit.pdf", EXPORT_PERMIT))  # type: ignore[arg-type]
    says(page, "1 filed")
    page.reload()
    link(page, "Which papers are in it? export permit.pdf")
    link(page, "Register a paper from page 1")


def _register_from_its_words(page: Page) -> None:
    wait_for_offers(page)
    for name in ("Reference", "Issued on", "Given by", "Country or province", "Valid from", "Valid to"):
        page.get_by_role("button", name=re.compile(f"^(Take over|Replace with this) ?: {name},")).click()
    page.get_by_label("Kind").select_option(label="Export permit")
    press(page, "Register the paper")
    expect(page.get_by_role("heading", level=1)).to_contain_text(EXPORT)


def _attach(story: Story, page: Page, part: str) -> None:
    found = _cell(page, part, "Export")
    found.locator("summary").click()
    found.get_by_role("link", name="Link a paper").click()
    page.get_by_label("Reference of the paper").fill(EXPORT)
    press(page, "See what would change")
    says(page, EXPORT)
    press(page, "Link the paper")
    page.wait_for_url("**/file/")


def _cell(page: Page, row: str, layer: str) -> Locator:
    """A cell of the legal file: its row by the head, its column by the name of the layer in it."""
    found = page.get_by_role("row").filter(has=page.get_by_role("rowheader").filter(has_text=row))
    return found.locator("details").filter(has=page.locator("summary").filter(has_text=layer)).first
