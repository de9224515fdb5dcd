"""Measures how soon the first page of a long scan is seen after its upload, and how long all thumbnails take.

    uv run python -m tests.bench.run_first_page
    uv run python -m tests.bench.run_first_page --pages 300 --turns 9

Two PDFs: one of text, one of photographed pages (A4 at 200 dots an inch, in colour, noisy as paper is). Each turn is a
fresh interpreter with an empty register. Timed are the receipt (hash, check in a process of its own, store, row), the
first page as a browser asks for it (900 pixels wide; through the whole stack of Django but for the socket, drawn in a
process of its own, nothing kept from before), the same page asked again, and the thumbnails of all pages. Processor
time of the first page, its process included, is told beside it: other work on the machine changes it little.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import resource
import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from .measure import in_child, machine, table, tell, timed

PACKAGES = ("django", "pypdfium2", "pillow", "pypdf")
TARGET_S = 1.0
STEPS = ("receipt", "first page", "again", "thumbnails")


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pages", type=int, default=60)
    parser.add_argument("--files", nargs="+", choices=sorted(MADE), default=list(MADE))
    parser.add_argument("--turns", type=int, default=5)
    parser.add_argument("--out", type=Path, help="write the table to this file too")
    return parser.parse_args()


def text_pdf(pages: int, path: Path) -> None:
    """Pages full of lines, as a word processor makes them."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), pagesize=(595, 842))
    for page in range(1, pages + 1):
        for line in range(45):
            canvas.drawString(60, 790 - 16 * line, f"Page {page} of {pages}, line {line}: parcels 12, 13 and 17")
        canvas.showPage()
    canvas.save()


def photographed_pdf(pages: int, path: Path) -> None:
    """One noisy picture a page, as a scanner in colour makes them."""
    from PIL import Image, ImageDraw
    from reportlab.lib.utils import ImageReader
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), pagesize=(595, 842))
    paper = Image.merge("RGB", [Image.effect_noise((1654, 2339), 18).point(lambda v: min(255, v + 105))] * 3)
    for page in range(1, pages + 1):
        sheet = paper.rotate(180) if page % 2 else paper.copy()
        draw = ImageDraw.Draw(sheet)
        for line in range(60):
            draw.text((160, 180 + 34 * line), f"Page {page} of {pages}, line {line}: parcels 12, 13", fill=(30, 30, 60))
        file = io.BytesIO()
        sheet.save(file, "JPEG", quality=75)
        canvas.drawImage(ImageReader(file), 0, 0, 595, 842)
        canvas.showPage()
    canvas.save()


MADE = {"text": text_pdf, "photographed": photographed_pdf}


def set_up(folder: Path) -> None:
    """Django for the register in a folder."""
    os.environ |= {
        "DATABASE_URL": f"sqlite:///{folder / 'bench.sqlite3'}", "FIELDWRIT_FILES": str(folder / "files"),
        "DJANGO_SETTINGS_MODULE": "governance.config.settings", "FIELDWRIT_SECRET_KEY": "b" * 60,
        "FIELDWRIT_WORKER": "separate",
    }  # fmt: skip
    import django

    django.setup()


def prepare(folder: Path) -> None:
    """An empty register in a folder: made once, copied for each turn."""
    set_up(folder)
    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def turn(pdf: Path) -> dict[str, float]:
    """Seconds of each of ``STEPS``, in this interpreter."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(pdf.parent / "bench.sqlite3", folder)
        set_up(Path(folder))
        from django.test import Client
        from django.urls import reverse

        from accessions.people.models import User
        from governance.scans.actions.receiving import receive
        from governance.scans.drawing.pictures import draw_thumbnails

        by = User.objects.create_user("bench", role="curator")
        client = Client(SERVER_NAME="localhost")
        client.force_login(by)
        client.get(reverse("people:account"))  # a server that answers already: its modules are loaded
        received, receipt = timed(lambda: receive(data=pdf, name=pdf.name, by=by))
        scan = received.scan
        address = reverse("scans:page-image", args=[scan.pk, 1])
        worked = processor_s()
        first, seen = timed(lambda: client.get(address))
        worked = processor_s() - worked
        assert first.status_code == 200 and first["Cache-Control"] == "private, max-age=600", "the page was not drawn"
        _, again = timed(lambda: client.get(address))
        drawn, thumbnails = timed(lambda: draw_thumbnails(scan.pk))
        assert drawn == scan.page_count
        took = (receipt.seconds, seen.seconds, again.seconds, thumbnails.seconds)
        return {"processor": worked} | dict(zip(STEPS, took, strict=True))


def processor_s() -> float:
    """Processor time of this process and of those that it has started and that are over."""
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def row(name: str, pages: int, turns: int) -> list[str]:
    """A line of the table: medians, and the slowest first page."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / f"{name}.pdf"
        MADE[name](pages, pdf)
        in_child(__spec__.name, "--prepare", folder)
        size_mb = pdf.stat().st_size / 1e6
        took: list[dict[str, Any]] = [in_child(__spec__.name, "--turn", pdf) for _ in range(turns)]
    medians = {step: statistics.median(one[step] for one in took) for step in STEPS}
    slowest = max(one["first page"] for one in took)
    sum_slowest = max(one["receipt"] + one["first page"] for one in took)
    return [
        f"{name}, {pages} pages, {size_mb:.2f} MB", f"{medians['receipt']:.2f}",
        f"{medians['first page']:.2f} (slowest {slowest:.2f})", 
        f"{statistics.median(one['processor'] for one in took):.2f}", f"{sum_slowest:.2f}", f"{medians['again']:.3f}",
        f"{medians['thumbnails']:.1f}", "yes" if slowest < TARGET_S else "NO",
    ]  # fmt: skip


def main() -> None:
    if sys.argv[1:2] == ["--turn"]:
        print(json.dumps(turn(Path(sys.argv[2]))))
        return
    if sys.argv[1:2] == ["--prepare"]:
        prepare(Path(sys.argv[2]))
        print("{}")
        return
    asked = arguments()
    heads = ["file", "receipt, s", "first page, s", "its processor time, s", "both, slowest, s", "again, s",
             "all thumbnails, s", f"first page under {TARGET_S:g} s"]  # fmt: skip
    rows = [row(name, asked.pages, asked.turns) for name in asked.files]
    tell([machine(*PACKAGES), f"Medians of {asked.turns} turns.", table(heads, rows)], asked.out)


if __name__ == "__main__":
    main()
