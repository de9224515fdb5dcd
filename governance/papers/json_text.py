"""JSON from strangers: bounded size, depth and number of values; duplicate keys and NaN are errors."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, Final

import numpy as np

from accessions.intake.problems import FileProblems, Problem, refusal, shown

MAX_BYTES: Final = 64 * 1024**2
MAX_DEPTH: Final = 60
MAX_VALUES: Final = 10_000_000
"""Lists, objects and commas together; a list of nothing costs thirty times its two characters in memory."""
_MAX_DIGITS: Final = 300
_CHUNK: Final = 1024**2


class _WithDuplicates(dict[str, Any]):
    """An object in which a key stood twice."""

    duplicates: tuple[str, ...] = ()


class _Constant(ValueError):
    """NaN or Infinity stood there."""


def read_json(data: bytes, file: str) -> Any:
    """The value of a JSON text in UTF-8.

    Raises:
        FileProblems: too large, nested too deep, not UTF-8, no JSON, NaN or Infinity, or keys that stand twice (all
            of these at once, with their paths).
    """
    if len(data) > MAX_BYTES:
        raise refusal(
            file, "", f"the file is {len(data):,} bytes long", f"At most {MAX_BYTES:,} bytes of JSON are read."
        )
    data = data.removeprefix(b"\xef\xbb\xbf")
    _refuse_nested(data, file)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise refusal(
            file, f"line {line}", f"the byte 0x{data[error.start]:02X} is not UTF-8", "Save the file as UTF-8."
        ) from error
    value, has_duplicates = _loaded(text, file)
    if has_duplicates:
        raise FileProblems(_duplicates(value, file))
    return value


def _loaded(text: str, file: str) -> tuple[Any, bool]:
    seen: list[str] = []

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) == len(pairs):
            return found
        doubled = _WithDuplicates(found)
        keys = [key for key, _ in pairs]
        doubled.duplicates = tuple(sorted(key for key in found if keys.count(key) > 1)) if len(keys) < 1000 else ("…",)
        seen.append("")
        return doubled

    try:
        value = json.loads(
            text, object_pairs_hook=unique, parse_constant=_refuse_constant, parse_int=_whole, parse_float=_finite
        )
    except json.JSONDecodeError as error:
        raise refusal(
            file, f"line {error.lineno}, column {error.colno}", f"this is not JSON: {error.msg}",
            "Correct the text there; a missing comma or quotation mark just before is the usual cause.",
        ) from error  # fmt: skip
    except _Constant as error:
        raise refusal(
            file, "", f"{error} stands in the file", "JSON numbers are finite; write null or a number."
        ) from error
    return value, bool(seen)


def _refuse_constant(word: str) -> Any:
    raise _Constant(word)


def _whole(digits: str) -> int:
    if len(digits) > _MAX_DIGITS:
        raise _Constant(f"a number of {len(digits):,} digits")
    return int(digits)


def _finite(digits: str) -> float:
    value = float(digits)
    if value in (float("inf"), float("-inf")):
        raise _Constant(f"the number {shown(digits)}, which is too large,")
    return value


def _refuse_nested(data: bytes, file: str) -> None:
    """Depth by a linear scan before anything is built; strings are left out."""
    depth, values, inside, cut_escape = 0, 0, False, False
    for start in range(0, len(data), _CHUNK):
        piece, cut_escape = _without_escapes(data[start : start + _CHUNK], cut_escape)
        codes = np.frombuffer(piece, dtype=np.uint8)
        in_string = ((np.cumsum(codes == 0x22) + inside) & 1).astype(bool)
        inside = bool(in_string[-1]) if len(codes) else inside
        lower = codes | 0x20  # "[" and "{" differ in this bit alone, as do "]" and "}"
        opens, closes = (lower == 0x7B) & ~in_string, (lower == 0x7D) & ~in_string
        depths = np.cumsum(opens.astype(np.int32) - closes.astype(np.int32)) + depth
        values += int(opens.sum()) + int(((codes == 0x2C) & ~in_string).sum())
        if len(codes) and int(depths.max()) > MAX_DEPTH:
            raise refusal(
                file,
                "",
                f"lists and objects are nested more than {MAX_DEPTH} levels deep",
                "A papers file needs fewer than 20; the file is damaged or made to do harm.",
            )
        if values > MAX_VALUES:
            raise refusal(
                file, "", f"the file holds more than {MAX_VALUES:,} values", "Split the file, or simplify its areas."
            )
        depth = int(depths[-1]) if len(codes) else depth


def _without_escapes(piece: bytes, cut: bool) -> tuple[bytes, bool]:
    """Escaped characters blanked out, so that every quotation mark left opens or closes a string.

    cut: the piece before ended in the middle of an escape. Returns also whether this one does.
    """
    if cut:
        piece = b" " + piece[1:]
    if b"\\" not in piece:
        return piece, False
    piece = piece.replace(b"\\\\", b"  ").replace(b'\\"', b"  ")
    return piece, piece.endswith(b"\\")


def _duplicates(value: Any, file: str) -> Iterator[Problem]:
    waiting: list[tuple[str, Any]] = [("", value)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, _WithDuplicates):
            for key in value.duplicates:
                yield Problem(
                    file,
                    f"key {joined(path, key)}",
                    f"the key {shown(key)} stands twice in one object",
                    "Keep one of them; which one holds cannot be told.",
                )
        if isinstance(value, dict):
            waiting += [
                (joined(path, key), item) for key, item in reversed(value.items()) if isinstance(item, (dict, list))
            ]
        elif isinstance(value, list):
            waiting += [
                (f"{path}[{i}]", item) for i, item in reversed([*enumerate(value)]) if isinstance(item, (dict, list))
            ]


def joined(path: str, key: str) -> str:
    """``papers[0]`` and ``kind`` are ``papers[0].kind``; long keys are shortened."""
    short = key if len(key) <= 40 else key[:39] + "…"
    return f"{path}.{short}" if path else short
