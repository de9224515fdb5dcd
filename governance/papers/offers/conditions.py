"""Conditions: the numbered or lettered paragraphs below their heading, over as many pages as they run."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from governance.papers.offers.cues import pattern_for, plain
from governance.papers.offers.offer import Offer, PageText

_ITEM: Final = re.compile(r"^[ \t]*\(?(?P<mark>[0-9]{1,2}|[a-z])[.)][ \t]+(?=\S)", re.MULTILINE)
_SKIPPED: Final = 2
_SPACE: Final = 1.5
_LONGEST: Final = 2000


def offered_conditions(pages: Sequence[PageText]) -> Iterator[Offer]:
    """One offer a paragraph, in the words of the paper with the number of its page.

    Numbering that goes on is followed over the pages; a paragraph ends at the next one, at a blank line, or at a foot.
    """
    expected = ""
    for page in pages:
        text = plain(page.text)
        heading = _heading_end(text)
        if heading is None and not expected:
            continue
        items = [item for item in _ITEM.finditer(text) if not heading or item.start() >= heading or expected]
        kept = []
        for item in items:
            mark = "1" if not expected and item["mark"] in "il" else item["mark"]
            if _follows(mark, expected):
                kept.append(item)
                expected = mark
        ends = [*(item.start() for item in kept[1:]), len(text)]
        for item, end in zip(kept, ends, strict=False):
            yield from _offer(page, item, min(end, _space_below(page, item.end())))


def _space_below(page: PageText, start: int) -> int:
    """Where the first line ends, from a place on, below which the page leaves more space than between its lines."""
    tops = [
        (word[1], word[3], after[3]) for word, after in pairwise(page.words) if "\n" in page.text[word[1] : after[0]]
    ]
    if not tops:
        return len(page.text)
    usual = sorted(below - above for _end, above, below in tops)[len(tops) // 4]  # most lines follow closely
    wide = (end for end, above, below in tops if end > start and below - above > _SPACE * usual)
    return next(wide, len(page.text))


def _heading_end(text: str) -> int | None:
    """Where a line that is nothing but a heading of conditions ends."""
    for match in pattern_for("conditions").finditer(text):
        line_end = text.find("\n", match.end())
        line_start = text.rfind("\n", 0, match.start()) + 1
        before = text[line_start : match.start()].strip(" 0123456789.ivx§")
        rest = text[match.end() : line_end if line_end >= 0 else len(text)]
        if not before and not rest.strip(" :.-_="):
            return match.end()
    return None


def _follows(mark: str, before: str) -> bool:
    """Whether a mark is the first or goes on from the one before; recognition may have lost one between."""
    if not before:
        return mark in ("1", "2", "a", "b")
    if mark.isdigit() != before.isdigit():
        return False
    step = int(mark) - int(before) if mark.isdigit() else ord(mark) - ord(before)
    return 1 <= step <= _SKIPPED


def _offer(page: PageText, item: re.Match[str], limit: int) -> Iterator[Offer]:
    body = page.text[item.end() : limit]
    body = re.split(r"\n[ \t]*\n", body)[0].rstrip()
    words = " ".join(body.split())
    if 3 < len(words) <= _LONGEST:
        end = item.end() + len(body)
        start = item.start("mark")
        yield Offer(
            "conditions", f"p. {page.of_paper}: {words}", page.page, start, end,
            " ".join(page.text[start:end].split()), confidence=page.confidence(start, end), of_paper=page.of_paper,
        )  # fmt: skip
