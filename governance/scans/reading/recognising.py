"""Words recognised in a picture by tesseract, a program of the system that is asked as a process of its own."""

from __future__ import annotations

import csv
import io
import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from math import cos, radians, sin
from typing import Final

from PIL import Image, ImageFilter

from governance.scans.reading.placed import Line, Word
from governance.scans.reading.skew import skew_deg

PROGRAM: Final = "tesseract"

SECONDS_A_PAGE: Final = 90
"""A page of print takes 1 to 6 s; a page of noise takes longer and says nothing."""

_SMALL_PIXELS: Final = 1400
"""A page that is less wide (some 165 dots an inch) is made twice as large, after its specks are taken out."""

_SPECK_PIXELS: Final = 3
"""Specks are taken out by the median of so many pixels each way, before anything else."""

_SKEWED_DEG: Final = 0.2

_SURE: Final = 65.0
"""Pages of print are read with a confidence of 85 and more, the same lying on their side with some 40."""

_TURNS: Final = {
    90: Image.Transpose.ROTATE_270, 180: Image.Transpose.ROTATE_180, 270: Image.Transpose.ROTATE_90,
}  # fmt: skip
"""Degrees clockwise, and what Pillow calls them: it counts the other way."""

_WORD_LEVEL: Final = "5"


def missing(languages: Sequence[str]) -> str:
    """What must be installed before pictures can be read, in a sentence; "" if nothing is missing."""
    if shutil.which(PROGRAM) is None:
        return f"No text recognition is installed: install tesseract-ocr with {_packages(languages)}, then read again."
    absent = [language for language in languages if language not in _installed()]
    if absent:
        return f"The text recognition lacks {' and '.join(absent)}: install {_packages(absent)}, then read again."
    return ""


def _packages(languages: Sequence[str]) -> str:
    """Names as Debian and Ubuntu have them."""
    return " and ".join(f"tesseract-ocr-{language.replace('_', '-')}" for language in languages)


def _installed() -> list[str]:
    answer = subprocess.run([PROGRAM, "--list-langs"], capture_output=True, text=True, timeout=20, check=False)
    return (answer.stdout + answer.stderr).split()


def recognised(page: Image.Image, languages: Sequence[str]) -> list[list[Line]]:
    """The words of a picture, block by block, line by line; places 0 to 1 on the picture as it was given.

    A page that lies on its side or its head is turned before it is read: it is looked for where little made sense.

    Raises:
        TimeoutExpired: it took too long.
        CalledProcessError: the program refused.
    """
    clean = page.convert("L").filter(ImageFilter.MedianFilter(_SPECK_PIXELS))
    found = _as_it_lies(clean, languages)
    if _confidence(found) >= _SURE or (turn := _turn(clean)) not in _TURNS:
        return found
    turned = _as_it_lies(clean.transpose(_TURNS[turn]), languages)
    if _confidence(turned) <= _confidence(found):
        return found
    return [[[_quarters_back(word, turn // 90) for word in line] for line in block] for block in turned]


def _as_it_lies(page: Image.Image, languages: Sequence[str]) -> list[list[Line]]:
    """Enlarged where it is small, and with its lines made level."""
    prepared = page
    if page.width < _SMALL_PIXELS:
        prepared = page.resize((page.width * 2, page.height * 2), Image.Resampling.LANCZOS)
    angle = skew_deg(prepared)
    if abs(angle) >= _SKEWED_DEG:
        prepared = prepared.rotate(angle, resample=Image.Resampling.BICUBIC, fillcolor=255)
    else:
        angle = 0.0
    return _blocks(_table(prepared, languages), prepared.size, angle)


def _confidence(blocks: list[list[Line]]) -> float:
    """The mean over letters; 0 of a page without words."""
    words = [word for block in blocks for line in block for word in line]
    letters = sum(len(word.text) for word in words)
    return sum(len(word.text) * (word.confidence or 0.0) for word in words) / letters if letters else 0.0


def _turn(page: Image.Image) -> int:
    """Degrees clockwise after which the letters stand upright; 0 also if the program cannot tell."""
    command = [PROGRAM, "-", "-", "--dpi", "300", "--psm", "0"]
    answer = _asked(command, page, must_answer=False)
    found = re.search(r"^Rotate: (\d+)$", answer, re.MULTILINE)
    return int(found[1]) if found else 0


def _quarters_back(word: Word, quarters: int) -> Word:
    """Where a word of a page that was turned by so many quarters clockwise stands on the page as it was: one quarter
    back takes (x, y) to (y, 1 - x)."""
    left, top, right, bottom = word.left, word.top, word.right, word.bottom
    for _quarter in range(quarters):
        left, top, right, bottom = top, 1 - right, bottom, 1 - left
    return replace(word, left=left, top=top, right=right, bottom=bottom)


def _table(page: Image.Image, languages: Sequence[str]) -> str:
    return _asked([PROGRAM, "-", "-", "-l", "+".join(languages), "--dpi", "300", "--psm", "3", "tsv"], page)


def _asked(command: list[str], page: Image.Image, *, must_answer: bool = True) -> str:
    picture = io.BytesIO()
    page.save(picture, "PPM")  # quick to write, and the plainest to read
    answer = subprocess.run(
        command, input=picture.getvalue(), capture_output=True, timeout=SECONDS_A_PAGE, check=must_answer,
        env=os.environ | {"OMP_THREAD_LIMIT": "1"},
    )  # fmt: skip
    return answer.stdout.decode("utf-8", "replace")


def _blocks(table: str, size: tuple[int, int], angle_deg: float) -> list[list[Line]]:
    rows = csv.DictReader(io.StringIO(table), delimiter="\t", quoting=csv.QUOTE_NONE)
    words = [row for row in rows if row["level"] == _WORD_LEVEL and row["text"] and row["text"].strip()]
    blocks = groupby(words, key=lambda row: (row["block_num"], row["par_num"]))
    return [
        [[_word(row, size, angle_deg) for row in line] for _number, line in groupby(block, key=_line_of)]
        for _number, block in blocks
    ]


def _line_of(row: dict[str, str]) -> str:
    return row["line_num"]


def _word(row: dict[str, str], size: tuple[int, int], angle_deg: float) -> Word:
    left, top = int(row["left"]), int(row["top"])
    box = turned_back((left, top, left + int(row["width"]), top + int(row["height"])), size, angle_deg)
    confidence = round(max(0.0, min(100.0, float(row["conf"]))), 1)
    return Word(row["text"].strip(), *box, confidence)


def turned_back(
    box: tuple[float, float, float, float], size: tuple[int, int], angle_deg: float
) -> tuple[float, float, float, float]:
    """A box on a picture that was turned counter-clockwise about its middle, as 0 to 1 on the picture before.

    The middle of the box is turned back and the box keeps its sides: at a few degrees a long word would else get a box
    that covers the lines above and below.
    """
    width, height = size
    x, y = (box[0] + box[2]) / 2 - width / 2, (box[1] + box[3]) / 2 - height / 2
    turn = radians(angle_deg)
    x, y = x * cos(turn) - y * sin(turn) + width / 2, x * sin(turn) + y * cos(turn) + height / 2
    half_width, half_height = (box[2] - box[0]) / 2, (box[3] - box[1]) / 2
    return (x - half_width) / width, (y - half_height) / height, (x + half_width) / width, (y + half_height) / height
