"""Words against what was drawn: where reportlab put them, and what stands on the page that was made a picture.

The thresholds of recognition are what was measured with tesseract 5.3.0 and its five languages, less a little: other
releases of it differ in the third digit.
"""

from __future__ import annotations

import difflib
import io
import shutil
from math import cos, radians, sin

import pypdfium2
import pytest
from reportlab.lib.pagesizes import A4
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from governance.scans.reading.digital import lines_of_page
from governance.scans.reading.placed import text_and_words
from governance.scans.reading.recognising import recognised
from governance.scans.reading.skew import skew_deg
from tests.factories import written

needs_recognition = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="tesseract is missing: apt-get install tesseract-ocr"
)
LANGUAGES = ("eng",)
WIDTH_PT, HEIGHT_PT = A4


def words_of(pdf: bytes) -> tuple[str, list[list[float]]]:
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    text, words = text_and_words([lines_of_page(page)])
    page.close()
    document.close()
    return text, words  # type: ignore[return-value]  # no confidence: all numbers but the last


def box_of(word: str, text: str, words: list[list[float]]) -> list[float]:
    found = [one for one in words if text[int(one[0]) : int(one[1])] == word]
    assert len(found) == 1, f"{word!r} stands {len(found)} times in {text!r}"
    return found[0][2:6]


class TestPlacesInPdfs:
    """The places at which reportlab drew the words; the widths of letters are Adobe's metrics of Helvetica."""

    def test_a_word_stands_where_it_was_drawn(self) -> None:
        text, words = words_of(written.page_pdf())
        left, top, right, bottom = box_of("LND-2024-117", text, words)
        # Line 3 (row 2): baseline 740 - 2 * 24 = 692 pt above the foot; the word follows "Permit No.: " from 72 pt.
        start_pt = 72 + stringWidth("Permit No.: ", "Helvetica", 12)
        end_pt = start_pt + stringWidth("LND-2024-117", "Helvetica", 12)
        baseline = 1 - 692 / HEIGHT_PT
        assert left == pytest.approx(start_pt / WIDTH_PT, abs=0.002)
        assert right == pytest.approx(end_pt / WIDTH_PT, abs=0.002)
        # The letters stand on the baseline, capitals rise 0.718 of 12 pt above it (Adobe's metrics: CapHeight 718).
        assert top < baseline - 0.7 * 12 / HEIGHT_PT
        assert baseline < bottom < baseline + 0.35 * 12 / HEIGHT_PT

    def test_a_turned_page(self) -> None:
        """A quarter clockwise: what was x points from the left is x points from the top, as the page is shown."""
        file = io.BytesIO()
        drawn = Canvas(file, pagesize=(400, 300))
        drawn.setFont("Helvetica", 12)
        drawn.setPageRotation(90)
        drawn.drawString(100, 50, "Nazvri")
        drawn.showPage()
        drawn.save()
        document = pypdfium2.PdfDocument(file.getvalue())
        shown_width, shown_height = document[0].get_size()
        media = document[0].get_mediabox()
        document.close()
        text, words = words_of(file.getvalue())
        left, top, right, bottom = box_of("Nazvri", text, words)
        assert (shown_width, shown_height) == (media[3], media[2])
        # Clockwise by a quarter: x' = y and y' = x, both counted from the upper left corner of what is shown.
        assert top == pytest.approx(100 / shown_height, abs=0.003)
        assert bottom == pytest.approx((100 + stringWidth("Nazvri", "Helvetica", 12)) / shown_height, abs=0.003)
        assert left < 50 / shown_width < right

    def test_a_cropped_page(self) -> None:
        """Cropped to 200 by 100 pt from (50, 650): "Permit" at (72, 692) is 22 pt from the left and 58 from the top."""
        text, words = words_of(written.page_pdf(crop=(50, 650, 250, 750)))
        left, top, _right, bottom = box_of("Permit", text, words)
        assert left == pytest.approx(22 / 200, abs=0.005)
        assert top < 58 / 100 < bottom
        assert "report" not in text, "what is cropped away is not shown"

    def test_labels_and_values_that_were_drawn_apart(self) -> None:
        """As forms do: all labels, then all values. Read line by line."""
        file = io.BytesIO()
        drawn = Canvas(file, pagesize=A4)
        for row, label in enumerate(("Permit No.:", "Holder:", "Valid until:")):
            drawn.drawString(72, 700 - 20 * row, label)
        for row, value in enumerate(("LND-2024-117", "Lindmark Museum", "18 June 2024")):
            drawn.drawString(220, 700 - 20 * row, value)
        drawn.showPage()
        drawn.save()
        text, _words = words_of(file.getvalue())
        assert text == "Permit No.: LND-2024-117\nHolder: Lindmark Museum\nValid until: 18 June 2024"

    def test_two_columns_of_prose(self) -> None:
        """Read one after the other, between a heading and a foot that go across."""
        file = io.BytesIO()
        drawn = Canvas(file, pagesize=A4)
        drawn.setFont("Helvetica", 10)
        drawn.drawString(72, 760, "Conditions of the collecting permit of the Province of Orvane, in two columns")
        for row in range(8):
            drawn.drawString(72, 720 - 14 * row, f"left {row} the holder shall keep to the routes")
            drawn.drawString(320, 720 - 14 * row, f"right {row} and shall report all of them")
        drawn.drawString(72, 100, "Page 1 of 2")
        drawn.showPage()
        drawn.save()
        text, _words = words_of(file.getvalue())
        order = [line.split()[0] for line in text.splitlines()]
        assert order == ["Conditions", *["left"] * 8, *["right"] * 8, "Page"]


