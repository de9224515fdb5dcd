"""Autumn: somebody asks for material, the provider is asked, and what became of it is recorded."""

from __future__ import annotations

import re
from typing import Final

from playwright.sync_api import Locator, Page, expect

from tests.browser.season.arriving import SPECIMENS
from tests.browser.season.telling import Story, chapter, link, main_of, press, says

BORROWER: Final = "Hafnarvík Institute for Lakes (invented), IS"
ASKED: Final = sorted(SPECIMENS)[:3]
"""Three of part A."""


def group(page: Page, word: str) -> Locator:
    return page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=re.compile(f"^{word}")))


@chapter("request", on="2027-09-14", title="Somebody asks for material")
def material_is_asked_for(story: Story) -> None:
    """Maja takes the request down and scans the labels; the desk answers by the papers."""
    page = story.sign_in("maja")
    story.go(page, "/desk/requests/new/")
    page.get_by_role("textbox", name=re.compile("^What is asked")).fill("Stoneflies of the Nazvri, for sequencing")
    page.get_by_role("combobox", name=re.compile("^For")).select_option(label=BORROWER)
    for use in ("Loan abroad", "Sequencing"):
        page.get_by_label(use, exact=True).check()
    page.get_by_label("Goes to").fill("Iceland")
    page.get_by_role("group", name="Commercial").get_by_label("No", exact=True).check()
    page.get_by_role("group", name="For identification only").get_by_label("No", exact=True).check()
    press(page, "Record the request")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Stoneflies of the Nazvri")
    story.keep("request", page)
    link(page, "Scan")
    for code in ASKED:
        expect(page.get_by_role("textbox", name="Barcode or number")).to_be_focused()
        page.keyboard.type(code)
        page.keyboard.press("Enter")
    says(page, f"{len(ASKED)} specimens are in the basket.")
    link(page, "See the answer")
    # Who may study what is in four papers of this year that nobody has read for this yet: that is said, not guessed.
    expect(group(page, "Not known")).to_contain_text("Nobody has read COL-2027-011 for this use yet.")
    story.picture(page)


@chapter("clauses", on="2027-09-16", title="What the papers say of use is read once")
def clauses_are_read(story: Story) -> None:
    """Ingrid reads the four; what is silent is written down as silent, and the desk answers anew by itself."""
    page = story.sign_in("ingrid")
    for reference in ("LND-2027-003", "SIT-2027-002", "EXP-2027-118"):
        _open_terms(story, page, reference)
        _save_the_rest_as_silent(page)
    _open_terms(story, page, "COL-2027-011")
    for use in ("Loan abroad", "Sequencing"):
        _says_that_it_may(page, use)
    story.picture(page, highest=640)
    _save_the_rest_as_silent(page)
    story.go(page, "request")
    # ABS-2024-009, 13.1: genetic work by others needs agreement beforehand; the loan alone would be allowed (11).
    # Consents and papers of the way are silent, and by the house's reading are not heard for this.
    says(page, "None of 3 can go now. 3 wait for an agreement.")
    expect(group(page, "Ask the provider first")).to_contain_text("3")


def _open_terms(story: Story, page: Page, reference: str) -> None:
    story.go(page, "request")
    link(page, f"Read {reference}")
    link(page, "Read the terms of use")


def _save_the_rest_as_silent(page: Page) -> None:
    page.get_by_label("I read the whole text of this version").check()
    page.get_by_label("All uses that are left as “not read yet” are silent").check()
    if page.get_by_label("Reason").count():
        page.get_by_label("Reason").fill("Read from end to end for UR-2027-001")
    press(page, "Save the terms")
    expect(page.get_by_role("status").first).to_be_visible()


def _says_that_it_may(page: Page, use: str) -> None:
    block = page.locator("details.use-block").filter(has=page.locator(".use-name", has_text=re.compile(f"^{use}$")))
    block.locator("summary").first.click()
    block.get_by_label("Allowed", exact=True).check()
    block.get_by_label("Clause, in its words").fill("Use of the material follows the agreement on access.")
    block.get_by_label("Page").first.fill("3")


@chapter("loan", on="2027-10-11", title="The provider agrees, and the loan is recorded")
def loan_is_recorded(story: Story) -> None:
    """Tomas asks under the agreement, writes down the reply, decides, prints the terms and lends."""
    page = story.sign_in("tomas")
    story.go(page, "request")
    _ask_and_hear(page)
    story.go(page, "request")
    says(page, "3 of 3 can go now")
    group(page, "Allowed").first.get_by_role("link", name=re.compile("go$")).first.click()
    page.get_by_label("may go").check()
    press(page, "Decide")
    link(page, "Terms sheet")
    says(page, ASKED[0])
    story.picture(page)
    story.go(page, "request")
    link(page, "Mark as answered")
    press(page, "It was answered")
    link(page, "Record loan of 3")
    press(page, "Record it")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Lent")
    says(page, "3 specimens")
    story.keep("loan", page)


def _ask_and_hear(page: Page) -> None:
    group(page, "Ask the provider first").get_by_role("link", name="Ask under ABS-2024-009").click()
    main_of(page).get_by_role("button", name=re.compile("asked|Record", re.I)).first.click()
    main_of(page).get_by_role("link", name=re.compile("Record the reply")).first.click()
    page.get_by_label("agreed", exact=False).first.check()
    page.get_by_label("The reply in its words").fill("Agreed for one sequence of each; send us the numbers.")
    press(page, "Save the reply")
    says(page, "Agreed for one sequence of each")


@chapter("became", on="2027-11-15", title="A sequence and a publication are recorded")
def sequence_and_publication(story: Story) -> None:
    """Jon hears of both from Hafnarvík; each is one entry, and each says which terms it was under."""
    page = story.sign_in("jon")
    _record_sequences(story, page)
    story.go(page, "/desk/uses/")
    page.locator("summary").filter(has_text="Record something else").click()
    link(page, "Published")
    page.get_by_label("Citation").fill("Aradóttir (2027, invented). Stoneflies of the upper Nazvri.")
    page.get_by_label("DOI").fill("https://doi.org/10.99999/stoneflies.2027.3")
    page.get_by_label(re.compile(r"^On\b")).fill("2027-11-10")
    page.get_by_label("Catalogue numbers").fill("\n".join(ASKED))
    press(page, "Record it")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Published")
    story.go(page, "specimen")
    link(page, "All 3 entries")
    for word in ("Lent", "Sequenced", "Published"):
        says(page, word)
    story.picture(page)


def _record_sequences(story: Story, page: Page) -> None:
    story.go(page, "request")
    link(page, "Record: Sequenced")
    page.get_by_label(re.compile(r"^On\b")).fill("2027-10-29")
    press(page, "Record it")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Sequenced")
    link(page, "Sequences")
    page.get_by_label("Catalogue number, accession number, marker").fill(
        "\n".join(f"{one};OZ99900{n};COI-5P" for n, one in enumerate(ASKED, 1))
    )
    main_of(page).get_by_role("button", name=re.compile("^Save|^Record|^Enter")).first.click()
    says(page, "OZ999001")
