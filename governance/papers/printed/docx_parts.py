"""Pieces of WordprocessingML (ECMA-376, part 1), written as markup: a pack has thousands of cells, and a library that
looks for its place in the document before each of them takes minutes. Children stand in the order of the schema.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final
from xml.sax.saxutils import escape, quoteattr

from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import nsdecls, qn

from governance.papers.printed.blocks import Line, Text

SANS, SERIF = "Arial", "Times New Roman"
INK, NOTE = "13262D", "3F545B"
NOTE_PT: Final = 8.5
PAPER_PT: Final = 11.0
_TWIPS_PER_CM: Final = 567
_EMU_PER_CM: Final = 360_000
_NO_XML: Final = re.compile("[\x00-\x08\x0a-\x1f\ud800-\udfff\ufffe\uffff]")


def element(tag: str, **attributes: str) -> Any:
    """An element of the main namespace, its attributes too: ``element("w:lang", val="es")``."""
    made = OxmlElement(tag)
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), value)
    return made


def set_language(properties: Any, code: str) -> None:
    """The language of the defaults (17.3.2.20)."""
    for old in properties.findall(qn("w:lang")):
        properties.remove(old)
    properties.append(element("w:lang", val=code, eastAsia=code))


def legible(text: str) -> str:
    """The text without what XML 1.0 cannot hold (2.2): control characters but the tab, U+FFFE, U+FFFF, surrogates."""
    return _NO_XML.sub("", text)


def run(text: Text, size_pt: float = 0) -> str:
    """A run: its letters (17.3.2), then its words. What XML cannot hold is left out."""
    size = PAPER_PT if text.role == "paper" else NOTE_PT if text.role == "note" else size_pt
    properties = "".join((
        f'<w:rFonts w:ascii="{SERIF}" w:hAnsi="{SERIF}" w:cs="{SERIF}"/>' if text.role == "paper" else "",
        "<w:b/>" if text.role == "strong" else "",
        "<w:i/>" if text.role == "taxon" else "",
        f'<w:color w:val="{NOTE}"/>' if text.role == "note" else "",
        f'<w:sz w:val="{round(size * 2)}"/><w:szCs w:val="{round(size * 2)}"/>' if size else "",
        f"<w:lang w:val={quoteattr(text.lang)}/>" if text.lang else "",
    ))  # fmt: skip
    words = escape(legible(text.text))
    written = words.replace("\t", '</w:t><w:tab/><w:t xml:space="preserve">')
    return f'<w:r><w:rPr>{properties}</w:rPr><w:t xml:space="preserve">{written}</w:t></w:r>'


def paragraph(
    line: Line, *, size_pt: float = 0, style: str = "", keep: bool = False, new_page: bool = False,
    indent_cm: float = 0, hanging_cm: float = 0, after_pt: float | None = None, line_pt: float | None = None,
    framed: str = "", is_right: bool = False, bookmark: str = "",
) -> str:  # fmt: skip
    """A paragraph (17.3.1). keep: with the next. hanging_cm: how far the first line stands out, to a stop.

    framed: the ground of a frame around it (17.3.1.24, 17.3.1.31), "" for none. is_right: at the right edge, as numbers
    stand. bookmark: number and name, with a space between, by which it is found (17.13.6.2).
    """
    indent = round(indent_cm * _TWIPS_PER_CM)
    hanging = round(hanging_cm * _TWIPS_PER_CM)
    spacing = f' w:after="{round(after_pt * 20)}"' if after_pt is not None else ""
    spacing += f' w:line="{round(line_pt * 20)}" w:lineRule="exact"' if line_pt is not None else ""
    properties = "".join((
        f'<w:pStyle w:val="{style}"/>' if style else "",
        "<w:keepNext/>" if keep else "",
        "<w:pageBreakBefore/>" if new_page else "",
        _frame(framed) if framed else "",
        f'<w:tabs><w:tab w:val="left" w:pos="{indent}"/></w:tabs>' if hanging else "",
        f"<w:spacing{spacing}/>" if spacing else "",
        '<w:ind w:left="113" w:right="113"/>' if framed else "",
        f'<w:ind w:left="{indent}"' + (f' w:hanging="{hanging}"' if hanging else "") + "/>" if indent else "",
        '<w:ind w:right="113"/><w:jc w:val="right"/>' if is_right else "",
    ))  # fmt: skip
    runs = "".join(run(text, size_pt) for text in line)
    if bookmark:
        number, _, name = bookmark.partition(" ")
        runs = f'<w:bookmarkStart w:id="{number}" w:name={quoteattr(name)}/>{runs}<w:bookmarkEnd w:id="{number}"/>'
    return f"<w:p><w:pPr>{properties}</w:pPr>{runs}</w:p>"


def _frame(ground: str) -> str:
    size, colour = FRAME["top"]
    sides = "".join(
        f'<w:{side} w:val="single" w:sz="{size}" w:space="4" w:color="{colour}"/>'
        for side in ("top", "left", "bottom", "right")
    )
    return f'<w:pBdr>{sides}</w:pBdr><w:shd w:val="clear" w:color="auto" w:fill="{ground}"/>'


def cell(paragraphs: Sequence[str], width_cm: float, shade: str = "", *, is_centred: bool = False) -> str:
    """A cell (17.4.65); an empty one has an empty paragraph. is_centred: between the lines above and below."""
    ground = f'<w:shd w:val="clear" w:color="auto" w:fill="{shade}"/>' if shade else ""
    width = f'<w:tcW w:w="{round(width_cm * _TWIPS_PER_CM)}" w:type="dxa"/>'
    middle = '<w:vAlign w:val="center"/>' if is_centred else ""
    return f"<w:tc><w:tcPr>{width}{ground}{middle}</w:tcPr>{''.join(paragraphs) or paragraph((), after_pt=1)}</w:tc>"


def row(cells: Sequence[str], *, is_head: bool = False, may_break: bool = False, height_cm: float = 0) -> str:
    """A row (17.4.78). is_head: it stands again at the top of each page. may_break: it may be cut by a page."""
    properties = "".join((
        "" if may_break else "<w:cantSplit/>",
        f'<w:trHeight w:val="{round(height_cm * _TWIPS_PER_CM)}" w:hRule="atLeast"/>' if height_cm else "",
        "<w:tblHeader/>" if is_head else "",
    ))  # fmt: skip
    return f"<w:tr><w:trPr>{properties}</w:trPr>{''.join(cells)}</w:tr>"


FRAME: Final = {side: ("24", INK) for side in ("top", "left", "bottom", "right")}
LINES: Final = {side: ("4", "9AA9AB") for side in ("top", "bottom", "insideH")}
GRID: Final = {side: ("6", "768A8D") for side in ("top", "left", "bottom", "right", "insideH", "insideV")}
"""Borders by side: eighths of a point, and the colour. A frame to be seen, hairlines, lines to write in."""


def table(rows: Sequence[str], widths_cm: Sequence[float], caption: str, borders: dict[str, tuple[str, str]]) -> Any:
    """A table of fixed widths (17.4.37), with what it is for those who hear it (tblCaption)."""
    sides = "".join(
        f'<w:{side} w:val="single" w:sz="{borders[side][0]}" w:space="0" w:color="{borders[side][1]}"/>'
        for side in ("top", "left", "bottom", "right", "insideH", "insideV")
        if side in borders
    )
    margins = "".join(
        f'<w:{side} w:w="{width}" w:type="dxa"/>'
        for side, width in (("top", 35), ("left", 70), ("bottom", 35), ("right", 70))
    )
    widths = [round(width * _TWIPS_PER_CM) for width in widths_cm]
    columns = "".join(f'<w:gridCol w:w="{width}"/>' for width in widths)
    return parse_xml(
        f'<w:tbl {nsdecls("w")}><w:tblPr><w:tblW w:w="{sum(widths)}" w:type="dxa"/><w:tblBorders>{sides}</w:tblBorders>'
        f'<w:tblLayout w:type="fixed"/><w:tblCellMar>{margins}</w:tblCellMar>'
        f"<w:tblCaption w:val={quoteattr(legible(caption))}/></w:tblPr>"
        f"<w:tblGrid>{columns}</w:tblGrid>{''.join(rows)}</w:tbl>"
    )


def parsed(markup: str) -> Any:
    """A paragraph as an element."""
    return parse_xml(markup.replace("<w:p>", f"<w:p {nsdecls('w')}>", 1))


def drawing(relation: str, number: int, width_cm: float, words: str) -> str:
    """A square picture in a line (20.4.2.8), with what it is for those who hear it. relation: of its file."""
    side, name = round(width_cm * _EMU_PER_CM), f"Picture {number}"
    return (
        '<w:p><w:pPr><w:spacing w:after="0" w:line="240" w:lineRule="auto"/></w:pPr>'
        '<w:r><w:rPr><w:sz w:val="2"/></w:rPr>'
        f"<w:drawing {nsdecls('wp', 'a', 'pic', 'r')}>"
        f'<wp:inline distT="0" distB="0" distL="0" distR="0"><wp:extent cx="{side}" cy="{side}"/>'
        f'<wp:docPr id="{number}" name="{name}" descr={quoteattr(legible(words))}/><a:graphic>'
        '<a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/picture"><pic:pic>'
        f'<pic:nvPicPr><pic:cNvPr id="{number}" name="{name}"/><pic:cNvPicPr/></pic:nvPicPr>'
        f'<pic:blipFill><a:blip r:embed="{relation}"/><a:stretch><a:fillRect/></a:stretch></pic:blipFill>'
        f'<pic:spPr><a:xfrm><a:off x="0" y="0"/><a:ext cx="{side}" cy="{side}"/></a:xfrm>'
        '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic></a:graphicData></a:graphic></wp:inline>'
        "</w:drawing></w:r></w:p>"
    )


def contents_line(name: str, title: str, stop_cm: float, *, keep: bool) -> str:
    """A line of the contents: the title, dots, and the page of a bookmark, which the word processor works out. keep: on
    one page with the next."""
    stop = f'<w:tabs><w:tab w:val="right" w:leader="dot" w:pos="{round(stop_cm * _TWIPS_PER_CM)}"/></w:tabs>'
    together = "<w:keepNext/>" if keep else ""
    page = f'<w:fldSimple w:instr=" PAGEREF {name} \\h " w:dirty="true"><w:r><w:t></w:t></w:r></w:fldSimple>'
    link = f"<w:hyperlink w:anchor={quoteattr(name)}>{run(Text(title + chr(9)))}</w:hyperlink>"
    return f'<w:p><w:pPr>{together}{stop}<w:spacing w:after="20"/></w:pPr>{link}{page}</w:p>'


def describe_picture(inline: Any, words: str, number: int) -> None:
    """What a picture shows, in words (20.4.2.5)."""
    properties = inline.docPr
    properties.set("descr", legible(words))
    properties.set("name", f"Picture {number}")


def field(code: str) -> str:
    """A field that the word processor works out: PAGE, NUMPAGES (17.16.18)."""
    size = f'<w:rPr><w:color w:val="{NOTE}"/><w:sz w:val="{round(NOTE_PT * 2)}"/></w:rPr>'
    return f'<w:fldSimple w:instr=" {code} "><w:r>{size}<w:t>1</w:t></w:r></w:fldSimple>'
