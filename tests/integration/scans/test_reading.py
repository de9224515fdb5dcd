"""Words of scans: read in the background, written once, said plainly where they could not be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from governance.scans.actions.reading import read
from governance.scans.models import Scan
from tests.factories import scans

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def files(settings: pytest.FixtureRequest, tmp_path: Path) -> None:
    settings.FIELDWRIT_FILES = tmp_path  # type: ignore[attr-defined]


def test_the_words_of_a_pdf_are_written_page_by_page() -> None:
    scan = scans.scan(scans.pdf(3, "Permiso NC/2024/117\nRecolección"), page_count=3)

    read(scan=scan)

    pages = list(scan.pages.all())
    assert [page.number for page in pages] == [1, 2, 3]
    assert pages[1].text == "Page 2 of 3\nPermiso NC/2024/117\nRecolección"
    assert pages[1].folded == " page 2 of 3 permiso nc 2024 117 recoleccion "
    assert (pages[1].printed_page, pages[1].printed_of) == (2, 3)
    assert scan.text_state == Scan.TextState.READ
