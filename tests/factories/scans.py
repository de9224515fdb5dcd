"""Scans and contents, made where they are needed. Everything is invented."""

from __future__ import annotations

import hashlib
import io
from typing import Any

from PIL import Image
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from governance.scans.models import Filing, Scan, ScanMark
from governance.scans.store import new_key, store
from tests.factories import register


def pdf(pages: int = 1, text: str = "Permit NC/2024/117", **canvas: Any) -> bytes:
    """A PDF of A4 pages that each say their number and the text; the same bytes for the same arguments."""
    file = io.BytesIO()
    drawn = Canvas(file, pagesize=A4, invariant=1, **canvas)
    for number in range(1, pages + 1):
        drawn.drawString(72, 770, f"Page {number} of {pages}")
        for row, line in enumerate(text.splitlines()):
            drawn.drawString(72, 740 - 16 * row, line)
        drawn.showPage()
    drawn.save()
    return file.getvalue()


def image(form: str = "PNG", size: tuple[int, int] = (60, 40), frames: int = 1, **options: Any) -> bytes:
    """A picture of stripes in one of the formats of Pillow."""
    pictures = [Image.linear_gradient("L").resize(size).convert("RGB").rotate(7 * n) for n in range(frames)]
    file = io.BytesIO()
    if frames > 1:
        options |= {"save_all": True, "append_images": pictures[1:]}
    pictures[0].save(file, form, **options)
    return file.getvalue()


def png(size: tuple[int, int] = (60, 40)) -> bytes:
    return image("PNG", size)


def scan(content: bytes | None = None, *, stored: bool = True, **fields: Any) -> Scan:
    """A scan as it is after receipt; stored: its content is in the store, too. The same content gives the same scan."""
    content = pdf() if content is None else content
    sha256 = hashlib.sha256(content).hexdigest()
    found = Scan.objects.filter(sha256=sha256).first()
    if found:
        return found
    is_pdf = content.startswith(b"%PDF-")
    values: dict[str, Any] = {
        "media_type": "application/pdf" if is_pdf else "image/png",
        "page_count": 1,
        "stored_name": new_key(),
        "original_name": "permit.pdf" if is_pdf else "permit.png",
    } | fields
    if "received_by" not in values:
        values["received_by"] = register.person()
    if stored:
        store().save(values["stored_name"], io.BytesIO(content))
    return Scan.objects.create(sha256=sha256, size_bytes=len(content), **values)


def filing(of: Scan, **place: Any) -> Filing:
    """A scan filed with an accession or a site, with a mark on it: ``filing(scan, accession=...)``."""
    ScanMark.objects.get_or_create(scan=of, kind="illegible", marked_by=of.received_by)
    return Filing.objects.create(scan=of, name=of.original_name, filed_by=of.received_by, **place)
