"""Years from now somebody asks: what is known, what was known then, and whether anybody mended it since."""

from __future__ import annotations

import os
import subprocess
import sys

from playwright.sync_api import expect

from tests.browser.conftest import PROJECT, environment
from tests.browser.season.arriving import ACCESSION, MISTYPED
from tests.browser.season.telling import Story, chapter, main_of, press, says


@chapter("audit", on="2027-12-13", title="An auditor asks, and asks again as of then")
def question_is_answered(story: Story) -> None:
    """The corrected day is no finding any more; as known on 5 July it was one, and both are there to be seen."""
    page = story.sign_in("stellan")
    story.go(page, "/audit/")
    main_of(page).get_by_role("link", name="What was collected outside the dates").click()
    expect(page.locator(".answer")).to_contain_text("lie outside the dates")
    expect(main_of(page)).not_to_contain_text(MISTYPED)
    page.get_by_label("As known on").fill("2027-07-05")
    press(page, "Ask")
    says(page, MISTYPED)
    says(page, ACCESSION)
    story.picture(page)


@chapter("seal", on="2027-12-14", title="The seal is checked")
def seal_is_checked(story: Story) -> None:
    """On the page by the auditor, and by the command on the machine that keeps the register."""
    page = story.sign_in("stellan")
    story.go(page, "/audit/seal/")
    press(page, "Check now")
    expect(page.locator(".answer")).to_contain_text("Unbroken since")
    story.picture(page)
    checked = subprocess.run(
        [sys.executable, "manage.py", "verify_seal"],
        cwd=PROJECT, env=os.environ | environment(story.server.database), capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert "All is as it was sealed." in checked.stdout
