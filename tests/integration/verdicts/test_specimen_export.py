"""The list as CSV and as a workbook: what stands in it, typed, and nothing that would run as a formula."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime
from typing import Any

import openpyxl
import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.verdicts.views import export
from tests.factories import register
from tests.factories.verdicts import Why, judged

pytestmark = pytest.mark.django_db

CSV, XLSX = "/specimens/export.csv", "/specimens/export.xlsx"


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


@pytest.fixture(autouse=True)
def two() -> None:
    accession = register.accession("LMN-2024-001")
    judged(
        register.specimen("A-1", accession=accession, part=register.part(accession, "B")), "411112111",
        {
            Layer.LAND: Why("after-end", "3 days after the end of LND-1.", register.paper("LND-1", (Layer.LAND,))),
            Layer.EXPORT: Why("no-rule", "No rule."),
        },
    )  # fmt: skip
    judged(register.specimen("B-1", accession=accession, event=register.event(day="")))


def csv_rows(client: Client, asked: str = "") -> list[list[str]]:
    response = client.get(f"{CSV}?{asked}")
    assert response.status_code == 200
    text = b"".join(response).decode("utf-8")
    assert text[0] == "\ufeff"
    return list(csv.reader(io.StringIO(text[1:])))


def sheet(client: Client, asked: str = "") -> Any:
    response = client.get(f"{XLSX}?{asked}")
    assert response.status_code == 200
    return openpyxl.load_workbook(io.BytesIO(b"".join(response))).active


def test_columns_of_a_row(curator: Client) -> None:
    head, first, second = csv_rows(curator)
    row = dict(zip(head, first, strict=True))
    assert [row[n] for n in ("Catalogue number", "Accession", "Part", "Country")] == ["A-1", "LMN-2024-001", "B", "GE"]
    assert (row["Collected, first day"], row["Collected, as written"]) == ("2024-06-17", "2024-06-17")
    assert row["Permission strip"] == "La=O Co=N Sp=N Si=N Ac=N Ex=? Im=N Ci=N Tr=N"
    assert (row["Land"], row["Export"], row["CITES"]) == ("Outside terms", "Cannot tell", "Not required")
    assert (row["Worst verdict"], row["Papers"]) == ("Outside terms", "LND-1")
    assert row["Reasons"] == "Land: 3 days after the end of LND-1. Export: No rule."
    assert dict(zip(head, second, strict=True))["Collected, first day"] == ""


def test_days_in_reasons_are_those_of_a_file(curator: Client) -> None:
    """On the page the same sentence says the day as the page does."""
    why = Why("after-end", "Collected {when}, 3 days after the end date of LND-1.")
    made = judged(register.specimen("C-1"), "411111111", {Layer.LAND: why})
    head, row = csv_rows(curator, "q=C-1")
    sentence = "3 days after the end date of LND-1."
    assert dict(zip(head, row, strict=True))["Reasons"] == f"Land: Collected 2024-06-17, {sentence}"
    assert f"Collected 17 June 2024, {sentence}" in curator.get(f"/specimens/{made.pk}/").content.decode()


def test_the_file_is_the_list(curator: Client) -> None:
    """Filter and order as on the screen; ticked rows alone if there are any; with none ticked nothing but the heads."""
    key = judged(register.specimen("C-1")).pk
    assert [row[0] for row in csv_rows(curator, "sort=-specimen")[1:]] == ["C-1", "B-1", "A-1"]
    assert [row[0] for row in csv_rows(curator, "verdict=outside")[1:]] == ["A-1"]
    assert [row[0] for row in csv_rows(curator, f"of=verdict%3Doutside&pick={key}")[1:]] == ["C-1"]
    assert [row[0] for row in csv_rows(curator, f"of=verdict%3Doutside&all=1&pick={key}")[1:]] == ["A-1"]
    assert csv_rows(curator, "of=verdict%3Doutside")[1:] == []


def test_a_specimen_without_a_verdict_is_in_the_file_and_not_covered(curator: Client) -> None:
    register.specimen("Z-1")
    head, row = csv_rows(curator, "verdict=unchecked")
    assert dict(zip(head, row, strict=True))["Worst verdict"] == "Not yet checked"
    assert dict(zip(head, row, strict=True))["Land"] == ""


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_a_spreadsheet_would_run_is_text(curator: Client, start: str) -> None:
    """OWASP, "CSV Injection": the six characters that start a formula, here in a name that anybody could have typed."""
    typed = f"{start}HYPERLINK(1)"
    judged(register.specimen("C-1", name=register.written_name("x", shown=typed)))
    head, row = csv_rows(curator, "q=C-1")
    assert dict(zip(head, row, strict=True))["Name"] == f"'{typed}"
    cell = sheet(curator, "q=C-1").cell(2, 4)
    assert (cell.data_type, cell.value.strip()) == ("s", typed.strip())
    assert cell.quotePrefix


def test_a_strip_of_minus_signs_in_numbers_stays_a_number(curator: Client) -> None:
    """Only text is guarded: a day is a day in the workbook, and a head is a head."""
    found = sheet(curator, "sort=specimen")
    assert found.cell(1, 1).value == "Catalogue number"
    assert found.cell(2, 5).value == datetime(2024, 6, 17)
    assert found.cell(2, 5).is_date
    assert found.cell(3, 5).value is None
    assert (found.max_row, found.max_column) == (3, 23)
    assert found.freeze_panes == "B2"


def test_control_characters_are_left_out_of_the_workbook(curator: Client) -> None:
    """ECMA-376 allows none below a blank but tab and line ends; a file with one cannot be opened."""
    judged(register.specimen("C-1", name=register.written_name("x", shown="Unio\x0bcrassus\x1f")))
    assert sheet(curator, "q=C-1").cell(2, 4).value == "Uniocrassus"


def test_too_long_for_a_workbook_is_said(curator: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export, "MOST_IN_A_WORKBOOK", 1)
    response = curator.get(XLSX, follow=True)
    assert "The list has 2 rows; a workbook takes 1. Narrow the list, or take it as CSV." in response.content.decode()
    assert len(csv_rows(curator)) == 3


def test_names_of_the_files(curator: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.localdate", lambda: date(2026, 11, 25))
    for address, name in ((CSV, "specimens-2026-11-25.csv"), (XLSX, "specimens-2026-11-25.xlsx")):
        response = curator.get(address)
        assert name in response.headers["Content-Disposition"]
        assert b"".join(response)  # whole, so that its file is closed
    assert curator.get("/specimens/export.pdf").status_code == 404


def test_queries_do_not_grow_with_rows(curator: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Session, user; two counts; the keys; rows, their reasons and sentences; papers of layers, by two."""
    for _more in range(2):
        with django_assert_num_queries(10):
            csv_rows(curator)
        for n in range(5):
            judged(register.specimen(f"D-{_more}{n}"))


@pytest.mark.parametrize(("role", "status"), [(Role.AUDITOR, 200), (Role.VOLUNTEER, 403)])
def test_who_may_export(client: Client, role: str, status: int) -> None:
    client.force_login(register.person(role))
    for address in (CSV, XLSX):
        response = client.get(address)
        assert response.status_code == status
        assert b"".join(response)  # whole, so that its file is closed


def test_nobody_exports_unknown(client: Client) -> None:
    assert client.get(CSV).headers["Location"].startswith("/sign-in/")
