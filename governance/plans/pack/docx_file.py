"""The pack as a DOCX: real headings, tables whose heads repeat, page numbers, the language of the pack, A4."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from docx import Document
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.enum.text import WD_TAB_ALIGNMENT
from docx.oxml.ns import qn
from docx.shared import Cm, Pt, RGBColor
from PIL import Image

from governance.plans.pack.blocks import (
    Alert,
    Block,
    Facts,
    Line,
    MapOf,
    Pack,
    PageCopy,
    Para,
    Section,
    Table,
    Text,
    Ticks,
    strong,
)
from governance.plans.pack.copies import is_undrawable
from governance.plans.pack.docx_parts import (
    describe_picture,
    describe_table,
    field,
    frame,
    grid_lines,
    keep_row,
    pad_cells,
    repeat_head,
    set_language,
    shade,
    thin_lines,
)
from governance.plans.pack.language import language
from governance.plans.pack.map_picture import map_picture

CONTENT_TYPE: Final = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
SANS, SERIF = "Arial", "Times New Roman"
_WIDTH_CM: Final = 17.4
_PAGE_CM: Final = (21.0, 29.7)
_COPY_CM: Final = (17.4, 22.4)
_INK, _NOTE, _ALERT, _HEAD = RGBColor(0x13, 0x26, 0x2D), RGBColor(0x3F, 0x54, 0x5B), "FBE4DA", "EEF2F1"
_SIZES: Final = {"Normal": 10, "Title": 24, "Heading 1": 16, "Heading 2": 12.5, "Heading 3": 10.5}
_TALL_CM: Final = 0.85
_KEPT_ROWS: Final = 12
"""A table of no more rows stays on one page."""

Pictures = Mapping[PageCopy, bytes | None]


def docx_file(pack: Pack, pictures: Pictures, *, made_at: datetime) -> bytes:
    """The file. pictures: of the pages to append, None for one that could not be had in time."""
    writer = _Writer(pack, pictures)
    writer.set_up(made_at)
    for section in pack.sections:
        writer.section(section)
    out = io.BytesIO()
    writer.document.save(out)
    return out.getvalue()


class _Writer:
    """Writes one document. The first heading is the title of the plan; all others follow in their levels."""

    def __init__(self, pack: Pack, pictures: Pictures) -> None:
        self.pack, self.pictures = pack, pictures
        self.words = language(pack.language)
        self.document = Document()
        self._pictures_so_far = 0

    def set_up(self, made_at: datetime) -> None:
        """Paper, letters, language, head and foot."""
        told = self.document.core_properties
        told.title = f"{self.pack.reference} {self.pack.title}"
        told.subject, told.language, told.author, told.comments = self.pack.kicker, self.pack.language, "", ""
        told.created = told.modified = made_at.replace(tzinfo=None)
        page = self.document.sections[0]
        page.page_width, page.page_height = Cm(_PAGE_CM[0]), Cm(_PAGE_CM[1])
        page.left_margin = page.right_margin = Cm(1.8)
        page.top_margin, page.bottom_margin = Cm(2.2), Cm(1.9)
        page.header_distance = page.footer_distance = Cm(0.9)
        self._styles()
        self._head(page.header.paragraphs[0])
        self._foot(page.footer.paragraphs[0])

    def _styles(self) -> None:
        defaults = self.document.styles.element.find(f"{qn('w:docDefaults')}/{qn('w:rPrDefault')}/{qn('w:rPr')}")
        set_language(defaults, self.pack.language)
        for name, size in _SIZES.items():
            style = self.document.styles[name]
            style.font.name, style.font.size, style.font.color.rgb = SANS, Pt(size), _INK
            fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
            for kind in list(fonts.attrib):
                if "Theme" in kind:
                    del fonts.attrib[kind]
            for kind in ("ascii", "hAnsi", "cs", "eastAsia"):
                fonts.set(qn(f"w:{kind}"), SANS)
            style.font.bold = name not in ("Normal",)
            shape = style.paragraph_format
            shape.space_before = Pt({"Heading 1": 16, "Heading 2": 12, "Heading 3": 9}.get(name, 0))
            shape.space_after = Pt(3 if name == "Normal" else 4)
            shape.keep_with_next = name != "Normal"
        self._plain_title()

    def _plain_title(self) -> None:
        """Without the line that the template draws below a title."""
        properties = self.document.styles["Title"].element.get_or_add_pPr()
        for border in properties.findall(qn("w:pBdr")):
            properties.remove(border)

    def _head(self, paragraph: Any) -> None:
        paragraph.style = self.document.styles["Normal"]  # that of heads has a stop in the middle
        paragraph.paragraph_format.tab_stops.add_tab_stop(Cm(_WIDTH_CM), WD_TAB_ALIGNMENT.RIGHT)
        self._small(paragraph, f"{self.pack.reference}  {self.pack.title[:70]}")
        self._small(paragraph, f"\t{self.pack.kicker}")

    def _foot(self, paragraph: Any) -> None:
        paragraph.style = self.document.styles["Normal"]
        paragraph.paragraph_format.tab_stops.add_tab_stop(Cm(_WIDTH_CM), WD_TAB_ALIGNMENT.RIGHT)
        self._small(paragraph, f"{self.pack.footer}\t")
        before, rest = self.pack.page_of.split("\0")
        middle, after = rest.split("\1")
        self._small(paragraph, before)
        field(paragraph, "PAGE")
        self._small(paragraph, middle)
        field(paragraph, "NUMPAGES")
        self._small(paragraph, after)

    def _small(self, paragraph: Any, text: str) -> None:
        run = paragraph.add_run(text)
        run.font.size, run.font.color.rgb = Pt(8.5), _NOTE

    def section(self, section: Section) -> None:
        """A heading and what is below it."""
        if section.key == "cover":
            self._small(self.document.add_paragraph(), self.pack.kicker.upper())
            self.document.add_paragraph(section.title, style="Title")
        else:
            heading = self.document.add_heading(section.title, level=section.level)
            heading.paragraph_format.page_break_before = section.new_page
        for block in section.blocks:
            self.block(block)
        for part in section.sections:
            self.section(part)

    def block(self, block: Block) -> None:
        """Any block, by its kind."""
        writers: dict[str, Any] = {
            "para": self._para, "alert": self._alert, "facts": self._facts, "table": self._table,
            "ticks": self._ticks, "map": self._map, "copy": self._copy,
        }  # fmt: skip
        writers[block.kind](block)

    def _para(self, para: Para) -> None:
        paragraph = self.document.add_paragraph()
        if para.style == "quote":
            paragraph.paragraph_format.left_indent = Cm(0.6)
        self._line(paragraph, para.line, 11.5 if para.style == "lead" else 8.5 if para.style == "note" else 0)

    def _line(self, paragraph: Any, line: Line, size: float = 0) -> None:
        for text in line:
            self._run(paragraph.add_run(text.text), text, size)

    def _run(self, run: Any, text: Text, size: float) -> None:
        run.bold = text.role == "strong" or None
        run.italic = text.role == "taxon" or None
        if size:
            run.font.size = Pt(size)
        if text.role == "note":
            run.font.color.rgb, run.font.size = _NOTE, Pt(8.5)
        if text.role == "paper":
            run.font.name, run.font.size = SERIF, Pt(11)
        if text.lang:
            set_language(run._r.get_or_add_rPr(), text.lang)

    def _new_table(self, rows: int, widths: Sequence[float], caption: str) -> Any:
        table = self.document.add_table(rows, len(widths))
        table.alignment, table.autofit = WD_TABLE_ALIGNMENT.LEFT, False
        pad_cells(table)
        describe_table(table, caption)
        for row in table.rows:
            keep_row(row)
            for cell, width in zip(row.cells, widths, strict=True):
                cell.width = Cm(width)
        for column, width in zip(table.columns, widths, strict=True):
            column.width = Cm(width)
        return table

    def _fill(self, target: Any, lines: Sequence[Line]) -> None:
        """Lines of a cell, one paragraph each."""
        for number, line in enumerate(lines):
            paragraph = target.paragraphs[0] if number == 0 else target.add_paragraph()
            paragraph.paragraph_format.space_after = Pt(1)
            self._line(paragraph, line)
        if not lines:
            target.paragraphs[0].paragraph_format.space_after = Pt(1)

    def _after_table(self) -> None:
        """A little room; two tables would grow together without a paragraph between them."""
        paragraph = self.document.add_paragraph()
        paragraph.paragraph_format.space_after = Pt(0)
        paragraph.paragraph_format.line_spacing = Pt(7)

    def _alert(self, alert: Alert) -> None:
        table = self._new_table(1, [_WIDTH_CM], alert.title)
        frame(table)
        cell = table.rows[0].cells[0]
        shade(cell, _ALERT)
        self._line(cell.paragraphs[0], strong(alert.title), 12 if alert.lines else 10)
        for line in alert.lines:
            paragraph = cell.add_paragraph()
            paragraph.paragraph_format.space_after = Pt(2)
            self._line(paragraph, line)
        if len(alert.lines) > 12:
            for mark in table.rows[0]._tr.trPr.findall(qn("w:cantSplit")):
                table.rows[0]._tr.trPr.remove(mark)
        self._after_table()

    def _facts(self, facts: Facts) -> None:
        table = self._new_table(len(facts.rows), [4.2, _WIDTH_CM - 4.2], facts.caption)
        thin_lines(table)
        for row, (name, lines) in zip(table.rows, facts.rows, strict=True):
            self._fill(row.cells[0], [(Text(name, role="strong"),)])
            self._fill(row.cells[1], lines)
        self._after_table()

    def _table(self, block: Table) -> None:
        whole = sum(block.widths)
        widths = [_WIDTH_CM * width / whole for width in block.widths]
        table = self._new_table(len(block.rows) + block.has_head, widths, block.caption)
        (grid_lines if block.tall else thin_lines)(table)
        rows = list(table.rows)
        if block.has_head:
            head = rows.pop(0)
            repeat_head(head)
            for cell, word in zip(head.cells, block.head, strict=True):
                shade(cell, _HEAD)
                self._fill(cell, [strong(word)])
        for row, cells in zip(rows, block.rows, strict=True):
            if block.tall:
                row.height = Cm(_TALL_CM)
            for target, cell in zip(row.cells, cells, strict=True):
                self._fill(target, cell.lines)
        if len(table.rows) <= _KEPT_ROWS:
            _keep_together(table)
        self._after_table()

    def _ticks(self, ticks: Ticks) -> None:
        for line in ticks.lines:
            paragraph = self.document.add_paragraph()
            paragraph.paragraph_format.left_indent = Cm(0.7)
            paragraph.paragraph_format.first_line_indent = Cm(-0.7)
            paragraph.paragraph_format.tab_stops.add_tab_stop(Cm(0.7))
            paragraph.add_run("\u2610\t")
            self._line(paragraph, line)

    def _map(self, block: MapOf) -> None:
        picture = map_picture(block)
        if picture is None:
            return
        paragraph = self.document.add_paragraph()
        paragraph.paragraph_format.keep_with_next = True
        paragraph.paragraph_format.space_after = Pt(2)
        self._picture(paragraph, picture, block.alt, (13.0, 6.5))
        self._line(self.document.add_paragraph(), (Text(block.key, role="note"),))

    def _copy(self, page: PageCopy) -> None:
        """A page of its own for each, its caption above."""
        picture = self.pictures.get(page)
        caption = self.document.add_paragraph()
        self._line(caption, strong(page.caption))
        if picture is None:
            reference = page.caption.rpartition(", ")[0]
            key = "left_undrawn" if is_undrawable(page) else "left_slow"
            self._line(self.document.add_paragraph(), (Text(self.words(key, reference=reference, page=page.number)),))
            return
        caption.paragraph_format.keep_with_next = True
        self._picture(self.document.add_paragraph(), picture, page.caption, _COPY_CM)

    def _picture(self, paragraph: Any, picture: bytes, words: str, most_cm: tuple[float, float]) -> None:
        self._pictures_so_far += 1
        with Image.open(io.BytesIO(picture)) as image:
            scale = min(most_cm[0] / image.width, most_cm[1] / image.height)
            width = Cm(image.width * scale)
        inline = paragraph.add_run().add_picture(io.BytesIO(picture), width=width)
        describe_picture(inline, words, self._pictures_so_far)


def _keep_together(table: Any) -> None:
    """A short table goes to the next page rather than being cut."""
    for row in table.rows[:-1]:
        for cell in row.cells:
            for paragraph in cell.paragraphs:
                paragraph.paragraph_format.keep_with_next = True


__all__ = ["CONTENT_TYPE", "docx_file"]
