"""The pack as a DOCX, with its maps and the copies of papers."""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from governance.papers.printed.blocks import MapOf, PageCopy, Printed, Text, strong
from governance.papers.printed.docx_parts import paragraph
from governance.papers.printed.docx_writer import CONTENT_TYPE, DocxWriter
from governance.plans.pack.copies import is_undrawable
from governance.plans.pack.language import language
from governance.plans.pack.map_picture import map_picture

__all__ = ["CONTENT_TYPE", "Pictures", "docx_file"]

_COPY_CM: Final = (17.4, 22.4)

Pictures = Mapping[PageCopy, bytes | None]


def docx_file(pack: Printed, pictures: Pictures, *, made_at: datetime) -> bytes:
    """The file. pictures: of the pages to append, None for one that could not be had in time."""
    writer = _PackWriter(pack, pictures)
    writer.set_up(made_at)
    for section in pack.sections:
        writer.section(section)
    out = io.BytesIO()
    writer.document.save(out)
    return out.getvalue()


class _PackWriter(DocxWriter):
    """Writes maps and copies, too."""

    def __init__(self, pack: Printed, pictures: Pictures) -> None:
        super().__init__(pack)
        self.pictures = pictures
        self.words = language(pack.language)

    def writers(self) -> dict[str, Any]:
        """Those of every document, and two more."""
        return super().writers() | {"map": self._map, "copy": self._copy}

    def _map(self, block: MapOf) -> None:
        picture = map_picture(block)
        if picture is None:
            return
        self.picture(picture, block.alt, (13.0, 6.5), keep=True)
        self.add(paragraph((Text(block.key, role="note"),)))

    def _copy(self, page: PageCopy) -> None:
        """Its caption above; each picture fills a page."""
        picture = self.pictures.get(page)
        self.add(paragraph(strong(page.caption), keep=picture is not None))
        if picture is None:
            key = "left_undrawn" if is_undrawable(page) else "left_slow"
            reference = page.caption.rpartition(", ")[0]
            self.add(paragraph((Text(self.words(key, reference=reference, page=page.number)),)))
            return
        self.picture(picture, page.caption, _COPY_CM)
