"""The DOCX of a small terms sheet, part by part, against files that a person has read.

No clock and no database: the contents are written out below. Parts are compared as indented text; not compared are
pictures (``tests/unit/governance/usedesk/test_sheet_codes.py`` reads them) and parts that the library brings along.
When a part is meant to change, read the new one, which the failing test names, and put it in the place of the old.
"""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime
from pathlib import Path

import pytest
from lxml import etree

from governance.engine.uses import Said, Use
from governance.usedesk.sheet.contents import (
    Agreement,
    Clause,
    PaperTerms,
    Party,
    Sheet,
    SheetSpecimen,
    TermsGroup,
    WayPaper,
)
from governance.usedesk.sheet.docx import sheet_docx
from governance.usedesk.sheet.language import language
from governance.usedesk.sheet.layout import printed_sheet

EXPECTED = Path(__file__).parent / "terms_sheet"
PARTS = {
    "document.xml": "word/document.xml", "header.xml": "word/header1.xml", "footer.xml": "word/footer1.xml",
    "properties.xml": "docProps/core.xml",
}  # fmt: skip


def clause(use: Use, said: Said, text: str, **more: object) -> Clause:
    return Clause(use, said, text, number="7.2", page=3, **more)  # type: ignore[arg-type]


SILENT = {use: Clause(use, Said.SILENT, "", "", None) for use in Use}

PERMIT = PaperTerms(
    1, "COL-2019-004", "collecting-permit", issuer="Directorate of Nazvri", language="en", since=date(2019, 5, 1),
    clauses=SILENT | {
        Use.LOAN_ABROAD: clause(
            Use.LOAN_ABROAD, Said.WITH_DUTIES, "The Museum may lend to public institutions.", duties="Send two copies.",
            conditions=(("only_to", ("public-research",)), ("not_in", ("NO", "SE"))), other_condition="Care & time.",
        ),
        Use.COMMERCIAL_USE: clause(Use.COMMERCIAL_USE, Said.NOT_ALLOWED, "No sale."),
        Use.ONWARD_LOAN: clause(Use.ONWARD_LOAN, Said.ASK_FIRST, "Ask the Board before <lending on>."),
    },
    acknowledgement="Material of Nazvri.", ownership=2, ownership_clause="Property of the State.", ownership_page=2,
    agreements=(Agreement(frozenset({Use.LOAN_ABROAD}), "The Board", date(2026, 11, 18), "Agreed."),),
)  # fmt: skip

CLOSED = PaperTerms(2, "ABS-2024-009", "mutually-agreed-terms", is_readable=False)

SHEET = Sheet(
    number="L-2026-031", title="Loan of two mussels", made_on=date(2026, 11, 26),
    sender=Party("Lindmark Museum", "Hill 1", "", "SE", "SE 007"),
    recipient=Party("Institute for Lakes", "Quay 2\nHarbour", "Dr S.", "IS", "IS 002"), asked_by="Dr S.",
    purpose="A revision", commercial="no", uses=(Use.LOAN_ABROAD,), from_on=date(2026, 12, 1),
    until_on=date(2027, 11, 30), is_loan=True, is_kept=False,
    groups=(TermsGroup("A", 2, (PERMIT,)), TermsGroup("B", 1, (CLOSED, PERMIT))),
    specimens=(
        SheetSpecimen(1, "LMN-FW-0198341", "Unio crassus", "GE", date(2024, 6, 17), date(2024, 6, 17), "1", "", "A"),
        SheetSpecimen(2, "LMN-FW-0198342", "Unio crassus", "GE", date(2024, 6, 17), date(2024, 6, 19), "", "dry", "A"),
        SheetSpecimen(3, "", "", "", None, None, "", "", "B"),
    ),
    way=(WayPaper("export", "EXP-2026-001"), WayPaper("cites", "L-44", is_label=True)), held_back=("LMN-FW-0200000",),
)  # fmt: skip


@pytest.fixture(scope="module")
def parts() -> dict[str, str]:
    content = sheet_docx(printed_sheet(SHEET, language("en")), made_at=datetime(2026, 11, 26, 12, 0))
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return {name: indented(packed.read(inside)) for name, inside in PARTS.items()}


def indented(xml: bytes) -> str:
    """One element a line; white space in runs stays as it is."""
    tree = etree.fromstring(xml)
    etree.indent(tree)
    return str(etree.tostring(tree, encoding="unicode")) + "\n"


@pytest.mark.parametrize("name", PARTS)
def test_a_part_is_as_it_was_read(name: str, parts: dict[str, str], tmp_path: Path) -> None:
    made = tmp_path / name
    made.write_text(parts[name], "utf-8")
    expected = (EXPECTED / name).read_text("utf-8")
    assert parts[name] == expected, f"differs from {EXPECTED / name}; the new part is {made}"
