"""Files of reports in a word processor and a spreadsheet that are not ours: LibreOffice, without a window.

Documents become PDF, whose pages and words pypdfium2 reads; workbooks become CSV, whose cells are counted. Two runs of
LibreOffice for all of them, since starting it takes seconds. The numbers of pages hold for its layout with the fonts of
the machine, so they are bounds.
"""

from __future__ import annotations

import csv
import re
import shutil
import subprocess
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pypdfium2
import pytest

from governance.reports.writing.docx import report_docx
from governance.reports.writing.language import languages, words_of
from governance.reports.writing.workbook import report_workbook
from tests.factories import reports_composed as made

pytestmark = pytest.mark.skipif(
    shutil.which("soffice") is None,
    reason="LibreOffice is missing: apt-get install libreoffice-writer libreoffice-calc",
)
AT = datetime(2026, 11, 26, 12)
FILES = [*((kind, "en") for kind in made.KINDS), *(("provider", code) for code in languages() if code != "en")]
MOST_PAGES = {"provider": 7, "benefits": 5, "agency": 4, "landowner": 2, "diligence": 3, "certificate": 3, "many": 25}
CSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
"""Commas, double quotes, UTF-8, values as shown, every sheet in a file of its own."""


def convert(folder: Path, to: str, pattern: str) -> None:
    """One run over files of a folder."""
    files = sorted(folder.glob(pattern))
    command = ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--norestore"]
    done = subprocess.run([*command, "--convert-to", to, "--outdir", folder, *files], capture_output=True, timeout=240)
    assert done.returncode == 0, done.stderr.decode("utf-8", "replace")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """The words of each page of each document, by kind and language."""
    folder = tmp_path_factory.mktemp("documents")
    for kind, code in FILES:
        content = report_docx(made.KINDS[kind](), code, made_at=AT, draft=code == "fr")
        (folder / f"{kind}-{code}.docx").write_bytes(content)
    (folder / "many-en.docx").write_bytes(report_docx(made.many(3000), "en", made_at=AT, draft=False))
    convert(folder, "pdf", "*.docx")
    return {file.stem: list(pages_of(file)) for file in folder.glob("*.pdf")}


def pages_of(file: Path) -> Iterator[str]:
    document = pypdfium2.PdfDocument(file)
    for page in document:
        words = page.get_textpage().get_text_range()
        yield re.sub(r"\s+", " ", words)
    document.close()


def test_documents_have_their_pages(pages: dict[str, list[str]]) -> None:
    counts = {name: len(told) for name, told in pages.items()}
    assert set(counts) == {f"{kind}-{code}" for kind, code in FILES} | {"many-en"}
    assert {name: n for name, n in counts.items() if not 1 <= n <= MOST_PAGES[name.partition("-")[0]]} == {}
    assert counts["many-en"] > 10


def test_documents_say_what_they_should(pages: dict[str, list[str]]) -> None:
    for kind, code in FILES:
        told, words = pages[f"{kind}-{code}"], words_of(code)
        whole = " ".join(told)
        assert words.caution().replace("\u00a0", " ")[:60] in whole, (kind, code)
        assert words("disclosure")[:30] in whole
        for number, page in enumerate(told, 1):
            assert words("page_of", page=number, pages=len(told)) in page
            assert ("R-2026-014" in page, words("draft") in page) == (True, code == "fr")


def test_the_contents_name_the_pages_on_which_parts_stand(pages: dict[str, list[str]]) -> None:
    """LibreOffice works the pages out; the part is then looked for on that page."""
    told = pages["many-en"]
    listed = re.findall(r"(\d+ [A-Z][a-z ,]+?) ?\.{4,} ?(\d+)", " ".join(told[:2]))
    assert len(listed) > 12
    assert [title for title, page in listed if title not in told[int(page) - 1]] == []


def test_heads_of_tables_stand_again_on_each_page(pages: dict[str, list[str]]) -> None:
    """Forty uses go over two pages at least: the head is on each page that has rows of them."""
    with_rows = [page for page in pages["many-en"] if re.search(r"\bS-\d+ Sequenced", page)]
    assert len(with_rows) > 1
    assert all("What was done" in page for page in with_rows)


def test_numbers_of_the_document_are_those_of_the_figures(pages: dict[str, list[str]]) -> None:
    """Four figures looked up by name on the printed first page."""
    first = pages["provider-en"][0]
    figures = {figure.key: figure.value for figure in made.provider().contents.figures}
    for key in ("papers", "individuals", "exception_specimens", "deposited_specimens"):
        assert f"{words_of('en').figure(key)} {figures[key]}" in first


def test_workbooks_have_the_cells_of_their_tables(tmp_path: Path) -> None:
    books = [("provider", "en"), ("benefits", "pt")]
    for kind, code in books:
        (tmp_path / f"{kind}-{code}.xlsx").write_bytes(report_workbook(made.KINDS[kind](), code, made_at=AT))
    convert(tmp_path, CSV, "*.xlsx")
    for kind, code in books:
        for table in made.KINDS[kind]().tables.values():
            sheet = words_of(code).of("tables", table.key)
            with (tmp_path / f"{kind}-{code}-{sheet}.csv").open(encoding="utf-8", newline="") as file:
                rows = list(csv.reader(file))[1:]
            filled = [sum(1 for cell in row if cell) for row in rows]
            assert filled == [sum(1 for value in row if value not in (None, "")) for row in table.rows], sheet
