"""A report as a DOCX: for reading and signing."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any, Final

from governance.papers.printed.blocks import MapOf, Printed, Text
from governance.papers.printed.docx_parts import paragraph
from governance.papers.printed.docx_writer import CONTENT_TYPE, DocxWriter
from governance.plans.pack.map_picture import map_picture
from governance.reports.contents import Composed
from governance.reports.writing.printed import printed_report

__all__ = ["CONTENT_TYPE", "printed_docx", "report_docx"]

_MAP_CM: Final = (15.0, 7.5)
_SMALL_MAP_CM: Final = (10.0, 5.0)
"""Of a report that has one page or two."""


def report_docx(composed: Composed, language: str, *, made_at: datetime, draft: bool, title: str = "") -> bytes:
    """The file. draft: marked on each page as one. title: as a person gave it.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    is_small = composed.contents.kind == "landowner"
    return printed_docx(
        printed_report(composed, language, draft=draft, title=title), made_at=made_at, is_small_map=is_small
    )


def printed_docx(printed: Printed, *, made_at: datetime, is_small_map: bool = False) -> bytes:
    """What was printed, as a file."""
    writer = _ReportWriter(printed, _SMALL_MAP_CM if is_small_map else _MAP_CM)
    writer.set_up(made_at)
    for section in printed.sections:
        writer.section(section)
    out = io.BytesIO()
    writer.document.save(out)
    return out.getvalue()


class _ReportWriter(DocxWriter):
    """Writes maps, too."""

    def __init__(self, printed: Printed, map_cm: tuple[float, float]) -> None:
        super().__init__(printed)
        self.map_cm = map_cm

    def writers(self) -> dict[str, Any]:
        """Those of every document, and one more."""
        return super().writers() | {"map": self._map}

    def _map(self, block: MapOf) -> None:
        picture = map_picture(block)
        if picture is not None:
            self.picture(picture, block.alt, self.map_cm, keep=True)
            self.add(paragraph((Text(block.key, role="note"),), after_pt=6))
