"""The codes of the sheet, read from their pixels by the rules of ISO/IEC 18004 and not by the library that made them.

The reader below knows versions 1 and 2 at correction level M, which have one block, and corrects no errors: what it
reads was drawn without one. Sources: ISO/IEC 18004, format information (mask 101010000010010), data masks, placement
of codewords, modes and their lengths; from memory of the standard.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator

import pytest
from PIL import Image

from governance.papers.printed.blocks import Picture
from governance.usedesk.sheet.codes import code_picture

PIXELS = 6
QUIET = 4
FORMAT_MASK = 0b101010000010010
LEVEL_M = 0b00
ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

MASKS: list[Callable[[int, int], bool]] = [
    lambda row, column: (row + column) % 2 == 0,
    lambda row, column: row % 2 == 0,
    lambda row, column: column % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: ((row + column) % 2 + row * column % 3) % 2 == 0,
]


def modules(png: bytes) -> list[list[int]]:
    """Dark is 1. The quiet zone must be light on all four sides, at least four modules wide."""
    image = Image.open(io.BytesIO(png)).convert("L")
    side = image.width // PIXELS
    assert image.size == (side * PIXELS, side * PIXELS)
    half, light = PIXELS // 2, image.tobytes()
    dark = [
        [int(light[(y * PIXELS + half) * image.width + x * PIXELS + half] < 128) for x in range(side)]
        for y in range(side)
    ]
    zone = [
        y * side + x for y in range(side) for x in range(side) if not QUIET <= min(x, y) <= max(x, y) < side - QUIET
    ]
    assert not any(dark[place // side][place % side] for place in zone)
    return [row[QUIET : side - QUIET] for row in dark[QUIET : side - QUIET]]


def level_and_mask(code: list[list[int]]) -> tuple[int, int]:
    """Of the fifteen bits beside the upper left finder, the highest five: two of the level, three of the mask."""
    places = [(8, column) for column in (0, 1, 2, 3, 4, 5, 7, 8)] + [(row, 8) for row in (7, 5, 4, 3, 2, 1, 0)]
    bits = 0
    for row, column in places:
        bits = bits << 1 | code[row][column]
    bits ^= FORMAT_MASK
    return bits >> 13, bits >> 10 & 0b111


def is_function(row: int, column: int, side: int) -> bool:
    """Finders with their format information, timing, and in version 2 the alignment pattern at 18, 18."""
    in_finder = (row <= 8 and column <= 8) or (row <= 8 and column >= side - 8) or (row >= side - 8 and column <= 8)
    in_alignment = side == 25 and 16 <= row <= 20 and 16 <= column <= 20
    return in_finder or in_alignment or row == 6 or column == 6


def data_bits(code: list[list[int]]) -> Iterator[int]:
    """Two columns at a time from the right, up and down in turn, the timing column left out."""
    side, mask = len(code), MASKS[level_and_mask(code)[1]]
    right, is_up = side - 1, True
    while right > 0:
        right -= right == 6
        for row in range(side - 1, -1, -1) if is_up else range(side):
            for column in (right, right - 1):
                if not is_function(row, column, side):
                    yield code[row][column] ^ mask(row, column)
        right, is_up = right - 2, not is_up


def read(png: bytes) -> str:
    """The text: of one segment, alphanumeric or bytes."""
    code = modules(png)
    assert len(code) in (21, 25)
    assert level_and_mask(code)[0] == LEVEL_M
    bits = data_bits(code)

    def number(length: int) -> int:
        value = 0
        for _ in range(length):
            value = value << 1 | next(bits)
        return value

    mode = number(4)
    if mode == 0b0100:
        return bytes(number(8) for _ in range(number(8))).decode("latin-1")
    assert mode == 0b0010
    length, text = number(9), ""
    for _ in range(length // 2):
        text += "".join(ALPHANUMERIC[part] for part in divmod(number(11), 45))
    return text + (ALPHANUMERIC[number(6)] if length % 2 else "")


def drawn(text: str) -> Picture:
    picture = code_picture(text, "Code", 1)
    assert picture is not None
    return picture


@pytest.mark.parametrize(
    "text", ["LMN-FW-0198341", "LMN-FW-0233107", "UR-2026-064", "A", "lmn fw 7/b", "LMN-FW-0198341-LEG-EXTRACT"]
)
def test_a_code_reads_as_its_text(text: str) -> None:
    assert read(drawn(text).png) == text


def test_the_reader_can_fail() -> None:
    """A code of another text is read as that: else the test above would show nothing."""
    assert read(drawn("LMN-FW-0198342").png) != "LMN-FW-0198341"


def test_the_page_has_the_same_modules() -> None:
    """The drawing of the page in SVG: 21 modules, four of quiet zone on each side, nothing of the text as markup."""
    picture = drawn("<script>A</script>")
    assert "script" not in picture.svg
    assert 'viewBox="0 0 29 29"' in drawn("LMN-FW-0198341").svg
    assert "style=" not in picture.svg


def test_a_code_too_fine_to_be_read_is_not_printed() -> None:
    """At 9.5 mm: version 3 has 29 + 8 modules of 0.257 mm, version 4 has 33 + 8 of 0.232 mm (4 * version + 17 modules a
    side, ISO/IEC 18004). Version 3 at level M holds 42 bytes, version 4 holds 62."""
    assert code_picture("a" * 42, "Code", 0.95) is not None
    assert code_picture("a" * 43, "Code", 0.95) is None
