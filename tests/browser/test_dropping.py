"""Files dropped on an accession and said which paper they are, in a browser: also when the connection breaks, without
script, and by the keyboard alone. What this cannot show: a real drag from a file manager, and a real camera."""

from __future__ import annotations

import base64
import hashlib
import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, field

from playwright.sync_api import Locator, Page, Route, expect

from tests.browser.conftest import Opened, Server
from tests.factories import scans

PIECE = 4 * 1024 * 1024
"""As drop.js sends it."""

LONG = ("Letter of the ministry, read aloud. " * 3 + "\n").encode() * 90_000
"""About 9.8 MB of text: three pieces."""


def sent(name: str, content: bytes, kind: str = "application/pdf") -> dict[str, object]:
    return {"name": name, "mimeType": kind, "buffer": content}


THREE = [
    sent("consent.pdf", scans.pdf(2)),
    sent("torn.pdf", scans.pdf(3)[:400]),
    sent("label.png", scans.png(), "image/png"),
]


def accession(page: Page, server: Server) -> None:
    key = server.key("material_accession", "number = 'LMN-2024-038'")
    page.goto(f"{server.address}/accessions/{key}/")


def drop(page: Page, files: Sequence[dict[str, object]]) -> None:
    """What a browser sends a page when files are let go over it."""
    told = [[f["name"], f["mimeType"], base64.b64encode(f["buffer"]).decode()] for f in files]  # type: ignore[arg-type]
    data = page.evaluate_handle(
        """(files) => { const data = new DataTransfer();
        for (const [name, type, text] of files)
          data.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name, { type }));
        return data; }""",
        told,
    )
    page.dispatch_event("[data-zone]", "dragover", {"dataTransfer": data})
    expect(page.locator("[data-zone]")).to_have_class(re.compile("is-over"))
    page.dispatch_event("[data-zone]", "drop", {"dataTransfer": data})


def row(page: Page, name: str) -> Locator:
    rows = page.get_by_role("list", name="Files of this drop").get_by_role("listitem")
    return rows.filter(has=page.locator("[data-name]").filter(has_text=re.compile(f"^{re.escape(name)}")))


def filed(page: Page) -> Locator:
    return page.locator("#filed-scans ul.filed").first


def hashes(server: Server) -> set[str]:
    with closing(sqlite3.connect(server.database)) as connection:
        return {value for (value,) in connection.execute("SELECT sha256 FROM scans_scan")}


@dataclass
class Line:
    """The pieces that went out, and where the connection is cut."""

    cut: int
    times: int
    offsets: list[int] = field(default_factory=list)

    def take(self, route: Route) -> None:
        """Cut the piece that begins there, so many times."""
        request = route.request
        if request.method != "PATCH":
            return route.continue_()
        offset = int(request.headers["upload-offset"])
        self.offsets.append(offset)
        if offset == self.cut and self.times:
            self.times -= 1
            return route.abort("connectionreset")
        return route.continue_()


def test_three_files_of_which_one_is_torn(opened: Opened, server: Server) -> None:
    page = opened("curator")
    accession(page, server)
    drop(page, THREE)
    expect(row(page, "consent.pdf")).to_contain_text("Filed.")
    expect(row(page, "label.png")).to_contain_text("Filed.")
    expect(row(page, "torn.pdf")).to_contain_text(re.compile("end|torn|damaged|broken", re.IGNORECASE))
    expect(page.get_by_role("status").filter(has_text="2 filed, 1 refused.")).to_contain_text("torn.pdf:")
    for name in ("consent.pdf", "label.png"):
        expect(filed(page).get_by_role("link", name=name, exact=True)).to_be_visible()
    expect(filed(page)).not_to_contain_text("torn.pdf")


def test_files_chosen_before_the_script_is_there(opened: Opened, server: Server) -> None:
    """On a slow line the field is there first; what was chosen meanwhile is taken, and not forgotten."""
    page, held = opened("curator"), list[Route]()
    page.route("**/scans/drop*.js", lambda route: held.append(route))
    key = server.key("material_accession", "number = 'LMN-2024-038'")
    with page.expect_request("**/scans/drop*.js"):
        page.goto(f"{server.address}/accessions/{key}/", wait_until="commit")
    page.get_by_label("Choose files").set_input_files([sent("consent.pdf", scans.pdf(2))])  # type: ignore[arg-type]
    expect(row(page, "consent.pdf")).to_have_count(0)
    held[0].continue_()
    expect(row(page, "consent.pdf")).to_contain_text("Filed.")


def test_same_again_and_another_edition(opened: Opened, server: Server) -> None:
    page = opened("curator")
    accession(page, server)
    drop(page, [sent("consent.pdf", scans.pdf(2))])
    expect(row(page, "consent.pdf")).to_contain_text("Filed.")
    page.reload()
    drop(page, [sent("scan0001.pdf", scans.pdf(2)), sent("Consent.pdf", scans.pdf(4))])
    expect(row(page, "scan0001.pdf")).to_contain_text("The same content is filed here already as consent.pdf")
    expect(row(page, "Consent.pdf")).to_contain_text("Filed as edition 2 of Consent.pdf")
    expect(filed(page)).to_contain_text("1 earlier edition")


