"""Makes the pictures of the README from the demo: ``uv run .ci/pictures.py``. Needs Chromium, and takes a minute.

With ``--season`` those of governance/docs/season.md, by the test that goes through the season.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import yaml
from playwright.sync_api import Page, sync_playwright

PROJECT = Path(__file__).resolve().parent.parent
DOCS = PROJECT / "governance" / "docs"
REGISTRAR = "tomas.berglind"
PICTURES = {
    "register.png": "/specimens/?verdict=outside",
    "specimen.png": "/specimens/?q=LMN-FW-0241873",
    "field_plan.png": "/plans/1/",  # FP-2027-01, the first that the demo enters
    "use_desk.png": "/desk/requests/3/",  # UR-2026-064, the third that the demo enters
    "report.png": "/reports/6/",  # RP-2026-006, the sixth that the demo enters
    "audit.png": "/audit/questions/outside-dates/",
    "legal_file.png": "/accessions/19/file/",  # LMN-2024-038, the nineteenth that the demo enters
}
"""Name of the picture, and the page that it shows."""


@contextmanager
def demo() -> Iterator[str]:
    """The address of the whole demo, made in a folder that goes away."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3",
            "FIELDWRIT_FILES": f"{folder}/files",
        }
        command = [sys.executable, "manage.py", "demo", "--port", str(port)]
        served = subprocess.Popen(command, cwd=PROJECT, env=environment)
        try:
            _wait(f"http://127.0.0.1:{port}", served)
            yield f"http://127.0.0.1:{port}"
        finally:
            served.terminate()
            served.wait()


def _wait(address: str, served: subprocess.Popen[bytes]) -> None:
    while served.poll() is None:
        try:
            urllib.request.urlopen(f"{address}/sign-in/", timeout=5).close()
            return
        except OSError:
            time.sleep(1)
    sys.exit("the demo ended before it was served")


def sign_in(page: Page, address: str) -> None:
    password = yaml.safe_load((PROJECT / "fixtures" / "lindmark_register.yaml").read_text("utf-8"))["password"]
    page.goto(f"{address}/sign-in/")
    page.get_by_label("Name").first.fill(REGISTRAR)
    page.get_by_label("Password").first.fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}/")


def make_season() -> None:
    """By the test that goes through the season, since only it knows the way; it fails where a page says otherwise."""
    folder = DOCS / "season"
    folder.mkdir(exist_ok=True)
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:randomly",
        "tests/browser/test_season.py",
        "-k",
        "to_the_seal",
    ]
    told = subprocess.run(command, cwd=PROJECT, env=os.environ | {"FIELDWRIT_PICTURES": str(folder)})
    if told.returncode:
        sys.exit("the season was not told to its end: pictures after that chapter are the old ones")
    print(f"Written: {len(list(folder.glob('*.png')))} pictures in {folder}")


def main() -> None:
    if "--season" in sys.argv[1:]:
        make_season()
    else:
        make_readme()


def make_readme() -> None:
    found = map(shutil.which, ("chromium-headless-shell", "chromium"))
    chromium = next(filter(None, found), None) or sys.exit("no Chromium: apt-get install chromium-headless-shell")
    with demo() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        sign_in(page, address)
        for name, path in PICTURES.items():
            page.goto(address + path)
            page.screenshot(path=DOCS / name)
            print(f"Written: {DOCS / name}")
        browser.close()


if __name__ == "__main__":
    main()
