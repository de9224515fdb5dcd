"""Verdicts are read, and a finding is settled by a fact, not by a decision."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect

from tests.browser.season.arriving import MISTYPED, SPECIMENS
from tests.browser.season.telling import Story, chapter, link, main_of, press, says


def look_up(page: Page, number: str) -> None:
    """By the box at the head of every page, as a scanner does: it types the number and Enter."""
    box = page.get_by_role("banner").get_by_label("Scan a label or search")
    box.fill(number)
    box.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text(number)


def layer(page: Page, name: str) -> Locator:
    """What the strip of a specimen says of a layer."""
    strip = page.get_by_role("list", name="Permission strip: nine layers")
    return strip.get_by_role("listitem").filter(has_text=name).first


@chapter("verdicts", on="2027-07-05", title="What the register says of each specimen")
def verdicts_are_read(story: Story) -> None:
    """Derived by hand from the papers, as the comments say; no other specimen of the trip needs a look."""
    page = story.sign_in("jon")
    for number, (part, *_) in SPECIMENS.items():
        if number == MISTYPED:
            continue
        look_up(page, number)
        # Land: LND-2027-003 for the alders; LND-2027-041, 1 to 30 June, for the spring of 10 June.
        # Collecting: COL-2027-011, 1 March to 17 June. Protected site: SIT-2027-002, from 1 May, west of 43.9132.
        # Access: ABS-2024-009, from 15 May 2024. Export: left on 21 June; EXP-2027-118 holds 15 June to 15 July.
        # Transfer: TRA-2023-009, without an end. Import, CITES and species: the sheet of Georgia asks for none.
        for name in ("Land", "Collecting", "Protected site", "Access (ABS)", "Export", "Transfer"):
            expect(layer(page, name), f"{number} of part {part}").to_contain_text("Covered")
        for name in ("Species", "Import", "CITES"):
            expect(layer(page, name), number).to_contain_text("Not required")
    look_up(page, MISTYPED)
    # "Taken" on 18 June: the permit ended on 17 June, one day before, and the site is closed from 12 to 20 June.
    expect(layer(page, "Collecting")).to_contain_text("Outside terms")
    says(page, "1 day after")
    expect(layer(page, "Protected site")).to_contain_text("Outside terms")
    expect(layer(page, "Land")).to_contain_text("Covered")
    story.keep("specimen", page)
    story.picture(page)


@chapter("settled", on="2027-07-06", title="A finding is settled by the fact")
def finding_is_settled(story: Story) -> None:
    """The field book has 8 June: the date is corrected with the reason, and the verdicts follow by themselves."""
    page = story.sign_in("jon")
    story.go(page, "specimen")
    link(page, "Edit facts")
    link(page, "Change date, place, methods, people")
    page.get_by_label("Date").first.fill("2027-06-08")
    page.get_by_label("Reason").fill("Field book 2027, page 14, has 8 June; 18 was typed.")
    press(page, "Save the event")
    story.go(page, "specimen")
    # 8 June lies before the last day of the permit and before the closed season.
    expect(layer(page, "Collecting")).to_contain_text("Covered")
    expect(layer(page, "Protected site")).to_contain_text("Covered")
    expect(main_of(page)).to_contain_text("Field book 2027, page 14")
    story.picture(page)
