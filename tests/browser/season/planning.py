"""Winter: a plan is checked, a gap is found, the consent is asked for, comes, and covers."""

from __future__ import annotations

import io
import re
from typing import Final

from playwright.sync_api import Locator, Page, expect
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen import canvas

from tests.browser.season.telling import Story, chapter, link, main_of, press, says

TABLE: Final = [
    ["stop", "country", "latitude", "longitude", "radius", "first day", "last day", "methods", "people", "groups",
     "expected"],
    ["Alder reach", "GE", "42.0715", "43.9", "50", "2027-06-08", "2027-06-09", "hand net", "J. Ek", "Plecoptera", "40"],
    ["Chkara spring", "GE", "42.12", "43.871", "50", "2027-06-10", "2027-06-10", "hand net", "J. Ek", "Plecoptera",
     "20"],
]  # fmt: skip
"""The first stop lies inside the area of LND-2027-003, whose north edge is 42.1; the second lies north of it."""

ON_FILE: Final = ("LND-2027-003", "COL-2027-011", "SIT-2027-002", "ABS-2024-009", "TRA-2023-009")
CONSENT: Final = "LND-2027-041"
LETTER: Final = [
    "Owner of the spring field, Chkara (invented)",
    "CONSENT OF THE LANDOWNER",
    f"Reference: {CONSENT}",
    "Country: Georgia",
    "Holder: J. Ek",
    "Date of issue: 20 February 2027",
    "Valid from: 1 June 2027",
    "Valid until: 30 June 2027",
    "A list of the species found is sent to the owner.",
]


def letter(lines: list[str]) -> bytes:
    """A paper of one page, as it comes from a scanner that reads what it sees."""
    data = io.BytesIO()
    paper = canvas.Canvas(data, pagesize=A4)
    for number, line in enumerate(lines):
        paper.drawString(72, 760 - 24 * number, line)
    paper.save()
    return data.getvalue()


def pdf(name: str, lines: list[str]) -> dict[str, object]:
    return {"name": name, "mimeType": "application/pdf", "buffer": letter(lines)}


def cell(page: Page, stop: str, layer: str) -> Locator:
    """A cell of the check, by what it says to those who do not see it."""
    spoken = re.compile(rf"{stop}, {re.escape(layer)}")
    return page.get_by_role("cell").filter(has=page.get_by_role("link", name=spoken))


@chapter("plan", on="2027-01-12", title="A plan is checked before anybody leaves")
def plan_is_checked(story: Story) -> None:
    """Jon plans two stops; the papers on file cover the first one and not the land of the second."""
    page = story.sign_in("jon")
    _begin(story, page)
    _paste(page)
    _way_home(page)
    for reference in ON_FILE:
        _attach(page, reference)
    # The check asks who may be there, by the polygon of LND-2027-003: 42.0715 is south of its edge, 42.12 north of it.
    expect(cell(page, "Alder reach", "Land")).to_contain_text("Covered")
    expect(cell(page, "Chkara spring", "Land")).to_contain_text("Outside terms")
    # The sheet of Georgia: 30 days for land. 10 June 2027 less 30 days is 11 May.
    expect(cell(page, "Chkara spring", "Land")).to_contain_text("start by 11 May")
    for layer in ("Collecting", "Protected site", "Access (ABS)", "Transfer"):
        for stop in ("Alder reach", "Chkara spring"):
            expect(cell(page, stop, layer)).to_contain_text("Covered")
    expect(cell(page, "Chkara spring", "Export")).to_contain_text("No paper on file")
    page.reload()  # without what was said of the last step
    story.picture(page, upto=page.locator("#needs"))


def _begin(story: Story, page: Page) -> None:
    story.go(page, "/plans/")
    link(page, "New plan")
    page.get_by_label("Title").fill("Alder reach and Chkara spring, June 2027")
    press(page, "Begin the plan")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Alder reach")
    story.keep("plan", page)


def _paste(page: Page) -> None:
    link(page, "Paste stops")
    page.get_by_label("Table").fill("\n".join("\t".join(row) for row in TABLE))
    main_of(page).get_by_role("button", name="Read the table").last.click()
    says(page, "2 stops were read without a problem.")
    press(page, "Take over 2 stops")
    says(page, "2 stops were added.")


def _way_home(page: Page) -> None:
    link(page, "Add a way home")
    page.get_by_label("Export from").fill("Georgia")
    page.get_by_label("Import to").fill("Sweden")
    page.get_by_label("Leaves the country on").fill("2027-06-21")
    page.get_by_label("Arrives on").fill("2027-06-23")
    page.get_by_label("Changes hands on").fill("2027-06-21")
    press(page, "Save the way home")


