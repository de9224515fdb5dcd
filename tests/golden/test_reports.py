"""The DOCX of a small report of each kind in English, and of one in each language, against files that were read.

No clock and no database: the contents are written out in ``tests/factories/reports_composed.py``. What is compared is
the text of the parts, a line a paragraph or row, with what holds it: headings, bold and italic words, other languages,
heads that repeat, rows that are not cut, fields, pictures with their words. The markup below that is compared in
``test_terms_sheet.py``. When a report is meant to change, read the new file, which the failing test names, and put it
in the place of the old.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from governance.reports.writing.docx import report_docx
from tests.factories import reports_composed as made

EXPECTED = Path(__file__).parent / "reports"
W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
WP = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}"
PARTS = {"head": "word/header1.xml", "body": "word/document.xml", "foot": "word/footer1.xml"}
CASES = [*((kind, "en") for kind in made.KINDS), *(("provider", code) for code in ("es", "fr", "pt"))]
DRAFT_IN = "fr"
"""The language whose report is a draft."""


@pytest.mark.parametrize(("kind", "code"), CASES)
def test_a_report_is_as_it_was_read(kind: str, code: str, tmp_path: Path) -> None:
    content = report_docx(made.KINDS[kind](), code, made_at=datetime(2026, 11, 26, 12), draft=code == DRAFT_IN)
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        parts = {name: etree.fromstring(packed.read(inside)) for name, inside in PARTS.items()}
    text = "".join(f"== {name}\n" + "".join(f"{line}\n" for line in written(tree)) for name, tree in parts.items())
    file = tmp_path / f"{kind}-{code}.txt"
    file.write_text(text, "utf-8")
    expected = EXPECTED / file.name
    assert text == expected.read_text("utf-8"), f"differs from {expected}; the new one is {file}"


def written(tree: Any) -> Iterator[str]:
    """Paragraphs and rows of a part, in their order."""
    body = tree.find(f"{W}body")
    for child in tree if body is None else body:
        if child.tag == f"{W}tbl":
            for row in child.iter(f"{W}tr"):
                head = "#" if row.find(f"{W}trPr/{W}tblHeader") is not None else ""
                cut = "" if row.find(f"{W}trPr/{W}cantSplit") is not None else "~"
                cells = [" / ".join(map(paragraph, cell.iter(f"{W}p"))) for cell in row.iter(f"{W}tc")]
                yield f"{head}{cut}| {' | '.join(cells)} |"
        elif child.tag == f"{W}p":
            yield paragraph(child)


def paragraph(element: Any) -> str:
    """Its style, its mark to be found by, and its words."""
    style = element.find(f"{W}pPr/{W}pStyle")
    named = "" if style is None else f"[{style.get(f'{W}val')}] "
    right = "> " if element.find(f"{W}pPr/{W}jc") is not None else ""
    marks = "".join(f"<{one.get(f'{W}name')}> " for one in element.iter(f"{W}bookmarkStart"))
    return f"{named}{right}{marks}{''.join(pieces(element))}".rstrip()


def pieces(element: Any) -> Iterator[str]:
    for child in element.iter(f"{W}r", f"{W}fldSimple"):
        if child.tag == f"{W}fldSimple":
            yield f"{{{child.get(f'{W}instr').strip()}}}"
        elif child.getparent().tag != f"{W}fldSimple":
            yield run(child)


def run(element: Any) -> str:
    text = "".join("\t" if one.tag == f"{W}tab" else one.text or "" for one in element.iter(f"{W}t", f"{W}tab"))
    for tag, mark in (("b", "**"), ("i", "_")):
        if element.find(f"{W}rPr/{W}{tag}") is not None and text:
            text = f"{mark}{text}{mark}"
    language = element.find(f"{W}rPr/{W}lang")
    text = text if language is None else f"({language.get(f'{W}val')}: {text})"
    drawn = "".join(f"[picture: {one.get('descr')}]" for one in element.iter(f"{WP}docPr"))
    return text + drawn
