"""The sheet as a DOCX."""

from __future__ import annotations

import io
from datetime import datetime

from governance.papers.printed.blocks import Printed
from governance.papers.printed.docx_writer import DocxWriter


def sheet_docx(printed: Printed, *, made_at: datetime) -> bytes:
    """The file."""
    writer = DocxWriter(printed)
    writer.set_up(made_at)
    for section in printed.sections:
        writer.section(section)
    out = io.BytesIO()
    writer.document.save(out)
    return out.getvalue()
