"""Words with their places on a page, and the text that they make in reading order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Final

_CELL_GAP: Final = 1.5
"""A gap wider than so many heights of a line parts columns; blanks between words are narrower."""

_PROSE_LINES: Final = 4
_PROSE_LETTERS: Final = 25
"""Two columns are read one after the other if on both sides stand so many lines of so many letters. A table or a form
has shorter cells, and is read line by line: label and value stay together."""

_PARAGRAPH_GAP: Final = 3.0
"""Heights of a line from one line to the next: more ends a run of columns."""

_MOST_WORDS_SORTED: Final = 20_000


@dataclass(frozen=True)
class Word:
    """A word on a page: 0 to 1 from the upper left corner; confidence 0 to 100, or None for the text of a file."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    confidence: float | None = None

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def middle(self) -> float:
        return (self.top + self.bottom) / 2


Line = list[Word]


def in_reading_order(words: Sequence[Word], *, aspect: float) -> list[Line]:
    """Lines from above to below, words from left to right; columns of prose one after the other.

    Files may hold the words in any order: forms often hold all labels first and then all values.

    aspect: width of the page by its height, for gaps are compared with heights.
    """
    if len(words) > _MOST_WORDS_SORTED or _is_sideways(words, aspect):
        return [list(words)] if words else []
    lines = _lines(words)
    gutter = _gutter(lines, aspect)
    return lines if gutter is None else _by_columns(lines, gutter, aspect)


def _is_sideways(words: Sequence[Word], aspect: float) -> bool:
    """Whether most words run up or down the page: then the order of the file is the best there is."""
    long = [word for word in words if len(word.text) >= 4]
    upright = sum((word.right - word.left) * aspect > word.height for word in long)
    return len(long) > 0 and upright < len(long) / 2


def _lines(words: Iterable[Word]) -> list[Line]:
    """Words of which the middle of each lies within the height of the line before it."""
    lines: list[Line] = []
    for word in sorted(words, key=lambda word: word.middle):
        if lines and _on_line(word, lines[-1]):
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda word: word.left) for line in lines]


def _on_line(word: Word, line: Line) -> bool:
    last = line[-1]
    return abs(word.middle - last.middle) < 0.4 * min(word.height, last.height)


def _segments(line: Line, aspect: float) -> list[Line]:
    """The line where no wide gap parts it."""
    parts = [[line[0]]]
    for before, word in pairwise(line):
        if (word.left - before.right) * aspect > _CELL_GAP * min(before.height, word.height):
            parts.append([word])
        else:
            parts[-1].append(word)
    return parts


def _gutter(lines: list[Line], aspect: float) -> float | None:
    """Where two columns of prose part: the middle of the gap that most lines share; None if there are none."""
    gaps = [(one[-1].right, other[0].left) for line in lines for one, other in pairwise(_segments(line, aspect))]
    if len(gaps) < _PROSE_LINES:
        return None
    places = sorted((left + right) / 2 for left, right in gaps)
    best = max(places, key=lambda place: sum(left < place < right for left, right in gaps))
    return best if _is_prose(lines, best) else None


def _is_prose(lines: list[Line], gutter: float) -> bool:
    both = [line for line in lines if not _crosses(line, gutter)]
    sides = [[_letters(_side(line, gutter, left)) for line in both] for left in (True, False)]
    filled = [[letters for letters in side if letters] for side in sides]
    return all(len(side) >= _PROSE_LINES and median(side) >= _PROSE_LETTERS for side in filled)


def _by_columns(lines: list[Line], gutter: float, aspect: float) -> list[Line]:
    """Runs of lines that leave the gutter free: first their left parts, then their right parts."""
    ordered: list[Line] = []
    for run in _runs(lines, gutter):
        if _crosses(run[0], gutter):
            ordered += run
            continue
        for left in (True, False):
            ordered += [side for one in run if (side := _side(one, gutter, left))]
    return ordered


def _runs(lines: list[Line], gutter: float) -> list[list[Line]]:
    """Lines that belong together: a line across the gutter stands alone, and a wide space below a line ends a run."""
    runs: list[list[Line]] = []
    for line in lines:
        before = runs[-1][-1] if runs else None
        if before and not _crosses(line, gutter) and not _crosses(before, gutter) and _is_next(before, line):
            runs[-1].append(line)
        else:
            runs.append([line])
    return runs


def _is_next(before: Line, line: Line) -> bool:
    return line[0].middle - before[0].middle < _PARAGRAPH_GAP * max(before[0].height, line[0].height)


def _crosses(line: Line, gutter: float) -> bool:
    """Whether a word lies on the gutter, or words beside it stand too near for it to be one."""
    if any(word.left < gutter < word.right for word in line):
        return True
    left, right = _side(line, gutter, True), _side(line, gutter, False)
    return bool(left and right) and right[0].left - left[-1].right < 0.7 * left[-1].height


def _side(line: Line, gutter: float, left: bool) -> Line:
    return [word for word in line if (word.right <= gutter) == left]


def _letters(words: Line) -> int:
    return sum(len(word.text) + 1 for word in words)


def text_and_words(blocks: Iterable[Iterable[Line]]) -> tuple[str, list[list[float | int | None]]]:
    """The text of a page, with an empty line between blocks, and its words as ``ScanPage.words`` keeps them."""
    text: list[str] = []
    words: list[list[float | int | None]] = []
    at = 0
    for number, block in enumerate(blocks):
        if number:
            text.append("\n")
            at += 1
        for line in block:
            for word in line:
                words.append(_kept(word, at))
                text.append(word.text + " ")
                at += len(word.text) + 1
            if line:
                text[-1] = text[-1][:-1] + "\n"
    return "".join(text).rstrip("\n"), words


def _kept(word: Word, start: int) -> list[float | int | None]:
    box = [round(min(1.0, max(0.0, side)), 5) for side in (word.left, word.top, word.right, word.bottom)]
    return [start, start + len(word.text), *box, word.confidence]
