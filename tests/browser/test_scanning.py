"""An hour at the scan page in a browser: keys that end with Enter, no mouse, a connection that drops, a page that is
loaded again in the middle, a session that ends, a camera, no script. What this cannot show: a real reader, and whether
the sounds are pleasant."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import PASSWORD, TABLET, Opened, Server

OPEN = "closed_at IS NULL AND answered_at IS NULL"


def rows(server: Server, sql: str, *values: object) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(server.database)) as connection:
        return connection.execute(sql, values).fetchall()


@pytest.fixture
def desk(server: Server) -> int:
    """An open request of the demo."""
    return server.key("usedesk_userequest", OPEN)


@pytest.fixture
def numbers(server: Server, desk: int) -> list[str]:
    """Catalogue numbers that are not in its basket."""
    found = rows(
        server,
        "SELECT catalog_number FROM material_specimen WHERE catalog_number LIKE 'LMN-%' AND id NOT IN "
        "(SELECT specimen_id FROM usedesk_requestitem WHERE request_id = ?) ORDER BY id LIMIT 8",
        desk,
    )
    return [str(number) for (number,) in found]


def go(page: Page, server: Server, desk: int) -> None:
    """The page is there, and so is the focus: a browser gives it only when it draws, after the page is loaded."""
    page.goto(f"{server.address}/desk/requests/{desk}/scan/")
    expect(page.get_by_label("Barcode or number")).to_be_focused()


def read(page: Page, *codes: str, end: str = "Enter") -> None:
    """As a reader does that types like a keyboard: into whatever has the focus."""
    for code in codes:
        page.keyboard.type(code)
        page.keyboard.press(end)


def in_basket(server: Server, desk: int) -> list[str]:
    sql = (
        "SELECT catalog_number FROM usedesk_requestitem i JOIN material_specimen s ON s.id = i.specimen_id "
        "WHERE request_id = ? ORDER BY i.id"
    )
    return [str(number) for (number,) in rows(server, sql, desk)]


def all_sent(page: Page) -> None:
    """Longer than the longest pause of the page between two trials (LONGEST_WAIT in scan_queue.js)."""
    expect(page.locator("[data-queue]")).to_have_text("All sent", timeout=45_000)


def test_an_hour_without_the_mouse(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    go(page, server, desk)
    before = in_basket(server, desk)
    field = page.get_by_label("Barcode or number")

    read(page, numbers[0], f"]C1{numbers[1]}")
    read(page, f"https://id.lindmark.example/{numbers[2]}", end="Tab")
    all_sent(page)
    assert in_basket(server, desk) == [*before, *numbers[:3]]
    expect(field).to_be_focused()
    expect(page.locator("[data-big]")).to_contain_text(numbers[2])
    expect(page.get_by_role("status").filter(has_text=f"{numbers[2]}.")).to_have_count(1)

    read(page, numbers[0])
    expect(page.locator("[data-big]")).to_contain_text("Was in the basket already.")
    read(page, "LMN-NOT-THERE")
    expect(page.locator("[data-big]")).to_contain_text("No specimen has this number.")
    waiting = page.get_by_role("region", name="Wait for a person")
    expect(waiting.get_by_role("listitem").filter(has_text="LMN-NOT-THERE")).to_have_count(1)
    expect(page.locator(".answer")).to_contain_text("1 code waits for a person.")

    page.keyboard.type("half a co")
    page.keyboard.press("Escape")
    expect(field).to_have_value("")

    page.keyboard.press("Control+z")  # the unknown one
    expect(waiting.get_by_role("listitem")).to_have_count(0)
    read(page, "UNDO", "undo")  # the second reading of the first, then the third number
    all_sent(page)
    assert in_basket(server, desk) == [*before, *numbers[:2]]
    expect(page.locator("[data-big]")).to_contain_text("Taken out again.")


def test_reload_and_lost_connection_lose_nothing(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    """The connection drops, reading goes on, the page is loaded again before it is back: all is there, once."""
    page = opened("volunteer")
    go(page, server, desk)
    before = in_basket(server, desk)
    read(page, numbers[0])
    all_sent(page)

    page.route("**/scan/codes/", lambda route: route.abort("connectionreset"))
    read(page, numbers[1], numbers[2], "LMN-NOT-THERE", numbers[1])
    expect(page.locator("[data-queue]")).to_have_text("4 waiting to be sent")
    expect(page.get_by_role("alert")).to_contain_text("The connection is lost.")
    page.reload()
    expect(page.locator("[data-queue]")).to_have_text("4 waiting to be sent")
    expect(page.locator("[data-rows]")).to_contain_text(numbers[2])
    expect(page.get_by_label("Barcode or number")).to_be_focused()
    read(page, numbers[3])
    page.unroute("**/scan/codes/")
    page.evaluate("dispatchEvent(new Event('online'))")
    all_sent(page)
    expect(page.get_by_role("alert")).to_be_hidden()
    assert in_basket(server, desk) == [*before, *numbers[:4]]
    lines = rows(server, "SELECT code, outcome FROM usedesk_scanline WHERE request_id = ? ORDER BY id", desk)
    assert lines[-6:] == [
        (numbers[0], "added"), (numbers[1], "added"), (numbers[2], "added"), ("LMN-NOT-THERE", "unknown"),
        (numbers[1], "already-in"), (numbers[3], "added"),
    ]  # fmt: skip


def test_offline_without_a_reload(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    go(page, server, desk)
    before = in_basket(server, desk)
    page.context.set_offline(True)
    read(page, *numbers[:3])
    page.keyboard.press("Control+z")
    expect(page.locator("[data-queue]")).to_have_text("4 waiting to be sent")
    page.context.set_offline(False)
    all_sent(page)
    assert in_basket(server, desk) == [*before, *numbers[:2]]


def test_answer_that_is_lost_on_its_way_counts_once(
    opened: Opened, server: Server, desk: int, numbers: list[str]
) -> None:
    """The server took the code, and the page never heard of it."""
    page = opened("volunteer")
    go(page, server, desk)
    before = in_basket(server, desk)
    taken: list[int] = []

    def swallow(route: Route) -> None:
        if taken:
            route.continue_()
            return
        taken.append(route.fetch().status)
        route.abort("connectionreset")

    page.route("**/scan/codes/", swallow)
    read(page, numbers[0])
    all_sent(page)
    assert taken == [200]
    assert in_basket(server, desk) == [*before, numbers[0]]
    expect(page.locator("[data-big]")).to_contain_text("In the basket now.")
    lines = rows(server, "SELECT count(*) FROM usedesk_scanline WHERE code = ?", numbers[0])
    assert lines == [(1,)]


def test_session_that_ends_keeps_the_codes(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    go(page, server, desk)
    before = in_basket(server, desk)
    with closing(sqlite3.connect(server.database)) as connection:
        connection.execute("DELETE FROM django_session")
        connection.commit()
    read(page, *numbers[:2])
    expect(page.get_by_role("alert")).to_contain_text("You are signed out.")
    expect(page.locator("[data-queue]")).to_have_text("2 waiting to be sent")
    page.get_by_role("link", name="Sign in again").click()
    page.get_by_label("Name", exact=False).first.fill("maja.lind")
    page.get_by_label("Password", exact=False).first.fill(PASSWORD)
    page.keyboard.press("Enter")
    all_sent(page)
    assert in_basket(server, desk) == [*before, *numbers[:2]]


def test_codes_do_not_go_under_another_name(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    go(page, server, desk)
    page.route("**/scan/codes/", lambda route: route.abort("connectionreset"))
    read(page, numbers[0])
    expect(page.locator("[data-queue]")).to_have_text("1 waiting to be sent")
    page.goto("about:blank")  # else it tries again meanwhile, and is answered with a cookie that is not of the form
    page.context.clear_cookies()
    page.unroute("**/scan/codes/")
    page.goto(f"{server.address}/sign-in/?next=/desk/requests/{desk}/scan/")
    page.get_by_label("Name", exact=False).first.fill("jon.ek")
    page.get_by_label("Password", exact=False).first.fill(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_text("1 code that somebody else read waits in this browser.")).to_be_visible()
    assert numbers[0] not in in_basket(server, desk)


def test_reader_finds_the_field_wherever_the_focus_is(
    opened: Opened, server: Server, desk: int, numbers: list[str]
) -> None:
    page = opened("volunteer", size=TABLET)
    go(page, server, desk)
    page.get_by_label("Sounds").focus()
    read(page, numbers[0])
    all_sent(page)
    page.get_by_role("link", name="Basket").focus()
    read(page, numbers[1])
    all_sent(page)
    assert in_basket(server, desk)[-2:] == numbers[:2]
    page.keyboard.press("Tab")  # an empty field lets the tabulator go on
    expect(page.get_by_role("button", name="Add", exact=True)).to_be_focused()


def test_lines_pasted_into_the_field(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    go(page, server, desk)
    page.evaluate(
        """(text) => { const data = new DataTransfer(); data.setData("text", text);
        document.activeElement.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true })); }""",
        "\r\n".join(numbers[:3]),
    )
    all_sent(page)
    assert in_basket(server, desk)[-3:] == numbers[:3]


def test_sounds_differ_and_can_be_muted(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer")
    page.add_init_script(
        """window.heard = []; const made = AudioContext.prototype.createOscillator;
        AudioContext.prototype.createOscillator = function () { const one = made.call(this);
          const start = one.start; one.start = function (at) { heard.push(one.frequency.value); start.call(one, at); };
          return one; };"""
    )
    go(page, server, desk)
    heard = []
    for code in (numbers[0], numbers[0], "LMN-NOT-THERE"):
        read(page, code)
        all_sent(page)
        heard.append(tuple(page.evaluate("heard.splice(0)")))
    assert all(heard) and len(set(heard)) == 3
    page.get_by_label("Sounds").press("Space")
    read(page, numbers[1])
    all_sent(page)
    assert page.evaluate("heard") == []
    page.reload()
    expect(page.get_by_label("Sounds")).not_to_be_checked()


def test_camera_only_where_the_browser_reads_codes(
    opened: Opened, server: Server, desk: int, numbers: list[str]
) -> None:
    """With a stand-in for the reader and the camera of the browser: what is wired to what, and that a code before the
    camera counts once."""
    page = opened("volunteer")
    page.add_init_script("delete window.BarcodeDetector;")
    go(page, server, desk)
    expect(page.get_by_role("button", name="Read with the camera")).to_be_hidden()
    page.add_init_script(
        f"""window.BarcodeDetector = class {{
          static async getSupportedFormats() {{ return ["code_128", "ean_13"]; }}
          constructor({{ formats }}) {{ window.formats = formats; }}
          async detect() {{ return [{{ rawValue: "{numbers[0]}" }}]; }} }};
        navigator.mediaDevices.getUserMedia = async () => document.createElement("canvas").captureStream();
        HTMLMediaElement.prototype.play = async () => {{}};"""
    )
    page.reload()
    camera = page.get_by_role("button", name="Read with the camera")
    camera.click()
    expect(camera).to_have_attribute("aria-pressed", "true")
    all_sent(page)
    expect(page.locator("[data-big]")).to_contain_text(numbers[0])
    page.wait_for_timeout(900)  # three more looks of the camera at the same code
    all_sent(page)
    assert page.evaluate("formats") == ["code_128"]
    assert rows(server, "SELECT count(*) FROM usedesk_scanline WHERE code = ?", numbers[0]) == [(1,)]
    camera.click()
    expect(camera).to_have_attribute("aria-pressed", "false")
    expect(page.get_by_label("Picture of the camera")).to_be_hidden()


def test_without_script(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    page = opened("volunteer", script=False)
    go(page, server, desk)
    before = in_basket(server, desk)
    for code in (numbers[0], numbers[1], "LMN-NOT-THERE"):
        with page.expect_navigation():  # without script the page comes anew, and only then takes the next code
            read(page, code)
        expect(page.get_by_label("Barcode or number")).to_be_focused()
    assert in_basket(server, desk) == [*before, *numbers[:2]]
    last = page.get_by_role("region", name="Read last").get_by_role("listitem")
    expect(last.nth(0)).to_contain_text("LMN-NOT-THERE")
    expect(last.nth(1)).to_contain_text(numbers[1])
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile(f"Take out {numbers[1]}")).first.click()
    assert in_basket(server, desk) == [*before, numbers[0]]
    expect(page.get_by_label("Barcode or number")).to_be_focused()
    with page.expect_navigation():
        read(page, "UNDO")
    expect(page.get_by_role("region", name="Wait for a person").get_by_role("listitem")).to_have_count(0)


def test_list_and_selection(opened: Opened, server: Server, desk: int, numbers: list[str]) -> None:
    """From the list of specimens into a request, and out again with a way back."""
    page = opened("curator")
    page.goto(f"{server.address}/specimens/?q={numbers[0]}&kind=")
    page.get_by_role("link", name="Ask the desk about this one").click()
    page.get_by_role("row").filter(has=page.locator(f"a[href='/desk/requests/{desk}/']")).get_by_role(
        "link", name="Put them in"
    ).click()
    page.get_by_role("button", name="Put 1 specimen in").click()
    expect(page.get_by_role("status").filter(has_text="1 specimen is in")).to_be_visible()
    page.goto(f"{server.address}/desk/requests/{desk}/specimens/?q={numbers[0]}")
    page.get_by_label(f"Select {numbers[0]}").check()
    page.get_by_role("button", name="Remove from the request").click()
    page.get_by_role("button", name="Remove 1 specimen").click()
    back = page.get_by_role("button", name="Put back what was removed")
    expect(back).to_be_visible()
    assert numbers[0] not in in_basket(server, desk)
    with page.expect_navigation():
        back.click()
    assert numbers[0] in in_basket(server, desk)


_AS_A_READER = """code => { for (const key of [...code, "Enter"]) document.activeElement.dispatchEvent(
    new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })) }"""
"""Keys without a pause between them, as no hand types and no busy machine can slow down."""


def test_a_label_is_read_wherever_the_hand_was(opened: Opened, server: Server) -> None:
    """No field has the focus: the label is looked for. In the number of a label that is typed, it leads to the name,
    since Enter would enter a specimen that has nothing but its number."""
    page = opened("volunteer")
    page.goto(f"{server.address}/accessions/")
    page.evaluate(_AS_A_READER, "]C1LMN-FW-0241873")
    expect(page.get_by_role("heading", level=1)).to_contain_text("LMN-FW-0241873")

    accession = server.key("material_accession", "number = 'LMN-2024-038'")
    page.goto(f"{server.address}/accessions/{accession}/labels/")
    expect(page.get_by_label("Catalogue number")).to_be_focused()
    page.evaluate(_AS_A_READER, "LMN-FW-0777777")
    expect(page.get_by_label("Name", exact=True)).to_be_focused()
