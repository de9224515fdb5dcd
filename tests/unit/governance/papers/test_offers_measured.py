"""Offers on generated permits and on the scans of the demo: shares that must not fall, and no wrong day at all.

What is true of each stands beside it (``tests/factories/permits.py``, ``fixtures/scans/scans.json``) and was written by
hand. That the words of real papers are as plain as these, this cannot show.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pypdfium2
import pytest

from governance.papers.offers import PageText, offers_in
from tests.bench.offers import DAYS, MISSING, RIGHT, WRONG, Score, read_page, score, shown_as_open
from tests.factories.permits import PERMITS, Permit, digital, of_kind, scan_of

SCANS = Path(__file__).resolve().parents[4] / "fixtures" / "scans"
NAMES = [permit.name for permit in PERMITS]


def text_of(content: bytes) -> list[PageText]:
    """The words of a PDF as pdfium gives them: another reader than the register's own."""
    with pypdfium2.PdfDocument(content) as document:
        texts = [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]
    return [PageText(number, number, text) for number, text in enumerate(texts, 1)]


@pytest.mark.parametrize("permit", PERMITS, ids=NAMES)
def test_every_day_number_and_party_of_a_digital_permit_is_offered(permit: Permit) -> None:
    found = score(permit, text_of(digital([permit])), permit.name)
    names = ("reference", "second_number", "issued_on", "issuer", "jurisdiction", "holder", "in_force_from",
             "in_force_to", "taxa", "methods")  # fmt: skip
    assert {name: found.of(name, MISSING) + found.of(name, WRONG) for name in names} == dict.fromkeys(names, 0)


@pytest.mark.parametrize("permit", PERMITS, ids=NAMES)
@pytest.mark.parametrize(("kind", "why"), [("ambiguous", "two-readings"), ("two-digit-year", "two-digit-year")])
def test_a_day_that_is_open_is_shown_and_not_offered(permit: Permit, kind: str, why: str) -> None:
    pages = text_of(scan_of(permit, kind))
    assert shown_as_open(pages) == [why]
    found = score(of_kind(permit, kind), pages, permit.name)
    assert found.of("issued_on", WRONG) == 0


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("tesseract") is None, reason="needs tesseract")
def test_no_wrong_day_is_offered_from_pictures() -> None:
    """One permit of each layout in the kinds that are hard to read; all are measured by ``tests.bench.offers``."""
    total = Score()
    for permit in (PERMITS[0], PERMITS[9]):
        for kind in ("noisy-150", "stamped-300", "covered-300"):
            total.add(score(permit, read_page(scan_of(permit, kind)), f"{permit.name}, {kind}"))
    assert sum(total.of(day, WRONG) for day in DAYS) == 0, total.wrong
    assert total.share(RIGHT) >= 0.6
    assert sum(total.of(day, RIGHT) for day in DAYS) >= 8  # of 18, of which two are covered and two are stamped over


def test_the_score_counts_as_a_person_would() -> None:
    """One value right, one wrong, one missing, by hand."""
    permit = Permit("en", "form", (), {"reference": "A-1", "issued_on": "2024-05-06"}, "")
    found = score(permit, [PageText(1, 1, "Permit No. A-1\nHolder: J. Ek")], "by hand")
    assert (found.of("reference", RIGHT), found.of("holder", WRONG), found.of("issued_on", MISSING)) == (1, 1, 1)
    assert found.share(RIGHT) == pytest.approx(1 / 3)
    assert found.wrong == ["by hand, holder: offered 'J. Ek'"]


# The scans of the demo


def entries() -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads((SCANS / "scans.json").read_text("utf-8"))["scans"]
    return found


def test_the_scans_of_the_demo_are_there_and_small() -> None:
    files = {str(entry["file"]) for entry in entries()}
    assert files == {path.name for path in SCANS.iterdir()} - {"scans.json"}
    assert sum(path.stat().st_size for path in SCANS.iterdir()) < 1_500_000
    with pypdfium2.PdfDocument(SCANS / "nazvri-2024.pdf") as document:
        assert len(document) == 60


@pytest.mark.parametrize("file", ["nazvri-2024.pdf", "lnd-2024-117-first.pdf", "lnd-2024-117-amended.pdf",
                                  "lnd-2026-061.pdf"])  # fmt: skip
def test_the_scans_of_the_demo_offer_what_is_true_of_their_papers(file: str) -> None:
    (entry,) = [entry for entry in entries() if entry["file"] == file]
    pages = text_of((SCANS / file).read_bytes())
    for paper in entry["papers"]:  # type: ignore[attr-defined]
        first, last = paper["first"] or 1, paper["last"] or len(pages)
        mine = [PageText(page.page, page.page - first + 1, page.text) for page in pages[first - 1 : last]]
        offered = {offer.field: offer.value for offer in offers_in(mine)}
        wanted = {key: value for key, value in paper["truth"].items() if key != "issuer"}
        assert {key: offered.get(key) for key in wanted} == wanted, paper["reference"]
