"""Latitudes and longitudes as labels write them: decimal degrees, degrees and minutes, degrees, minutes and seconds."""

import re
from dataclasses import dataclass

from accessions.values._problems import PositionProblem

LONGEST_COORDINATES = 120
"""Characters. No form that is read is longer."""

DECIMAL, MINUTES, SECONDS = "decimal degrees", "degrees decimal minutes", "degrees minutes seconds"

_SIGNS = str.maketrans({
    "\u00b0": "d", "\u00ba": "d", "\u02da": "d", "\u2019": "'", "\u2032": "'", "\u00b4": "'", "\u02b9": "'",
    "\u201d": '"', "\u2033": '"', "\u02ba": '"', "\u2212": "-",
})  # fmt: skip
_WORDS = {
    "degrees": "d", "degree": "d", "deg": "d", "d": "d", "minutes": "'", "minute": "'", "min": "'", "m": "'",
    "seconds": '"', "second": '"', "sec": '"', "north": "N", "south": "S", "east": "E", "west": "W",
    "n": "N", "s": "S", "e": "E", "w": "W",
}  # fmt: skip
_TOKEN = re.compile(r"\s*(?:([+-]?)([0-9]{1,3}(?:\.[0-9]{0,15})?|\.[0-9]{1,15})|([A-Za-z]+)\.?|([:;,'\"]))")
_UNIT_DEGREES = (1.0, 1 / 60, 1 / 3600)

# One angle as kinds of tokens: H hemisphere, + sign, n number, then d ' " or : as written. Doubled ' is a second.
_SHAPE = re.compile(r"(H?)(\+?)(n)(?:(d|:)?(?:(n)(?:('|:)?(?:(n)(\"|'')?)?)?)?)?(H?)")


@dataclass(frozen=True, slots=True)
class Angle:
    """degrees: signed. precision_degrees: the unit of the last figure written. axis: "lat", "lon" or "" if unsaid.

    form: which of the three forms it is written in.
    """

    degrees: float
    precision_degrees: float
    axis: str
    form: str


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str


def read_angle(text: str, axis: str = "") -> Angle:
    """Reads one latitude or longitude.

    Args:
        text: the angle as written.
        axis: "lat" or "lon" where the column says it.

    Raises:
        PositionProblem: no angle, one of the other axis, or one that cannot be.
    """
    angle = _angle(_tokens(text))
    if axis and angle.axis and angle.axis != axis:
        raise PositionProblem("a latitude stands where a longitude is expected, or the reverse")
    return _checked(angle, axis or angle.axis)


def read_pair(text: str) -> tuple[Angle, Angle]:
    """Reads a latitude and a longitude from one text.

    N, S, E and W say which is which. Without them, two parts set apart by a comma or semicolon are read only if one of
    them cannot be a latitude (source: TDWG BDQ test data, dataID 104); parts set apart by a blank are latitude first
    (source: GeographicLib, GeoConvert manual).

    Returns: latitude, longitude. Raises: PositionProblem.
    """
    tokens = _tokens(text)
    marks = [i for i, token in enumerate(tokens) if token.kind in ",;"]
    if len(marks) > 1:
        raise PositionProblem("more than two parts; a comma is no decimal point")
    if marks:
        first, second = _angle(tokens[: marks[0]]), _angle(tokens[marks[0] + 1 :])
        return _in_order(first, second, has_mark=True)
    return _in_order(*_only_split(tokens), has_mark=False)


def _tokens(text: str) -> list[_Token]:
    if len(text) > LONGEST_COORDINATES:
        raise PositionProblem("longer than any coordinates")
    plain, tokens, position = text.translate(_SIGNS).strip().replace("''", '"'), [], 0
    while position < len(plain):
        found = _TOKEN.match(plain, position)
        if not found:
            raise PositionProblem(f'"{plain[position : position + 12].strip()}" is no part of a latitude or longitude')
        position = found.end()
        tokens += _kinds(*found.groups())
    return tokens


