"""Evidence in one file, opened as an auditor does: by zipfile, hashlib, lxml, openpyxl and csv alone."""

from __future__ import annotations

import csv
import hashlib
import io
import posixpath
import re
import zipfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import unquote

import openpyxl
import pytest
from django.conf import settings
from django.db import transaction
from lxml import html

from accessions.material.actions.removing import remove_specimen
from accessions.material.models import Accession, Specimen
from accessions.people.history import record
from accessions.people.models import Role, User
from accessions.people.sealing import head
from governance.audit.asking import UnknownValueError
from governance.audit.bundle import history_part, verdict_part
from governance.audit.bundle.packing import Packed, safe_name
from governance.audit.bundle.writing import write_bundle
from governance.engine.tables import Layer
from governance.papers.models import Condition, PaperScan
from governance.reports.models import Report
from governance.verdicts.actions import assess
from tests.factories import duties, register, reports, scans, usedesk
from tests.integration.audit.test_clocks import at
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]  # fixtures

pytestmark = pytest.mark.django_db

MADE = datetime(2026, 3, 2, 9, tzinfo=UTC)
LATER = MADE + timedelta(days=30)
NAME = "../Zäta =1+1 <b>letter</b>.pdf"
PDF = scans.pdf(text="Permit COL-2024-052")


@pytest.fixture(scope="module")
def made(kept: None) -> User:
    """Two specimens, a paper in two versions with a scan, a loan, a duty and a report; one thing is changed later."""
    with at(MADE):
        by = register.person(Role.REGISTRAR, first_name="Nora", last_name="<i>Registrar</i>")
        paper = register.paper(holder="The museum")
        for starts, ends, text in (
            ("2024-05-01", "2024-06-30", "Old words"),
            ("2024-07-01", "2030-06-30", "New words"),
        ):
            Condition.objects.create(version=register.version(paper, starts, ends), position=0, text=text)
        accession = register.accession(title="Nazvri 2024")
        first = register.specimen("LMN-FW-0001", accession=accession)
        register.specimen("LMN-FW-0002", accession=accession, name=register.written_name('=1+1 "<b>x</b>"'))
        register.link(paper, by, accession=accession)
        register.rule(register.sheet("GE"), Layer.COLLECTING)
        PaperScan.objects.create(paper=paper, scan=scans.scan(PDF), name=NAME, filed_by=by)
        usedesk.made_use(first)
        duties.duty(paper=paper, what="Send a report to the desk")
        reports.file(reports.issued_report(paper=paper))
        assess(by=by, why="first assessment")
    with at(LATER):
        paper.issuer = "Another directorate"
        record(paper, by=by, why="as its letter of March says")
    return by


def packed(of: str, by: Any, on: date = date(2026, 4, 2), known_at: datetime | None = None, **values: str) -> Any:
    file = io.BytesIO()
    write_bundle(file, of, values, reader=by, on=on, known_at=known_at)
    return zipfile.ZipFile(file)


SUBJECTS = (
    "specimen:LMN-FW-0001", "accession:LMN-2024-038", "country:GE", "paper:COL-2024-052", "report:R-2026-1",
    "question:outside-dates",
)  # fmt: skip


def read(bundle: zipfile.ZipFile, name: str) -> str:
    return bundle.read(name).decode("utf-8-sig")


def table(bundle: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(read(bundle, name))))


def words(bundle: zipfile.ZipFile, name: str = "index.html") -> str:
    return " ".join(" ".join(html.fromstring(bundle.read(name)).itertext()).split())


def faults(bundle: zipfile.ZipFile) -> Iterator[str]:
    """Members without their hash, with another one, or with a name that some system refuses; links to nowhere."""
    lines = [line.split("  ", 1) for line in read(bundle, "hashes.txt").splitlines()]
    told = {name: sha256 for sha256, name in lines}
    names = bundle.namelist()
    if set(told) != set(names) - {"hashes.txt"} or len({name.lower() for name in names}) != len(names):
        yield "members and hashes differ"
    for name in told:
        if hashlib.sha256(bundle.read(name)).hexdigest() != told[name]:
            yield f"hash of {name}"
        if not re.fullmatch(r"(?:[a-z]+/)?[A-Za-z0-9_][A-Za-z0-9._-]{0,99}", name):
            yield f"name {name}"
    for page in (name for name in names if name.endswith(".html")):
        for _element, _attribute, link, _place in html.fromstring(bundle.read(page)).iterlinks():
            if posixpath.normpath(posixpath.join(posixpath.dirname(page), unquote(link))) not in names:
                yield f"{page}: {link}"


