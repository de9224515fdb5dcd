"""Makes the pictures of the README from the demo: ``uv run .ci/pictures.py``. Needs Chromium, and takes a minute."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import yaml
from playwright.sync_api import Page, sync_playwright

PROJECT = Path(__file__).resolve().parent.parent
DOCS = PROJECT / "governance" / "docs"
PORT = 8765
ADDRESS = f"http://127.0.0.1:{PORT}"
REGISTRAR = "tomas.berglind"
PICTURES = {"register.png": "/specimens/?verdict=outside", "specimen.png": "/specimens/?q=LMN-FW-0241873"}
"""Name of the picture, and the page that it shows."""


@contextmanager
def demo() -> Iterator[None]:
    """The whole demo, made in a folder that goes away, and served."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3"}
        command = [sys.executable, "manage.py", "demo", "--port", str(PORT)]
        served = subprocess.Popen(command, cwd=PROJECT, env=environment)
        try:
            _wait(served)
            yield
        finally:
            served.terminate()
            served.wait()


def _wait(served: subprocess.Popen[bytes]) -> None:
    while served.poll() is None:
        try:
            urllib.request.urlopen(f"{ADDRESS}/sign-in/", timeout=5).close()
            return
        except OSError:
            time.sleep(1)
    sys.exit("the demo ended before it was served")


def sign_in(page: Page) -> None:
    password = yaml.safe_load((PROJECT / "fixtures" / "lindmark_register.yaml").read_text("utf-8"))["password"]
    page.goto(f"{ADDRESS}/sign-in/")
    page.get_by_label("Name").first.fill(REGISTRAR)
    page.get_by_label("Password").first.fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{ADDRESS}/")


def main() -> None:
    chromium = shutil.which("chromium") or sys.exit("no Chromium: apt-get install chromium")
    with demo(), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        sign_in(page)
        for name, path in PICTURES.items():
            page.goto(ADDRESS + path)
            page.screenshot(path=DOCS / name)
            print(f"Written: {DOCS / name}")
        browser.close()


if __name__ == "__main__":
    main()
