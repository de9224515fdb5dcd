"""What is printed as a DOCX: real headings, tables whose heads repeat, page numbers, its language, A4."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final

from docx import Document
from docx.oxml.ns import qn
from docx.oxml.shape import CT_Inline
from docx.shared import Cm, Pt, RGBColor
from docx.text.paragraph import Paragraph

from governance.papers.printed.blocks import (
    Alert,
    Block,
    Cell,
    ContentsList,
    Drawing,
    Facts,
    Line,
    Para,
    Picture,
    Printed,
    Section,
    Table,
    Text,
    Ticks,
    strong,
)
from governance.papers.printed.docx_parts import (
    FRAME,
    GRID,
    LINES,
    NOTE_PT,
    SANS,
    cell,
    contents_line,
    describe_picture,
    drawing,
    field,
    legible,
    paragraph,
    parsed,
    row,
    run,
    set_language,
    table,
)

CONTENT_TYPE: Final = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
_WIDTH_CM: Final = 17.4
_PAGE_CM: Final = (21.0, 29.7)
_INK, _ALERT, _HEAD = RGBColor(0x13, 0x26, 0x2D), "FBE4DA", "EEF2F1"
_MOST_UNCUT: Final = 12
"""Lines of a warning that stay on one page: about a third of it."""
_SIZES: Final = {"Normal": 10, "Title": 24, "Heading 1": 16, "Heading 2": 12.5, "Heading 3": 10.5}
_TALL_CM: Final = 0.85
_MOST_TALL_CM: Final = 12.0
SMALL_PT: Final = 8.5
FINE_PT: Final = 7.5
BARE: Final[dict[str, tuple[str, str]]] = {}
_MOST_OF_PROPERTY: Final = 255
"""Characters that the library takes for a property of a document."""


class DocxWriter:
    """Writes one document. The first heading is the title of the whole; all others follow in their levels."""

    def __init__(self, printed: Printed) -> None:
        self.printed = printed
        self.document = Document()
        self._end = self.document.element.body[-1]
        self._pictures_so_far = 0
        blocks = [block for section in printed.sections for block in section.blocks]
        self._places = [key for block in blocks if isinstance(block, ContentsList) for key, _title in block.entries]

    def set_up(self, made_at: datetime) -> None:
        """Paper, letters, language, head and foot."""
        told = self.document.core_properties
        told.title = legible(f"{self.printed.reference} {self.printed.title}")[:_MOST_OF_PROPERTY]
        told.subject, told.language, told.author, told.comments = self.printed.kicker, self.printed.language, "", ""
        told.created = told.modified = made_at.replace(tzinfo=None)
        page = self.document.sections[0]
        page.page_width, page.page_height = Cm(_PAGE_CM[0]), Cm(_PAGE_CM[1])
        page.left_margin = page.right_margin = Cm(1.8)
        page.top_margin, page.bottom_margin = Cm(2.2), Cm(1.9)
        page.header_distance = page.footer_distance = Cm(0.9)
        self._styles()
        self._head(page.header)
        self._foot(page.footer)

    def _styles(self) -> None:
        defaults = self.document.styles.element.find(f"{qn('w:docDefaults')}/{qn('w:rPrDefault')}/{qn('w:rPr')}")
        set_language(defaults, self.printed.language)
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

    def _head(self, target: Any) -> None:
        mark = run(Text(f"{self.printed.mark}   ", role="strong"), NOTE_PT) if self.printed.mark else ""
        left = f"{self.printed.reference}  {self.printed.title[:70]}"
        self._margin(target, left, mark + run(_note(self.printed.kicker)))

    def _foot(self, target: Any) -> None:
        before, rest = self.printed.page_of.split("\0")
        middle, after = rest.split("\1")
        pages = (run(_note(before)), field("PAGE"), run(_note(middle)), field("NUMPAGES"), run(_note(after)))
        self._margin(target, self.printed.footer, "".join(pages))

    def _margin(self, target: Any, left: str, right: str) -> None:
        """A line of head or foot: something on the left, something at the right edge."""
        stop = f'<w:tabs><w:tab w:val="right" w:pos="{round(Cm(_WIDTH_CM).twips)}"/></w:tabs>'
        made = parsed(f"<w:p><w:pPr>{stop}</w:pPr>{run(_note(left + chr(9)))}{right}</w:p>")
        target.paragraphs[0]._p.getparent().replace(target.paragraphs[0]._p, made)

    def section(self, section: Section) -> None:
        """A heading and what is below it."""
        if section.key == "cover":
            self.add(paragraph((_note(self.printed.kicker.upper()),)))
            self.add(paragraph((Text(section.title),), style="Title"))
        else:
            style = f"Heading{section.level}"
            known = section.key if section.key in self._places else ""
            bookmark = f"{self._places.index(known) + 1} {bookmark_of(known)}" if known else ""
            heading = (Text(section.title),)
            self.add(paragraph(heading, style=style, new_page=section.new_page, bookmark=bookmark))
        for block in section.blocks:
            self.block(block)
        for part in section.sections:
            self.section(part)

    def block(self, block: Block) -> None:
        """Any block, by its kind."""
        self.writers()[block.kind](block)

    def writers(self) -> dict[str, Any]:
        """What writes a block of a kind; a room that prints other kinds adds to it."""
        return {
            "para": self._para, "alert": self._alert, "facts": self._facts, "table": self._table, "ticks": self._ticks,
            "drawing": self._drawing, "contents": self._contents,
        }  # fmt: skip

    def add(self, markup: str) -> Any:
        """Put a paragraph last: before the properties of the page, which end the body."""
        made = parsed(markup)
        self._end.addprevious(made)
        return made

    def _para(self, para: Para) -> None:
        size = {"lead": 11.5, "note": NOTE_PT}.get(para.style, 0)
        self.add(paragraph(para.line, size_pt=size, indent_cm=0.6 if para.style == "quote" else 0, keep=para.keep))

    def _put_table(self, rows: Sequence[str], widths: Sequence[float], caption: str, borders: Any) -> None:
        """With a little room after it; two tables would grow together without a paragraph between them."""
        self._end.addprevious(table(rows, widths, caption, borders))
        self.add(paragraph((), after_pt=0, line_pt=7))

    def _alert(self, alert: Alert) -> None:
        if not alert.lines:  # a frame around a paragraph stays with the table below it, which a table need not
            self.add(paragraph(strong(alert.title), size_pt=10, keep=True, after_pt=8, framed=_ALERT))
            return
        lines = [paragraph(strong(alert.title), size_pt=12, keep=True)]
        lines += [paragraph(line, after_pt=2) for line in alert.lines]
        may_break = len(alert.lines) > _MOST_UNCUT
        self._put_table(
            [row([cell(lines, _WIDTH_CM, _ALERT)], may_break=may_break)],
            [_WIDTH_CM],
            alert.title,
            FRAME,
        )

    def _facts(self, facts: Facts) -> None:
        widths = [4.2, _WIDTH_CM - 4.2]
        rows = [
            row([cell([paragraph(strong(name), after_pt=1)], widths[0]), cell(_inside(lines), widths[1])])
            for name, lines in facts.rows
        ]
        self._put_table(rows, widths, facts.caption, LINES)

    def _table(self, block: Table) -> None:
        whole = sum(block.widths)
        widths = [_WIDTH_CM * width / whole for width in block.widths]
        keep = len(block.rows) < block.kept_below and not block.small
        rows = []
        if block.has_head:
            size_pt = FINE_PT if block.fine_head else SMALL_PT if block.small else 0
            head = [cell([paragraph(strong(word), size_pt=size_pt, after_pt=1, keep=True, is_right=n in block.numbers)],
                         width, _HEAD)
                    for n, (word, width) in enumerate(zip(block.head, widths, strict=True))]  # fmt: skip
            rows.append(row(head, is_head=True))
        for number, cells in enumerate(block.rows, 1):
            holds = keep and number < len(block.rows)
            made = [
                self._cell(one, width, block, keep=holds, is_right=place in block.numbers)
                for place, (one, width) in enumerate(zip(cells, widths, strict=True))
            ]
            rows.append(row(made, height_cm=_TALL_CM if block.tall else 0))
        self._put_table(rows, widths, block.caption, GRID if block.tall else BARE if block.bare else LINES)

    def _cell(self, one: Cell, width: float, block: Table, *, keep: bool, is_right: bool = False) -> str:
        lines = _inside(one.lines, keep=keep, size_pt=SMALL_PT if block.small else 0, is_right=is_right)
        if one.picture is not None:
            drawn = self._drawn(one.picture)
            lines = [drawn, *lines] if one.lines else [drawn]
        return cell(lines, width, is_centred=block.small)

    def _drawn(self, picture: Picture) -> str:
        self._pictures_so_far += 1
        relation, _image = self.document.part.get_or_add_image(io.BytesIO(picture.png))
        return drawing(relation, self._pictures_so_far, picture.width_cm, picture.alt)

    def _ticks(self, ticks: Ticks) -> None:
        for line in ticks.lines:
            self.add(paragraph((Text("\u2610\t"), *line), indent_cm=0.7, hanging_cm=0.7))

    def picture(self, picture: bytes, words: str, most_cm: tuple[float, float], *, keep: bool = False) -> None:
        """Numbered by us: the library would look through the whole document for a free number."""
        self._pictures_so_far += 1
        number = self._pictures_so_far
        relation, image = self.document.part.get_or_add_image(io.BytesIO(picture))
        scale = min(most_cm[0] / image.px_width, most_cm[1] / image.px_height)
        width, height = Cm(image.px_width * scale), Cm(image.px_height * scale)
        inline = CT_Inline.new_pic_inline(number, relation, f"picture-{number}.png", width, height)
        describe_picture(inline, words, number)
        holder = Paragraph(self.add(paragraph((), keep=keep, after_pt=2)), self.document._body)
        holder.add_run()._r.add_drawing(inline)

    def _drawing(self, block: Drawing) -> None:
        most = (block.picture.width_cm, _MOST_TALL_CM)
        self.picture(block.picture.png, block.picture.alt, most, keep=bool(block.key))
        if block.key:
            self.add(paragraph((_note(block.key),), after_pt=8))

    def _contents(self, block: ContentsList) -> None:
        self.add(paragraph(strong(block.title), size_pt=12, keep=True, after_pt=4))
        for place, (key, title) in enumerate(block.entries, 1):
            self.add(contents_line(bookmark_of(key), title, _WIDTH_CM, keep=place < len(block.entries)))


def bookmark_of(key: str) -> str:
    """The name of the bookmark of a section."""
    return f"part_{key}"


def _note(text: str) -> Text:
    return Text(text, role="note")


def _inside(lines: Sequence[Line], *, keep: bool = False, size_pt: float = 0, is_right: bool = False) -> list[str]:
    """Lines of a cell, a paragraph each."""
    after = 0 if size_pt else 1
    return [paragraph(line, after_pt=after, keep=keep, size_pt=size_pt, is_right=is_right) for line in lines or [()]]