def test_lost_connection_goes_on_where_it_stopped(opened: Opened, server: Server) -> None:
    page, line = opened("curator"), Line(cut=PIECE, times=99)
    accession(page, server)
    page.route("**/scans/uploads/*/", line.take)
    drop(page, [sent("letter.txt", LONG, "text/plain")])
    expect(row(page, "letter.txt")).to_contain_text(re.compile(r"The connection is lost at 4\.2 MB of 9\.8 MB"))
    line.times = 0  # it is back, and seen to be lost before
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(row(page, "letter.txt")).to_contain_text("Filed.", timeout=40_000)
    tries = line.offsets.count(PIECE)
    assert tries >= 2
    assert line.offsets == [0, *[PIECE] * tries, 2 * PIECE], "nothing that had arrived was sent again"
    assert hashlib.sha256(LONG).hexdigest() in hashes(server)


def test_reload_offers_to_go_on(opened: Opened, server: Server) -> None:
    page, line = opened("curator"), Line(cut=PIECE, times=99)
    accession(page, server)
    page.route("**/scans/uploads/*/", line.take)
    drop(page, [sent("letter.txt", LONG, "text/plain")])
    expect(row(page, "letter.txt")).to_contain_text("The connection is lost")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    expect(page.get_by_text("Not sent to the end before this page was closed: letter.txt.")).to_be_visible()
    assert hashlib.sha256(LONG).hexdigest() not in hashes(server), "half a file is no file"
    line.times, line.offsets = 0, []
    # The same file has the same time of change; a file made anew in the page does not, so that is told, too.
    changed = page.evaluate("Object.keys(JSON.parse(Object.entries(localStorage)[0][1]))[0].split('|')[2]")
    page.evaluate(
        """([text, at]) => { const data = new DataTransfer();
        data.items.add(new File([text], "letter.txt", { type: "text/plain", lastModified: Number(at) }));
        const input = document.querySelector("#drop-files");
        input.files = data.files; input.dispatchEvent(new Event("change", { bubbles: true })); }""",
        [LONG.decode(), changed],
    )
    expect(row(page, "letter.txt")).to_contain_text("Filed.", timeout=40_000)
    assert line.offsets == [PIECE, 2 * PIECE]
    assert hashlib.sha256(LONG).hexdigest() in hashes(server)


def test_pasted_picture_gets_a_name_of_its_own(opened: Opened, server: Server) -> None:
    page = opened("curator")
    accession(page, server)
    page.evaluate(
        """(text) => { const data = new DataTransfer();
        const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
        data.items.add(new File([bytes], "image.png", { type: "image/png" }));
        document.body.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true })); }""",
        base64.b64encode(scans.png()).decode(),
    )
    expect(row(page, "Pasted 20")).to_contain_text("Filed.")


def test_without_script(opened: Opened, server: Server) -> None:
    page = opened("curator", script=False)
    accession(page, server)
    page.get_by_label("Choose files").set_input_files(THREE)  # type: ignore[arg-type]
    page.get_by_label("What they are").select_option(label="Permit, consent or licence")
    page.get_by_label("Where they came from").fill("mail of the ministry")
    page.get_by_role("button", name="File them").click()
    expect(page.get_by_text("2 filed, 1 refused.")).to_be_visible()
    results = page.get_by_role("table", name="What became of each file")
    expect(results.get_by_role("row").filter(has_text="consent.pdf")).to_contain_text("Filed.")
    expect(results.get_by_role("row").filter(has_text="torn.pdf")).to_have_count(1)
    page.get_by_role("link", name="Back to LMN-2024-038").click()
    expect(filed(page)).to_contain_text("mail of the ministry")


def reach(page: Page, target: Locator, most: int = 300) -> None:
    """Press the tabulator until this has the focus."""
    for _press in range(most):
        page.keyboard.press("Tab")
        if target.evaluate("(one) => one === document.activeElement"):
            return
    raise AssertionError(f"{target} was not reached by the keyboard")


def test_by_the_keyboard_alone(opened: Opened, server: Server) -> None:
    """From the accession to a page range of a paper, without a click."""
    page = opened("curator")
    page.on("filechooser", lambda _chooser: None)  # asked for from the start: a key can overtake the asking
    accession(page, server)
    reach(page, page.get_by_label("Choose files"))
    with page.expect_file_chooser() as chooser:
        page.keyboard.press("Enter")
    chooser.value.set_files([sent("permits.pdf", scans.pdf(9))])  # type: ignore[arg-type]
    expect(row(page, "permits.pdf")).to_contain_text("Filed.")
    page.locator("#filed-scans h2").evaluate("(one) => { one.tabIndex = -1; one.focus(); }")
    reach(page, page.get_by_role("link", name="Which papers are in it? permits.pdf"))
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Which pages are which paper?")
    reach(page, page.get_by_label("Paper, row 1"))
    page.keyboard.type("LND-2024-117")
    page.keyboard.press("Escape")  # the list of offers
    for number in ("2", "5"):
        page.keyboard.press("Tab")
        page.keyboard.type(number)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Pages 1, 6 to 9 belong to no paper yet.")).to_be_visible()