@pytest.mark.parametrize("of", SUBJECTS)
def test_each_opens_by_itself(of: str, made: User) -> None:
    bundle = packed(of.replace("R-2026-1", reports_number()), made)
    assert bundle.testzip() is None
    assert list(faults(bundle)) == []
    assert read(bundle, "seal.txt").split() != []
    pages = [name for name in bundle.namelist() if name.endswith((".html", ".txt", ".csv", ".json", ".css"))]
    for name in pages:
        assert str(settings.BASE_DIR) not in read(bundle, name), name
        assert str(settings.FIELDWRIT_FILES) not in read(bundle, name), name
    assert "It is no legal advice and no finding of an offence." in words(bundle)
    assert "Nothing that belongs to it was kept back from this reader." in words(bundle)


def test_specimens_that_were_removed_are_told(made: User) -> None:
    """Of an accession, a country or a paper an auditor sees that something was there, who took it out, and why."""
    accession = Accession.objects.get(number="LMN-2024-038")
    gone = register.specimen("LMN-FW-0009", accession=accession)
    elsewhere = register.specimen("LMN-FW-0010", accession=register.accession("LMN-2031-001"))
    for one in (gone, elsewhere):
        remove_specimen(one, by=register.person(Role.REGISTRAR), why="Typed twice")
    for of in ("accession:LMN-2024-038", "country:GE", "paper:COL-2024-052"):
        bundle = packed(of, made)
        rows = table(bundle, "history/removed-specimens.csv")
        assert [(row["record"], row["did"], row["why"]) for row in rows if row["did"] == "removed"] == [
            ("LMN-FW-0009", "removed", "Typed twice")
        ]
        assert "1 specimen of its accessions that was removed from the register" in words(bundle)
        assert list(faults(bundle)) == []
    assert "history/removed-specimens.csv" not in packed("specimen:LMN-FW-0001", made).namelist()


def reports_number() -> str:
    return Report.objects.get().reference


