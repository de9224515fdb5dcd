"""Papers at accession, from the drop to the verdict: the story of the legal file, as a registrar lives it in a browser.

The consent of the light trap at the weir ended on 14 June 2024 and the trap stood until 17 June (the demo). A second
consent comes in the mail, in one PDF with an agreement that waits to be read.
"""

from __future__ import annotations

import io
import re
import time

import pytest
from playwright.sync_api import Locator, Page, expect
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen import canvas

from tests.browser.conftest import Opened, Server

ACCESSION = "LMN-2024-038"
CONSENT = [
    "Sakhvlari Forest Cooperative (invented)",
    "CONSENT OF THE LANDOWNER",
    "Reference: LND-2024-131",
    "Country: Georgia",
    "Holder: J. Ek",
    "Date of issue: 14 June 2024",
    "Valid from: 15 June 2024",
    "Valid until: 31 August 2024",
]


def mail_of_the_cooperative() -> bytes:
    """Four pages: an agreement on the first two, the consent on the others."""
    data = io.BytesIO()
    paper = canvas.Canvas(data, pagesize=A4)
    for lines in (["Material transfer agreement TRA-2024-031"], ["Page 2 of 2"], CONSENT, ["Conditions: none."]):
        for number, line in enumerate(lines):
            paper.drawString(72, 760 - 24 * number, line)
        paper.showPage()
    paper.save()
    return data.getvalue()


def drop(page: Page, script: bool) -> None:
    """The mail, and a file that broke on the way: it does not stop the other."""
    files = [
        {"name": "mail of 14 June.pdf", "mimeType": "application/pdf", "buffer": mail_of_the_cooperative()},
        {"name": "torn.pdf", "mimeType": "application/pdf", "buffer": mail_of_the_cooperative()[:300]},
    ]
    page.get_by_label("Choose files").set_input_files(files)  # type: ignore[arg-type]
    if not script:
        page.get_by_role("button", name="File them").click()
    expect(page.get_by_text("1 filed, 1 refused.").first).to_be_visible(timeout=30_000)
    expect(page.get_by_text("torn.pdf").first).to_be_visible()
    page.get_by_role("link", name=f"Back to {ACCESSION}").click() if not script else page.reload()


def say_whose_pages(page: Page) -> None:
    """The first two pages are the agreement; the others become a paper of their own."""
    page.get_by_role("link", name="Which papers are in it? mail of 14 June.pdf").click()
    page.get_by_label("Paper, row 1").fill("TRA-2024-031")
    page.get_by_label("First page, row 1").fill("1")
    page.get_by_label("Last page, row 1").fill("2")
    page.get_by_role("button", name="Save all pages").click()
    page.get_by_role("link", name="Register a paper from pages 3 to 4").click()


def wait_for_offers(page: Page) -> Locator:
    """The words are read in the background; the page says so until they are there."""
    offers = page.get_by_role("region", name="Read in the scan")
    page.wait_for_load_state()
    until = time.monotonic() + 60
    while not offers.count():
        assert time.monotonic() < until, "the words of the scan were not read within a minute"
        page.wait_for_timeout(200)
        page.reload()
    return offers


def take_over(page: Page, field: str) -> None:
    page.get_by_role("button", name=re.compile(f"^(Take over|Replace with this) ?: {field},")).click()


def typed(page: Page, label: str) -> Locator:
    """The field of the form; the group of the offers for it has the same name."""
    return page.get_by_role("textbox", name=label)


def register_consent(page: Page) -> None:
    offers = wait_for_offers(page)
    expect(typed(page, "Valid from")).to_have_value("")  # nothing is taken over without a click
    expect(offers).to_contain_text("15 June 2024")
    for field in ("Reference", "Issued on", "Given by", "Country or province", "Valid from", "Valid to"):
        take_over(page, field)
    expect(typed(page, "Reference")).to_have_value("LND-2024-131")
    expect(typed(page, "Valid from")).to_have_value("2024-06-15")
    expect(typed(page, "Valid to")).to_have_value("2024-08-31")
    page.get_by_label("Kind").select_option(label="Landowner’s consent")
    page.get_by_role("button", name="Register the paper").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("LND-2024-131")
    expect(page.get_by_text("Tomas Berglind").first).to_be_visible()


def cell(page: Page, row: str, layer: str) -> Locator:
    """A cell of the matrix: its row by the head, its column by the name of the layer in it."""
    found = page.get_by_role("row").filter(has=page.get_by_role("rowheader").filter(has_text=row))
    return found.locator("details").filter(has=page.locator("summary").filter(has_text=layer)).first


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_a_dropped_mail_to_a_covered_part(opened: Opened, server: Server, script: bool) -> None:
    """Dropped, pages told apart, offers taken over, linked to a part: its twelve specimens are covered, and the
    other parts are not."""
    page = opened("registrar", script=script)
    key = server.key("material_accession", f"number = '{ACCESSION}'")
    file = f"{server.address}/accessions/{key}/file/"
    page.goto(file)
    expect(cell(page, "Part D", "Land").locator("summary")).to_contain_text("Outside terms")

    page.goto(f"{server.address}/accessions/{key}/")
    drop(page, script)
    say_whose_pages(page)
    register_consent(page)

    page.goto(file)
    land = cell(page, "Part D", "Land")
    land.locator("summary").click()
    land.get_by_role("link", name="Link a paper").click()
    page.get_by_label("Reference of the paper").fill("LND-2024-131")
    page.get_by_role("button", name="See what would change").click()
    expect(page).to_have_title(re.compile("What would change"))
    expect(page.get_by_role("main")).to_contain_text("12")
    page.goto(file)
    expect(cell(page, "Part D", "Land").locator("summary")).to_contain_text("Outside terms")  # looked at, not saved

    land = cell(page, "Part D", "Land")
    land.locator("summary").click()
    land.get_by_role("link", name="Link a paper").click()
    page.get_by_label("Reference of the paper").fill("LND-2024-131")
    page.get_by_role("button", name="Link the paper").click()
    page.wait_for_url("**/file/")
    # Taken on 17 June 2024; the new consent holds from 15 June to 31 August.
    expect(cell(page, "Part D", "Land").locator("summary")).to_contain_text("Covered")
    expect(cell(page, "Part A", "Land").locator("summary")).to_contain_text("Outside terms")