def _kinds(sign: str | None, number: str | None, word: str | None, mark: str | None) -> list[_Token]:
    if number:
        return [_Token("+", sign), _Token("n", number)] if sign else [_Token("n", number)]
    if mark:
        return [_Token(mark, mark)]
    name = _WORDS.get((word or "").casefold())
    if name is None:
        raise PositionProblem(f'"{(word or "")[:20]}" is no part of a latitude or longitude')
    return [_Token("H", name)] if name in "NSEW" else [_Token(name, name)]


def _only_split(tokens: list[_Token]) -> tuple[Angle, Angle]:
    """The one way of cutting the parts into two angles."""
    ways = []
    for cut in range(1, len(tokens)):
        try:
            ways.append((_angle(tokens[:cut]), _angle(tokens[cut:])))
        except PositionProblem as problem:
            last = problem
    if len(ways) > 1:
        raise PositionProblem("the parts can be cut into latitude and longitude in more than one way")
    if not ways:
        raise last if len(tokens) == 2 else PositionProblem("no latitude and longitude could be made out")
    return ways[0]


def _angle(tokens: list[_Token]) -> Angle:
    kinds = "".join(token.kind for token in tokens)
    found = _SHAPE.fullmatch(kinds)
    if not found:
        raise PositionProblem("no latitude or longitude could be made out")
    numbers = [token.text for token in tokens if token.kind == "n"]
    letters = [token.text for token in tokens if token.kind == "H"]
    sign = next((token.text for token in tokens if token.kind == "+"), "")
    _check_marks(found)
    if len(letters) > 1 or (letters and sign):
        raise PositionProblem("a sign and a letter, or two letters, on one angle")
    value, precision = _value(numbers)
    negative = sign == "-" or letters in (["S"], ["W"])
    axis = {"N": "lat", "S": "lat", "E": "lon", "W": "lon"}[letters[0]] if letters else ""
    return Angle(-value if negative else value, precision, axis, (DECIMAL, MINUTES, SECONDS)[len(numbers) - 1])


def _check_marks(found: re.Match[str]) -> None:
    """A degree sign, a prime or a colon must not be followed by parts that lack theirs in another notation."""
    degree_mark, minute_mark = found[4], found[6]
    if found[7] and minute_mark == ":" and degree_mark != ":":
        raise PositionProblem("a colon and other marks in one angle")


def _value(numbers: list[str]) -> tuple[float, float]:
    """Degrees, and the degrees that the last figure stands for. Only the last part may have decimals."""
    if any("." in number for number in numbers[:-1]):
        raise PositionProblem("only the last part of an angle can have decimals")
    parts = [float(number) for number in numbers]
    if any(part >= 60 for part in parts[1:]):
        raise PositionProblem("minutes and seconds are below 60")
    decimals = len(numbers[-1].partition(".")[2])
    value = sum(part * unit for part, unit in zip(parts, _UNIT_DEGREES, strict=False))
    return value, _UNIT_DEGREES[len(parts) - 1] * 10.0**-decimals


def _in_order(first: Angle, second: Angle, *, has_mark: bool) -> tuple[Angle, Angle]:
    if first.axis and first.axis == second.axis:
        raise PositionProblem("two latitudes or two longitudes")
    if first.axis == "lon" or second.axis == "lat":
        first, second = second, first
    elif not first.axis and not second.axis:
        if abs(first.degrees) > 90:
            first, second = second, first
        elif has_mark and abs(second.degrees) <= 90 and (first.degrees, second.degrees) != (0, 0):
            raise PositionProblem("which of the two is the latitude is not written; add N or S, E or W")
    return _checked(first, "lat"), _checked(second, "lon")


def _checked(angle: Angle, axis: str) -> Angle:
    limit, name = (90, "latitude") if axis == "lat" else (180, "longitude")
    if abs(angle.degrees) > limit:
        raise PositionProblem(f"the {name} is beyond {limit} degrees")
    return angle
