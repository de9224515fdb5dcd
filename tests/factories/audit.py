"""Questions and answers for tests, small enough to be counted by hand."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from unittest import mock

from accessions.material.models import Specimen
from accessions.people.models import Role
from governance.audit import questions
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    QueriedRows,
    Question,
    Row,
)
from governance.audit.models import QualityNote
from governance.audit.resolving import accession_of, days_of
from tests.factories import register

COLUMNS = (
    Column("specimen", "Specimen", ColumnKind.CODE), Column("name", "Name", ColumnKind.TAXON),
    Column("off", "Off the line", ColumnKind.NUMBER, "m"), Column("on", "Collected", ColumnKind.DAY),
    Column("at", "Entered", ColumnKind.MOMENT), Column("country", "Country", ColumnKind.COUNTRY),
    Column("worst", "Verdict", ColumnKind.VERDICT), Column("strip", "Layers", ColumnKind.STRIP),
    Column("note", "Remark"),
)  # fmt: skip
"""One column of each kind."""

AT = datetime(2024, 6, 17, 14, 22, 5, tzinfo=UTC)
ROWS = (
    Row("specimen:1", (Linked("LMN-1", "/specimens/1/"), "Baetis rhodani", Decimal("12.5"), date(2024, 6, 17), AT, "CR",
                       4, "041111111", '=HYPERLINK("http://example.org")')),
    Row("specimen:2", ("LMN-2", None, 1234567, date(1899, 2, 1), None, "", None, "", "-5 < x & \x01y")),
    Row("specimen:3", ("LMN-3", "Baetis <sp.>", None, "2024", "", "ZZ", "0", "no strip", "")),
)  # fmt: skip
"""Whole, blank and odd: a formula, a day before spreadsheets count, a control character, a year in a column of days."""


def whole_answer(asked: Asked) -> Answer:
    """An answer that has everything, whatever is asked."""
    return Answer(
        "3 specimens lie off the line.", COLUMNS, ListedRows(ROWS), strip="041111111",
        missing=(Missing("Specimens without coordinates", 7, "/specimens/?verdict=unchecked"),),
        kept_back=("2 papers are not open to you.",), notes=("Distances are geodesic.",),
    )  # fmt: skip


def specimens_of(asked: Asked) -> Answer:
    """Specimens of an accession, read by slices."""
    days_of(asked)
    query = Specimen.objects.filter(accession=accession_of(asked)).order_by("pk")
    count = query.count()
    rows = QueriedRows(query, lambda found: [Row(f"specimen:{one.pk}", (one.catalog_number,)) for one in found], count)
    return Answer(f"{count} specimens.", COLUMNS[:1], rows)


WHOLE = Question("test-whole", Group.TAKING, "What lies off the line?", "Everything that lies off it.", whole_answer)
OF_ACCESSION = Question(
    "test-of-accession", Group.RECORDS, "What is in an accession?", "All its specimens.", specimens_of,
    (Parameter("accession", ParameterKind.ACCESSION, "Accession", is_required=True),
     Parameter("days", ParameterKind.DAYS, "Days ahead", is_required=True, default="90"),
     Parameter("country", ParameterKind.COUNTRY, "Country"),
     Parameter("layer", ParameterKind.CHOICE, "Layer", choices=(("land", "Land"), ("access", "Access")))),
)  # fmt: skip


@contextmanager
def also_asked(*more: Question) -> Iterator[None]:
    """The registry with some questions more."""
    every = (*questions.QUESTIONS, *more)
    by_key = {one.key: one for one in every}
    with mock.patch.object(questions, "QUESTIONS", every), mock.patch.object(questions, "QUESTION", by_key):
        yield


def quality_note(row: str = "event:1", question: str = "quality-without-date", **values: Any) -> QualityNote:
    """A row noted as right as it is by a registrar, past the action; what it says is not what the rule finds."""
    told = {"digest": "0" * 64, "why": "The label is lost; the field book says so.", "said": ["#1", ""]} | values
    told.setdefault("noted_by", register.person(Role.REGISTRAR))
    return QualityNote.objects.create(question=question, row=row, **told)
