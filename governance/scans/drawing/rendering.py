"""Draws pages; runs in a process of its own, since what it opens comes from strangers. No script of a file is ever run.

A PDF is drawn by PDFium (the build has no JavaScript engine): its pages with what is filled into form fields and with
its notes, as they would be printed. Images are opened by Pillow, only as the type that their content has, turned as the
camera said, and drawn anew without anything that stood beside the picture (place, device, profile).
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import closing
from typing import Any, BinaryIO, Final

import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image, ImageChops, ImageOps

from governance.scans.drawing.sizes import fitted

PDF: Final = "application/pdf"
IMAGE_FORMATS: Final = {
    "image/jpeg": "JPEG", "image/png": "PNG", "image/tiff": "TIFF", "image/heic": "HEIF", "image/heif": "HEIF",
}  # fmt: skip
"""What can be drawn beside PDF: the type of the content, and what Pillow calls it."""

MOST_PIXELS: Final = 250_000_000
"""An image with more is not unpacked. A0 at 400 dots an inch has 246 million."""

Drawn = tuple[int, bytes | str]
"""The number of a page, and its picture, or in words why there is none."""


def drawn_pages(file: BinaryIO, media_type: str, pages: Sequence[int], width: int) -> Iterator[Drawn]:
    """The pictures of some pages, one after the other, as PNG. A page that fails does not stop the others.

    pages: numbers from 1, in ascending order.
    """
    if media_type == PDF:
        yield from _of_pdf(file, pages, width)
    else:
        yield from _of_image(file, IMAGE_FORMATS[media_type], pages, width)


def _of_pdf(file: BinaryIO, pages: Sequence[int], width: int) -> Iterator[Drawn]:
    with closing(pypdfium2.PdfDocument(file)) as document:
        for number in pages:
            try:
                yield number, _png(_pdf_page(document, number, width))
            except (pypdfium2.PdfiumError, ValueError, IndexError, MemoryError, OSError) as error:
                yield number, _words(error)


def _pdf_page(document: Any, number: int, width: int) -> Image.Image:
    _merge_form_values(document, number)
    with closing(document[number - 1]) as page:
        page_width, page_height = page.get_size()
        size = fitted(page_width, page_height, width, enlarge=True)
        with closing(pypdfium2.PdfBitmap.new_native(*size, pdfium.FPDFBitmap_BGR)) as bitmap:
            bitmap.fill_rect((255, 255, 255, 255), 0, 0, *size)
            # Not the library's own way to draw: its sides come out a pixel longer or shorter than asked.
            pdfium.FPDF_RenderPageBitmap(bitmap, page, 0, 0, *size, 0, pdfium.FPDF_ANNOT)
            picture: Image.Image = bitmap.to_pil().copy()  # its own pixels: those of the bitmap end with it
            return picture


def _merge_form_values(document: Any, number: int) -> None:
    """Make what stands in form fields part of the page, in memory: a filled form would else look empty."""
    with closing(document[number - 1]) as page:
        pdfium.FPDFPage_Flatten(page, pdfium.FLAT_NORMALDISPLAY)


def _of_image(file: BinaryIO, kind: str, pages: Sequence[int], width: int) -> Iterator[Drawn]:
    if kind == "HEIF":
        import pillow_heif  # only where it is needed: it takes its time

        pillow_heif.register_heif_opener()
    Image.MAX_IMAGE_PIXELS = None  # bounded below, frame by frame
    with Image.open(file, formats=[kind]) as image:
        for number in pages:
            try:
                image.seek(number - 1)
                yield number, _png(_image_page(image, width))
            except (ValueError, EOFError, OSError, MemoryError, SyntaxError) as error:
                yield number, _words(error)


def _image_page(image: Image.Image, width: int) -> Image.Image:
    if image.width * image.height > MOST_PIXELS:
        raise ValueError(f"{image.width} by {image.height} pixels are too many to be unpacked")
    image.draft("RGB", (width, width))  # a JPEG is unpacked no larger than needed
    upright = ImageOps.exif_transpose(image)
    size = fitted(upright.width, upright.height, width, enlarge=False)
    return _plain(upright).resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _plain(image: Image.Image) -> Image.Image:
    """The image in grey or in colour, on white paper, whatever it was kept in."""
    if image.mode.startswith(("I", "F")):  # 16 bits of grey a pixel
        return image.point(lambda value: value * (1 / 256)).convert("L")
    if image.has_transparency_data:
        clear = image.convert("RGBA")
        paper = Image.new("RGBA", clear.size, "white")
        return Image.alpha_composite(paper, clear).convert("RGB")
    return image.convert("L" if image.mode in ("1", "L") else "RGB")


def _png(picture: Image.Image) -> bytes:
    """The picture alone: what stood beside it in the file does not go along. Grey where there is no colour: a page of
    text is a twentieth of the size then."""
    clean = picture.convert("L") if _is_grey(picture) else picture
    clean.info.clear()
    out = io.BytesIO()
    clean.save(out, "PNG", compress_level=6 if clean.mode == "L" else 4)
    return out.getvalue()


def _is_grey(picture: Image.Image) -> bool:
    if picture.mode != "RGB":
        return False
    red, green, blue = picture.split()
    return ImageChops.difference(red, green).getbbox() is None and ImageChops.difference(green, blue).getbbox() is None


def _words(error: BaseException) -> str:
    return f"{type(error).__name__}: {error}".replace("\n", " ")[:300]
