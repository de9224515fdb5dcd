"""Answers as files, read back by other libraries: what stands at the head, typed cells, nothing that runs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import openpyxl
import pytest
from django.urls import reverse
from django.utils import timezone
from docx import Document

from accessions.people.models import Role
from governance.audit.asking import Answer, Asked, Column, Group, ListedRows, Question, Row
from governance.audit.writing import document, workbook
from tests.factories import audit
from tests.integration.test_access_sweep import signed_in

pytestmark = pytest.mark.django_db

CAUTION = (
    "A verdict compares records with the papers on file. It is no legal advice and no finding of an offence. National "
    "and local law, the issuing authority and the institution’s own legal office decide."
)
"""VERDICTS, section 9, as the foot of each page has it."""


def many(asked: Asked) -> Answer:
    rows = [Row(f"row:{number}", (number,)) for number in range(document.MOST_ROWS + 1)]
    return Answer("Many.", (Column("n", "Number"),), ListedRows(rows))


MANY = Question("test-many", Group.RECORDS, "How many?", "Many.", many)


@pytest.fixture(autouse=True)
def own_questions() -> Iterator[None]:
    with audit.also_asked(audit.WHOLE, audit.OF_ACCESSION, MANY):
        yield


def file(form: str, key: str = "test-whole", **told: Any) -> Any:
    return signed_in(Role.AUDITOR).get(reverse(f"audit:ask-{form}", args=[key]), told)


def body(form: str, key: str = "test-whole", **told: Any) -> bytes:
    return b"".join(file(form, key, **told))


def test_csv_says_how_it_was_asked_then_holds_all_rows() -> None:
    lines = list(csv.reader(io.StringIO(body("csv", on="2026-01-31").decode("utf-8-sig"))))
    end = lines.index([])
    head, (columns, *rows) = lines[:end], lines[end + 1 :]
    assert [line[1] for line in head if line[0] in ("Question", "As of (day in the world)", "Answer", "Missing",
                                                      "Kept back", "Rows", "Caution", "How this was asked")] == [
        "What lies off the line?", "2026-01-31", "3 specimens lie off the line.", "3",
        "Specimens without coordinates (7)", "2 papers are not open to you.", "Distances are geodesic.", CAUTION,
    ]  # fmt: skip
    assert columns[:3] == ["Specimen", "Name", "Off the line (m)"]
    assert rows == [
        ["LMN-1", "Baetis rhodani", "12.5", "2024-06-17", "2024-06-17T14:22:05+00:00", "Costa Rica", "Outside terms",
         "La=C Co=O Sp=N Si=N Ac=N Ex=N Im=N Ci=N Tr=N", '\'=HYPERLINK("http://example.org")'],
        ["LMN-2", "", "1234567", "1899-02-01", "", "", "", "", "'-5 < x & \x01y"],
        ["LMN-3", "Baetis <sp.>", "", "2024", "", "unknown or several countries", "Covered", "no strip", ""],
    ]  # fmt: skip


def test_workbook_has_typed_cells_and_runs_nothing() -> None:
    book = openpyxl.load_workbook(io.BytesIO(body("xlsx")))
    head, rows = book.worksheets
    told = {row[0].value: row[1].value for row in head.iter_rows()}
    assert (told["Question"], told["Kept back"], told["Caution"]) == (
        "What lies off the line?", "2 papers are not open to you.", CAUTION,
    )  # fmt: skip
    first, second, third = ([cell.value for cell in row] for row in rows.iter_rows(min_row=2))
    assert first[2:5] == [12.5, datetime(2024, 6, 17), datetime(2024, 6, 17, 14, 22, 5)]
    assert first[8] == '=HYPERLINK("http://example.org")'
    assert rows["I2"].data_type == "s", "a text, not a formula"
    # 1 February 1899 lies before the days that workbooks count, so it is text; a control character is left out
    assert (second[2], second[3], second[8]) == (1234567, "1899-02-01", "-5 < x & y")
    assert third[3] == "2024"
    assert rows.freeze_panes == "B2"


def test_rows_beyond_a_sheet_go_on_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_ROWS", 1_500)
    _head, first, second = openpyxl.load_workbook(io.BytesIO(body("xlsx", "test-many")), read_only=True).worksheets
    assert [len(list(sheet.values)) for sheet in (first, second)] == [1_501, 502]


def test_document_holds_sentence_caution_and_rows() -> None:
    made = Document(io.BytesIO(body("docx")))
    text = "\n".join(paragraph.text for paragraph in made.paragraphs)
    assert "3 specimens lie off the line." in text and CAUTION in text
    facts, rows = made.tables
    assert [facts.cell(0, 0).text, facts.cell(0, 1).text] == ["Question", "What lies off the line?"]
    assert [cell.text for cell in rows.rows[1].cells][:4] == ["LMN-1", "Baetis rhodani", "12.5", "17 Jun 2024"]


def test_document_of_too_many_rows_is_refused_with_what_to_do() -> None:
    found = file("docx", "test-many", sort="n")
    assert found.headers["Location"] == reverse("audit:ask", args=["test-many"]) + "?sort=n"
    told = signed_in(Role.AUDITOR).get(found.headers["Location"])
    assert len(list(csv.reader(io.StringIO(body("csv", "test-many").decode())))) > document.MOST_ROWS
    assert told.status_code == 200


@pytest.mark.parametrize("form", ["csv", "xlsx", "docx"])
def test_what_cannot_be_answered_goes_to_the_page_that_says_why(form: str) -> None:
    for told in ({"accession": "LMN-1900-000"}, {}):
        assert file(form, "test-of-accession", **told).status_code == 302


def test_file_is_in_the_order_of_the_page_and_bears_the_day() -> None:
    found = file("csv", sort="-off")
    assert timezone.localdate().isoformat() in found.headers["Content-Disposition"]
    assert b"".join(found).decode().splitlines()[-3].startswith("LMN-2")