def similarity(text: str) -> float:
    """Share of characters in the same order, 0 to 1 (difflib), whatever the ends of lines."""
    known, read = " ".join(written.PERMIT.split()), " ".join(text.split())
    return difflib.SequenceMatcher(None, known, read, autojunk=False).ratio()


@needs_recognition
@pytest.mark.slow
class TestRecognition:
    @pytest.mark.parametrize(
        ("look", "at_least"),
        [
            ({"dots_an_inch": 300}, 0.99),
            ({"dots_an_inch": 200}, 0.99),
            ({"dots_an_inch": 150}, 0.99),
            ({"dots_an_inch": 150, "skew_deg": 1.8, "noise": True}, 0.98),
            ({"dots_an_inch": 300, "skew_deg": -3.0}, 0.98),
        ],
        ids=lambda value: " ".join(f"{k}={v}" for k, v in value.items()) if isinstance(value, dict) else str(value),
    )
    def test_text_is_the_known_text(self, look: dict[str, float], at_least: float) -> None:
        text, words = text_and_words(recognised(written.picture(**look), LANGUAGES))  # type: ignore[arg-type]
        assert similarity(text) >= at_least
        assert [field for field in written.FIELDS if field not in " ".join(text.split())] == []
        assert all(0 <= (word[6] or 0) <= 100 for word in words)

    @pytest.mark.parametrize("quarters", [1, 2, 3])
    def test_a_page_that_lies_on_its_side_or_head(self, quarters: int) -> None:
        """Turned counter-clockwise by quarters: (x, y) goes to (y, 1 - x), as a turned sheet of paper shows."""
        upright = written.picture(dots_an_inch=150)
        text, words = text_and_words(recognised(upright.rotate(90 * quarters, expand=True), LANGUAGES))
        assert similarity(text) >= 0.99
        left, top, right, bottom = box_of("LND-2024-117", text, words)  # type: ignore[arg-type]
        before, half = stringWidth("Permit No.: ", "Helvetica", 12), stringWidth("LND-2024-117", "Helvetica", 12) / 2
        x = (72 + before + half) / WIDTH_PT
        y = 1 - (692 + 0.36 * 12) / HEIGHT_PT
        for _quarter in range(quarters):
            x, y = y, 1 - x
        assert (left + right) / 2 == pytest.approx(x, abs=0.006)
        assert (top + bottom) / 2 == pytest.approx(y, abs=0.006)

    @pytest.mark.parametrize("skew", [0.0, 1.8])
    def test_words_stand_where_they_are_seen(self, skew: float) -> None:
        """The middle of "LND-2024-117", by the metrics of Helvetica; askew it moves on a circle about the middle."""
        page = written.picture(dots_an_inch=200, skew_deg=skew)
        text, words = text_and_words(recognised(page, LANGUAGES))
        left, top, right, bottom = box_of("LND-2024-117", text, words)  # type: ignore[arg-type]
        x_pt = 72 + stringWidth("Permit No.: ", "Helvetica", 12) + stringWidth("LND-2024-117", "Helvetica", 12) / 2
        y_pt = HEIGHT_PT - 692 - 0.36 * 12  # half of the capitals' height above the baseline, from the top
        x, y, turn = x_pt - WIDTH_PT / 2, y_pt - HEIGHT_PT / 2, radians(skew)
        # Counter-clockwise as seen, with y downwards.
        x, y = x * cos(turn) + y * sin(turn) + WIDTH_PT / 2, -x * sin(turn) + y * cos(turn) + HEIGHT_PT / 2
        assert (left + right) / 2 == pytest.approx(x / WIDTH_PT, abs=0.006)
        assert (top + bottom) / 2 == pytest.approx(y / HEIGHT_PT, abs=0.006)


@pytest.mark.parametrize("skew", [-4.0, -1.8, -0.5, 0.0, 0.3, 1.0, 3.0, 5.5])
def test_the_skew_is_found(skew: float) -> None:
    """By how much the page was turned, to a tenth of a degree: what must be turned back."""
    assert skew_deg(written.picture(dots_an_inch=150, skew_deg=skew)) == pytest.approx(-skew, abs=0.1)


def test_an_empty_page_has_no_skew() -> None:
    assert skew_deg(written.picture("")) == 0