def test_faults_are_seen() -> None:
    """Else the test above could not fail."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as bad:
        bad.writestr("hashes.txt", f"{'0' * 64}  index.html\n")
        bad.writestr("index.html", '<a href="scans/lost.pdf">x</a>')
        bad.writestr("scans/../a b", "")
    assert len(list(faults(zipfile.ZipFile(file)))) == 3


def test_what_an_accession_holds(made: User) -> None:
    bundle = packed("accession:LMN-2024-038", made)
    assert [row["Catalogue number"] for row in table(bundle, "rows/specimens.csv")] == ["LMN-FW-0001", "LMN-FW-0002"]
    assert table(bundle, "rows/specimens.csv")[1]["Name"] == '\'=1+1 "<b>x</b>"'
    sheet = openpyxl.load_workbook(io.BytesIO(bundle.read("rows/specimens.xlsx"))).worksheets[-1]
    assert [[cell.value for cell in row][3] for row in sheet.iter_rows(min_row=2)] == [
        "Calopteryx splendens", '=1+1 "<b>x</b>"',
    ]  # fmt: skip
    assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    scan = PaperScan.objects.get().scan
    assert bundle.read(f"scans/{scan.pk}-..-Zata-1-1-b-letter-b-.pdf") == PDF
    assert table(bundle, "duties/duties.csv")[0]["what"] == "Send a report to the desk"
    assert [row["what"] for row in table(bundle, "uses/uses.csv")] != []
    assert [row["number"] for row in table(bundle, "reports/reports.csv")] == [reports_number()]
    (loan,) = {row["catalogue number"] for row in table(bundle, "uses/specimens.csv")}
    assert loan == "LMN-FW-0001"


def test_the_version_of_the_day_is_marked(made: User) -> None:
    for on, number, text in ((date(2024, 6, 30), 1, "Old words"), (date(2024, 7, 1), 2, "New words")):
        page = html.fromstring(packed("paper:COL-2024-052", made, on).read("papers/COL-2024-052.html"))
        (mark,) = page.find_class("binds")
        assert mark.getparent().text.strip() == f"Version {number}"
        following = mark.getparent().getnext()
        while text not in following.text_content():
            following = following.getnext()
            assert following.tag != "h2", f"{text} stands in another version"


def test_verdicts_say_by_what_they_were_made(made: User) -> None:
    bundle = packed("specimen:LMN-FW-0001", made)
    page = words(bundle, "verdicts/LMN-FW-0001.html")
    assert "Collecting Covered 17 Jun 2024 COL-2024-052 v1" in page
    assert "First verdicts" in page
    (result,) = table(bundle, "verdicts/through-time.csv")
    assert (result["catalogue number"], result["why"]) == ("LMN-FW-0001", "first assessment")
    assert {row["specimens"] for row in table(bundle, "verdicts/by-ruling.csv")} == {"1"}
    assert '"start_days_of_versions": {"COL-2024-052": ["2024-05-01", "2024-07-01"]}' in read(
        bundle, "rules/assessments.json"
    )
    assert any(row["country"] == "GE" for row in table(bundle, "rules/country-sheets.csv"))


class TestAsKnown:
    """Before the paper was changed."""

    def test_paper_is_as_known_and_its_history_whole(self, made: User) -> None:
        bundle = packed("paper:COL-2024-052", made, known_at=MADE + timedelta(hours=1))
        assert "Nazvri Directorate" in words(bundle, "papers/COL-2024-052.html")
        assert "Another directorate" not in words(bundle, "papers/COL-2024-052.html")
        history = words(bundle, "history/paper-COL-2024-052.html")
        assert "Nazvri Directorate → Another directorate" in history
        assert "entered after the moment asked for as its letter of March says" in history
        assert "As known on (day of the register) 2 March 2026" in words(bundle)

    def test_what_differs_from_now_is_a_table(self, made: User) -> None:
        with at(LATER):
            specimen = Specimen.objects.get(catalog_number="LMN-FW-0002")
            specimen.name = register.written_name("Baetis")
            record(specimen, by=made, why="determined")
            register.specimen("LMN-FW-0003", accession=Accession.objects.get())
        bundle = packed("accession:LMN-2024-038", made, known_at=MADE + timedelta(hours=1))
        assert len(table(bundle, "rows/specimens.csv")) == 2
        rows = table(bundle, "rows/difference.csv")
        changed = [row for row in rows if row["what"] == "says something else" and row["column"] == "Name"]
        assert [(row["then"], row["now"]) for row in changed] == [('\'=1+1 "<b>x</b>"', "Baetis")]
        assert {row["row"] for row in rows if row["what"] == "came since"} == {
            f"specimen:{Specimen.objects.get(catalog_number='LMN-FW-0003').pk}"
        }
        assert "1 rows came since, 0 went, 1 say something else now." in words(bundle)


def test_many_have_tables_in_the_place_of_pages(made: User, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verdict_part, "MOST_PAGES", 1)
    monkeypatch.setattr(history_part, "_MOST_PAGES", dict.fromkeys(history_part._MOST_PAGES, 0))
    bundle = packed("accession:LMN-2024-038", made)
    assert not [name for name in bundle.namelist() if re.match("(verdicts|history)/.*html", name)]
    rows = table(bundle, "history/papers.csv")
    last = rows[-1]
    assert (last["record"], last["who"], last["why"], last["before"], last["after"]) == (
        "COL-2024-052", made.shown_name, "as its letter of March says", "Nazvri Directorate", "Another directorate",
    )  # fmt: skip
    assert {row["key"] for row in table(bundle, "history/specimens.csv")} == {
        str(key) for key in Specimen.objects.values_list("pk", flat=True)
    }
    assert "Of 2 specimens the history is one table" in words(bundle)


def test_a_lost_scan_is_said(made: User) -> None:
    scan = PaperScan.objects.get().scan
    with transaction.atomic():
        type(scan).objects.filter(pk=scan.pk).update(stored_name="00/lost")
        bundle = packed("paper:COL-2024-052", made)
        transaction.set_rollback(True)
    assert f"its hash should be {scan.sha256}" in words(bundle)
    assert not [name for name in bundle.namelist() if name.startswith("scans/")]
    assert list(faults(bundle)) == []


def test_the_head_is_of_before_it_was_read(made: User) -> None:
    number, sha256 = head()
    told = read(packed("paper:COL-2024-052", made), "seal.txt")
    assert sha256 in "".join(re.findall(r"\b[0-9a-f]{4}\b", told)) and f"{number}:" in told


@pytest.mark.parametrize("of", ["specimen:LMN-0", "paper:", "dog:7", "country:XX", "report:R-0", "question:why", ""])
def test_nothing_is_said_to_be_nothing(of: str, made: User) -> None:
    with pytest.raises(UnknownValueError, match=r"register has no|nothing that a bundle"):
        packed(of, made)


class TestPacked:
    """Names that every file system takes."""

    def test_equal_names_get_numbers(self) -> None:
        bundle = Packed(io.BytesIO())
        for text, expected in (("A.pdf", "scans/A.pdf"), ("a.pdf", "scans/a-2.pdf"), ("A.pdf", "scans/A-3.pdf")):
            name = bundle.name_for("scans", text)
            bundle.add(name, text.encode())
            assert name == expected
        with pytest.raises(ValueError, match="already"):
            bundle.add("scans/a.PDF", b"")

    @pytest.mark.parametrize("text, expected", [
        ("../../etc/passwd", "etc-passwd"), (".hidden", "hidden"), ("Ж", "file"),
        ("x" * 300 + ".pdf", "x" * 76 + ".pdf"),
        ("a\0b\n.pdf", "a-b-.pdf"), ("con.pdf", "_con.pdf"),
    ])  # fmt: skip
    def test_unsafe_names(self, text: str, expected: str) -> None:
        assert safe_name(text) == expected
