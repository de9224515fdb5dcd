"""Pieces of WordprocessingML (ECMA-376, part 1) that python-docx has no words for."""

from __future__ import annotations

from typing import Any

from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Pt

HEAVY = "24"
"""Eighths of a point of the frame of a warning."""


def element(tag: str, **attributes: str) -> Any:
    """An element of the main namespace, its attributes too: ``element("w:lang", val="es")``."""
    made = OxmlElement(tag)
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), value)
    return made


def set_language(properties: Any, code: str) -> None:
    """The language of a run or of the defaults (17.3.2.20). Child order of rPr: lang comes late, so it is appended."""
    for old in properties.findall(qn("w:lang")):
        properties.remove(old)
    properties.append(element("w:lang", val=code, eastAsia=code))


def repeat_head(row: Any) -> None:
    """The row stands again at the top of each page (17.4.49)."""
    row._tr.get_or_add_trPr().append(element("w:tblHeader", val="true"))


def keep_row(row: Any) -> None:
    """The row is not cut by the end of a page (17.4.6)."""
    row._tr.get_or_add_trPr().append(element("w:cantSplit", val="true"))


def shade(cell: Any, colour: str) -> None:
    """The ground of a cell (17.4.32)."""
    cell._tc.get_or_add_tcPr().append(element("w:shd", val="clear", color="auto", fill=colour))


def frame(table: Any, size: str = HEAVY, colour: str = "13262D") -> None:
    """A heavy frame around a table (17.4.38)."""
    borders = element("w:tblBorders")
    for side in ("top", "left", "bottom", "right"):
        borders.append(element(f"w:{side}", val="single", sz=size, space="0", color=colour))
    table._tbl.tblPr.append(borders)


def thin_lines(table: Any, colour: str = "9AA9AB") -> None:
    """Hairlines between the rows and around."""
    borders = element("w:tblBorders")
    for side in ("top", "bottom", "insideH"):
        borders.append(element(f"w:{side}", val="single", sz="4", space="0", color=colour))
    table._tbl.tblPr.append(borders)


def grid_lines(table: Any, colour: str = "768A8D") -> None:
    """Lines around every cell, to write in."""
    borders = element("w:tblBorders")
    for side in ("top", "left", "bottom", "right", "insideH", "insideV"):
        borders.append(element(f"w:{side}", val="single", sz="6", space="0", color=colour))
    table._tbl.tblPr.append(borders)


def pad_cells(table: Any, twips: int = 70) -> None:
    """Room inside the cells (17.4.42)."""
    margins = element("w:tblCellMar")
    for side, width in (("top", twips // 2), ("left", twips), ("bottom", twips // 2), ("right", twips)):
        margins.append(element(f"w:{side}", w=str(width), type="dxa"))
    table._tbl.tblPr.append(margins)


def describe_table(table: Any, caption: str) -> None:
    """What the table is, for those who hear it (17.4.62)."""
    table._tbl.tblPr.append(element("w:tblCaption", val=caption))


def describe_picture(inline: Any, words: str, number: int) -> None:
    """What a picture shows, in words (20.4.2.5)."""
    properties = inline._inline.docPr
    properties.set("descr", words)
    properties.set("name", f"Picture {number}")


def field(paragraph: Any, code: str) -> None:
    """A field that the word processor works out: PAGE, NUMPAGES (17.16.5)."""
    for kind in ("begin", "instr", "separate", "text", "end"):
        run = paragraph.add_run()
        run.font.size = Pt(8.5)
        if kind == "instr":
            words = element("w:instrText")
            words.text = f" {code} "
            words.set(qn("xml:space"), "preserve")
            run._r.append(words)
        elif kind == "text":
            run.text = "1"
        else:
            run._r.append(element("w:fldChar", fldCharType=kind))
