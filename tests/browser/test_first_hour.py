"""The first hour of an institution with a spreadsheet and some scans, from an empty register to true verdicts and a
first answer: led by what the pages say is next, by labels and roles alone.

What this cannot show: how long a person thinks. The words of the file and the papers are invented."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser, FilePayload, Page, expect
from reportlab.pdfgen.canvas import Canvas

from tests.browser.conftest import DESK, PATIENCE_MS, PROJECT, Server, environment, serving
from tests.conftest import copy_database

SPREADSHEET = PROJECT / "fixtures" / "first_hour" / "specimens.csv"
PASSWORD = "a quiet shelf of jars"

PAPERS = {
    "V-2025-118": ("Collecting permit", "Sweden", ["County Board of Orsvik", "Permit to collect", "No. V-2025-118",
                   "Valid from 1 June 2025 to 31 August 2025", "Within 5 km of 58.70 N, 14.60 E"]),
    "GE-77-2024": ("Collecting permit", "Georgia", ["Agency of Nature, Khevi", "Permit to collect", "No. GE-77-2024",
                   "Valid from 1 May 2024 to 31 May 2024", "Ground beetles (Carabidae)"]),
    "GE-E-19-2024": ("Export permit", "Georgia", ["Customs Office, Khevi", "Export permit", "No. GE-E-19-2024",
                     "Valid from 10 June 2024 to 10 July 2024"]),
}  # fmt: skip
"""By reference: kind, country, and the words on the scan."""

LAYERS = (
    "Land", "Collecting", "Species", "Protected site", "Access (ABS)", "Export", "Import", "CITES", "Transfer",
)  # fmt: skip


@pytest.fixture
def begun(migrated: Path, tmp_path: Path, ready: subprocess.Popen[str]) -> Iterator[Server]:
    """A register as ``manage.py start`` leaves it, served."""
    empty = tmp_path / "own" / "empty.sqlite3"
    empty.parent.mkdir()
    copy_database(migrated, empty)
    made = subprocess.run(
        [sys.executable, "-m", "tests.quick_manage", "start", "--no-serve", "--name", "Vendel House of Nature",
         "--country", "Sweden", "--full-name", "Asta Vendel", "--user", "asta", "--password-from-env", "WORD"],
        cwd=PROJECT, env=environment(empty) | {"WORD": PASSWORD}, capture_output=True, text=True, timeout=600,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert made.returncode == 0, made.stdout + made.stderr
    (tmp_path / "served").mkdir()
    with serving(empty, tmp_path / "served", ready) as server:
        yield server


@pytest.fixture
def page(browser: Browser, begun: Server) -> Iterator[Page]:
    context = browser.new_context(viewport=DESK)
    opened = context.new_page()
    opened.set_default_timeout(PATIENCE_MS)
    opened.goto(begun.address)
    opened.get_by_label("Name", exact=False).first.fill("asta")
    opened.get_by_label("Password", exact=False).first.fill(PASSWORD)
    opened.get_by_role("button", name="Sign in").click()
    opened.wait_for_url(lambda url: "/sign-in/" not in url)
    yield opened
    context.close()


def scan(words: list[str]) -> bytes:
    content = BytesIO()
    canvas = Canvas(content)
    for line, text in enumerate(words):
        canvas.drawString(70, 760 - 26 * line, text)
    canvas.save()
    return content.getvalue()


def go_on(page: Page, deed: str) -> None:
    """Press what the register says is next: in the line below what was done, or in the panel of Today."""
    page.locator("[aria-current='step'], .next-step").get_by_role("link", name=re.compile(deed)).click()


def answers(page: Page, words: str) -> None:
    expect(page.locator(".answer").first).to_contain_text(words)


def bring_in_the_spreadsheet(page: Page) -> None:
    go_on(page, "Bring in a file")
    page.get_by_label("File", exact=True).set_input_files(SPREADSHEET)
    page.get_by_role("button", name="Read the file").click()
    answers(page, "60 rows, 17 columns. 0 columns are left aside")
    page.get_by_role("button", name="Use these columns").first.click()
    expect(page.get_by_text("32 rows of this column can only be day first")).to_be_visible()
    page.get_by_label("Day first").check()
    page.get_by_role("button", name="Use these dates").click()
    expect(page.get_by_text("Georgia → GE")).to_be_visible()
    page.get_by_role("button", name="Commit the file").click()
    answers(page, "60 rows are new")


def enter_rules(page: Page, required: set[str], unsaid: str = "") -> None:
    page.get_by_label("Source of the rules").fill("Nature Act 2001, § 4")
    for layer in LAYERS:
        if layer != unsaid:
            says = "Required" if layer in required else "Not required"
            page.get_by_role("group", name=layer, exact=True).get_by_label(says, exact=True).check()
    page.get_by_role("button", name="Save the rules").click()


def enter_the_sheets(page: Page) -> None:
    go_on(page, "Enter the rules of Georgia")
    page.get_by_role("button", name="Start the sheet").click()
    enter_rules(page, {"Collecting", "Export"}, unsaid="Access (ABS)")
    go_on(page, "Enter the rules of Sweden")
    page.get_by_role("button", name="Start the sheet").click()
    enter_rules(page, {"Collecting"})


def drop_the_scans(page: Page) -> None:
    go_on(page, "Bring in the scans")
    files: list[FilePayload] = [
        {"name": f"{reference}.pdf", "mimeType": "application/pdf", "buffer": scan(words)}
        for reference, (_kind, _country, words) in PAPERS.items()
    ]
    expect(page.get_by_text("Drop files here, or paste a picture")).to_be_visible()  # the script listens
    page.get_by_label("Choose files").set_input_files(files)
    expect(page.get_by_role("link", name=re.compile("^Register the paper ?: "))).to_have_count(3)
    for _turn in range(60):  # their words are read in the background
        page.reload()
        if page.get_by_role("cell", name="Read", exact=True).count() == len(PAPERS):
            return
        page.wait_for_timeout(250)
    raise AssertionError("the words of the scans were not read")


def register_the_papers(page: Page) -> None:
    for number, (reference, (kind, country, _words)) in enumerate(PAPERS.items()):
        if number:
            go_on(page, "Register what is in the scans")
        page.get_by_role("link", name=re.compile(f"^Register the paper ?: {reference}")).click()
        for said in ("Reference", "Valid from", "Valid to", *(["Taxa"] if reference == "GE-77-2024" else [])):
            offer = page.get_by_role("group", name=said, exact=True)
            offer.get_by_role("button", name=re.compile("^(Take over|Add)")).first.click()
        page.get_by_label("Kind needed").select_option(label=kind)
        page.get_by_label("Country or province").fill(country)
        if reference == "V-2025-118":
            page.get_by_text("Area, or point with a radius").first.click()
            page.get_by_label("Point", exact=True).first.fill("58.70, 14.60")
            page.get_by_label("Radius", exact=True).first.fill("5 km")
        page.get_by_role("button", name="Register the paper").last.click()
        expect(page.locator("h1")).to_contain_text(reference)


def link_the_papers(page: Page) -> None:
    for reference, accession in (
        ("GE-77-2024", "VHN-2024-011"), ("GE-E-19-2024", "VHN-2024-011"), ("V-2025-118", "VHN-2025-003"),
    ):  # fmt: skip
        go_on(page, f"Link {reference}")
        page.get_by_role("checkbox", name=re.compile(accession)).check()
        page.get_by_role("button", name="Link the paper").click()


def test_from_nothing_to_true_verdicts_and_an_answer(page: Page) -> None:
    """30 rows of Sweden: 20 collected between 14 June and 28 July 2025, within 1 km of the point; 6 on 4 September,
    which is 4 days after 31 August (1, 2, 3, 4 September); 4 without a day. 30 of Georgia: 26 between 12 and 20 May
    2024; 4 on 2 June, 2 days after 31 May (1, 2 June). All of Georgia left on 20 June, within the export permit; of
    access to it no rule was entered, so nothing of it is more than not known."""
    answers(page, "The register holds no specimen yet.")
    bring_in_the_spreadsheet(page)
    enter_the_sheets(page)
    drop_the_scans(page)
    register_the_papers(page)
    link_the_papers(page)
    answers(page, "covers 20 specimens of one accession; 6 more were taken after it ended")

    page.get_by_role("link", name="Today").first.click()
    expect(page.locator(".answer")).to_contain_text("40 of 60 specimens need a look.")
    page.wait_for_load_state()
    counts = [" ".join(row.split()) for row in page.locator(".tally li").all_inner_texts()]
    assert [row for row in counts if not re.search(r" 0 0 %$", row)] == [
        "Not required 20 33 %",  # the worst of nine layers of the 20: collecting is covered, the others not required
        "Cannot tell 30 50 %",  # 4 of Sweden without a day, 26 of Georgia
        "Outside terms 10 17 %",  # 6 + 4
    ]
    go_on(page, "Ask: what was collected outside the dates")
    answers(page, "The days of 10 specimens lie outside the dates of their papers, by 2 to 4 days.")
    page.get_by_role("link", name="Save this question").click()
    page.get_by_role("button", name="Save the question").click()
    go_on(page, "Plan a trip")
    page.get_by_label("Title").fill("Beetles of Khevi, May 2027")
    page.get_by_role("button", name="Begin the plan").click()
    page.get_by_role("link", name="Today").first.click()
    expect(page.get_by_role("heading", name="First steps")).to_have_count(0)
    expect(page.get_by_text("Questions you follow")).to_be_visible()
