"""Pages that are missed by the numbers printed on the others.

The expected sentences are what a reader with the sheets in hand would say.
"""

from __future__ import annotations

import pytest

from governance.scans.queries.pages import Printed, missing_sentence


def pages(*told: str) -> list[Printed]:
    """``"2/4"``: page 2 of 4 is printed on it; ``""``: nothing."""
    return [
        Printed(number, *(map(int, text.split("/")) if text else (None, None))) for number, text in enumerate(told, 1)
    ]


ONE = "Page {} of {} is missing, by the page numbers printed on the others."
MANY = "Pages {} of {} are missing, by the page numbers printed on the others."


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ((), ""),
        (("", "", ""), ""),
        (("1/4", "2/4", "3/4", "4/4"), ""),
        (("1/4", "2/4", "4/4"), ONE.format(3, 4)),
        (("2/4", "3/4", "4/4"), ONE.format(1, 4)),
        (("1/4", "2/4", "3/4"), ONE.format(4, 4)),
        (("1/6", "3/6", "6/6"), MANY.format("2, 4 and 5", 6)),
        (("2/4",), MANY.format("1, 3 and 4", 4)),
        # a page whose number was not read may be the one that is sought
        (("1/3", "", "3/3"), ""),
        (("1/4", "", "4/4"), MANY.format("2 and 3", 4)),
        (("", "2/3", "3/3"), ""),
        # a cover without a number in front, an annex behind
        (("", "1/2", "2/2"), ""),
        (("1/2", "2/2", "", ""), ""),
        # two papers in one scan, each with its own count
        (("1/2", "2/2", "1/3", "3/3"), ONE.format(2, 3)),
        (("1/3", "3/3", "1/3", "2/3", "3/3"), ONE.format(2, 3)),
        (("1/2", "1/2"), ONE.format(2, 2) + " " + ONE.format(2, 2)),
    ],
)
def test_missing(told: tuple[str, ...], expected: str) -> None:
    assert missing_sentence(pages(*told)) == expected
