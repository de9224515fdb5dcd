"""Pages of which the words and their places are known, as text and as pictures of scanners. Everything is invented."""

from __future__ import annotations

import io
import random
from collections.abc import Sequence

from PIL import Image, ImageFilter
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

PERMIT = """Ministry of Forests and Waters of the Province of Orvane
COLLECTING PERMIT
Permit No.: LND-2024-117
Holder: Lindmark Museum of Natural History, Sundvik
Valid from 3 June 2024 until 18 June 2024
Species: Calopteryx splendens, Gomphus vulgatissimus
Maximum number of specimens: 40 of each species
Place: river Nazvri between the upper bridge and the mill
1. The holder shall inform the office of every change of the route.
2. No specimen may be taken within 500 m of the monastery.
3. Duplicates shall be left with the regional collection.
4. A report is due within 60 days after the last day of collecting.
Page 2 of 5"""
"""One page of an invented permit."""

FIELDS = (
    "LND-2024-117", "3 June 2024", "18 June 2024", "Calopteryx splendens", "Gomphus vulgatissimus", "Lindmark Museum",
    "500 m", "60 days", "40 of each", "Page 2 of 5",
)  # fmt: skip
"""What of it a form would be offered."""

FIRST_LINE_PT, LINE_PT, LEFT_PT, FONT_PT = 740, 24, 72, 12


def page_pdf(text: str = PERMIT, rotation: int = 0, crop: tuple[float, float, float, float] | None = None) -> bytes:
    """A page of A4 (595.3 by 841.9 points), its lines from ``FIRST_LINE_PT`` above the foot downwards."""
    file = io.BytesIO()
    drawn = Canvas(file, pagesize=A4, invariant=1)
    if rotation:
        drawn.setPageRotation(rotation)
    if crop:
        drawn.setCropBox(crop)
    drawn.setFont("Helvetica", FONT_PT)
    for row, line in enumerate(text.splitlines()):
        drawn.drawString(LEFT_PT, FIRST_LINE_PT - LINE_PT * row, line)
    drawn.showPage()
    drawn.save()
    return file.getvalue()


def picture(text: str = PERMIT, *, dots_an_inch: int = 200, skew_deg: float = 0, noise: bool = False) -> Image.Image:
    """The same page as a scanner gives it: grey, askew counter-clockwise, blurred and with specks."""
    import pypdfium2

    document = pypdfium2.PdfDocument(page_pdf(text))
    page = document[0].render(scale=dots_an_inch / 72, grayscale=True).to_pil().convert("L")
    document.close()
    if skew_deg:
        page = page.rotate(skew_deg, resample=Image.Resampling.BICUBIC, fillcolor=255)
    return _noisy(page) if noise else page


def _noisy(page: Image.Image) -> Image.Image:
    chance = random.Random(117)
    noise = Image.frombytes("L", page.size, chance.randbytes(page.width * page.height))
    grey = Image.blend(page.filter(ImageFilter.GaussianBlur(0.6)), noise, 0.15)
    specks = noise.point(lambda value: 255 if value < 2 else 0)
    grey.paste(0, mask=specks)
    return grey


def picture_pdf(pages: Sequence[Image.Image]) -> bytes:
    """A PDF that holds pictures alone."""
    file = io.BytesIO()
    pages[0].save(file, "PDF", save_all=True, append_images=list(pages[1:]), resolution=200)
    return file.getvalue()


def picture_file(page: Image.Image, form: str = "PNG") -> bytes:
    file = io.BytesIO()
    page.save(file, form)
    return file.getvalue()