def _attach(page: Page, reference: str) -> None:
    panel = page.locator("#papers")
    panel.locator("details.plan-attach > summary").click()
    panel.get_by_label("Paper").fill(reference)
    panel.get_by_role("button", name="Link the paper").click()
    expect(panel.locator(".plan-papers")).to_contain_text(reference)


@chapter("asked", on="2027-01-14", title="What is missing is asked for")
def consent_is_asked_for(story: Story) -> None:
    """The gap goes on the checklist; that it was asked for covers nothing."""
    page = story.sign_in("jon")
    story.go(page, "plan")
    main_of(page).get_by_role("link", name=re.compile("Record an application.*Land")).click()
    page.get_by_label("Ask", exact=True).fill("Owner of the spring field, Chkara (invented)")
    press(page, "Put it on the checklist")
    link(page, "It was asked for")
    press(page, "It was asked for")
    says(page, "What is only asked for covers nothing.")
    story.keep("application", page)
    story.picture(page, upto=main_of(page).locator("section.panel").nth(1))
    story.go(page, "plan")
    expect(cell(page, "Chkara spring", "Land")).to_contain_text("Outside terms")


@chapter("granted", on="2027-02-26", title="The consent comes, is scanned and read")
def consent_is_granted(story: Story) -> None:
    """Tomas drops the scan, registers the paper, and takes over what its words say, each by a click."""
    page = story.sign_in("tomas")
    story.go(page, "application")
    page.get_by_label("Choose files").set_input_files(pdf("consent of Chkara.pdf", LETTER))  # type: ignore[arg-type]
    says(page, "1 filed")
    _register(story, page)
    _read_its_terms(story, page)


def _register(story: Story, page: Page) -> None:
    story.go(page, "application")
    link(page, "It was granted")
    page.get_by_role("textbox", name="Reference").first.fill(CONSENT)
    press(page, "Register it as granted")
    says(page, f"It is {CONSENT}.")
    story.go(page, "plan")  # nobody has read it yet: so nothing can be told from it
    expect(cell(page, "Chkara spring", "Land")).to_contain_text("Cannot tell")


def _read_its_terms(story: Story, page: Page) -> None:
    story.go(page, "application")
    link(page, "Enter its terms")
    wait_for_offers(page)
    for name in ("Valid from", "Valid to"):
        page.get_by_role("button", name=re.compile(f"^(Take over|Replace with this) ?: {name},")).click()
    expect(page.get_by_role("textbox", name="Valid from")).to_have_value("2027-06-01")
    expect(page.get_by_role("textbox", name="Valid to")).to_have_value("2027-06-30")
    page.get_by_label("Country, province or site").first.fill("Georgia")
    page.get_by_label("which is a").first.select_option(label="Country")
    page.get_by_label("Reason").fill("The consent came by mail")
    story.picture(page, highest=600)
    main_of(page).get_by_role("button", name="See what would change").last.click()
    press(page, "Add the version")
    expect(page.get_by_role("heading", level=1)).to_contain_text(CONSENT)


def wait_for_offers(page: Page) -> None:
    """The words of a scan are read in the background."""
    for _ in range(60):
        if page.get_by_role("region", name="Read in the scan").count():
            return
        page.wait_for_timeout(500)
        page.reload()
    raise AssertionError("the words of the scan were not read within half a minute")


@chapter("covered", on="2027-03-02", title="The plan is checked again, and signed off")
def plan_is_signed_off(story: Story) -> None:
    """The cell that was outside is covered; Ingrid lets the plan go with what is still to be asked for named."""
    page = story.sign_in("ingrid")
    story.go(page, "plan")
    # Taken on 10 June 2027, the consent holds from 1 to 30 June; the export permit is asked for when the list is there.
    expect(cell(page, "Chkara spring", "Land")).to_contain_text("Covered")
    expect(cell(page, "Alder reach", "Export")).to_contain_text("No paper on file")
    link(page, "Sign off")
    page.get_by_label("Remark").fill("Land is covered at both stops; the export permit is asked for with the list.")
    main_of(page).get_by_role("button", name=re.compile("^Sign off")).last.click()
    expect(page.locator("#signed")).to_contain_text("Ingrid Holmqvist signed on 2 March 2027")
    page.reload()  # without what was said of the last step
    story.picture(page, upto=page.locator("#signed"), highest=860)
