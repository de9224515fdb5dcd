"""A papers file while it is read: values with their key paths, and the problems found so far."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from accessions.intake.problems import Problem, shown
from governance.papers.json_text import joined

_NO_TEXT: Final = re.compile("[\\0\\ud800-\\udfff]")
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


class Report:
    """Problems of one file, at most one a key path: the first one said of a key is the most to the point."""

    def __init__(self, file: str, folder: Path | None) -> None:
        self.file = file
        self.folder = folder
        self.warnings: list[Problem] = []
        self._problems: list[Problem] = []
        self._paths: set[str] = set()

    def add(self, path: str, paper: str, found: str, expected: str) -> None:
        """Note an error at a key."""
        self._paths.add(path)
        self._problems.append(Problem(self.file, place_words(path, paper), found, expected))

    def add_if_new(self, path: str, paper: str, found: str, expected: str) -> None:
        """Note an error unless one is known at this key."""
        if path not in self._paths:
            self.add(path, paper, found, expected)

    def warn(self, path: str, paper: str, found: str, expected: str) -> None:
        """Note a warning."""
        self.warnings.append(Problem(self.file, place_words(path, paper), found, expected, "warning"))

    def extend(self, problems: list[Problem]) -> None:
        """Take over problems that know their place."""
        self._problems += problems

    @property
    def problems(self) -> tuple[Problem, ...]:
        return tuple(self._problems)


def place_words(path: str, paper: str) -> str:
    """``key papers[3].versions[0].in_force_to (paper "COL-2023-014")``."""
    return f"key {path} (paper {shown(paper)})" if paper else f"key {path}"


class Node:
    """A value of the file with its key path.

    Values of a wrong type read as absent: the schema has named them already, and nothing is built from a file with
    problems.
    """

    def __init__(self, value: Any, path: str, report: Report, paper: str = "") -> None:
        self.value = value
        self.path = path
        self.report = report
        self.paper = paper

    @property
    def where(self) -> str:
        return place_words(self.path, self.paper)

    def problem(self, found: str, expected: str) -> None:
        """Note an error at this key."""
        self.report.add(self.path, self.paper, found, expected)

    def __contains__(self, key: str) -> bool:
        return isinstance(self.value, dict) and key in self.value

    def __getitem__(self, key: str) -> Node:
        value = self.value.get(key) if isinstance(self.value, dict) else None
        return Node(value, joined(self.path, key), self.report, self.paper)

    def items(self) -> Iterator[Node]:
        """The entries of a list."""
        if isinstance(self.value, list):
            for index, value in enumerate(self.value):
                yield Node(value, f"{self.path}[{index}]", self.report, self.paper)

    def text(self) -> str:
        """The text, trimmed; "" where absent. Text of blanks alone is an error."""
        if not isinstance(self.value, str):
            return ""
        trimmed = self.value.strip()
        if not trimmed:
            self.problem("the text is blank", "Write something there, or leave the key out.")
        elif _NO_TEXT.search(trimmed):
            self.problem(
                "the text holds a NUL or half a character", "Write it anew; no such thing can be shown or kept."
            )
        return trimmed

    def texts(self) -> list[str]:
        """The texts of a list."""
        return [text for node in self.items() if (text := node.text())]

    def number(self) -> float | None:
        """A finite number; None where absent."""
        if type(self.value) not in (int, float):
            return None
        try:
            number = float(self.value)
        except OverflowError:
            number = math.inf
        return number if math.isfinite(number) else None

    def day(self) -> int | None:
        """The ordinal of a day written YYYY-MM-DD; None where absent or null.

        A text that is no day in the calendar is an error.
        """
        if not isinstance(self.value, str):
            return None
        if not _DAY.fullmatch(self.value):
            self.problem(f"{shown(self.value)} is no date", "Write a day as YYYY-MM-DD.")
            return None
        try:
            return datetime.date.fromisoformat(self.value).toordinal()
        except ValueError:
            self.problem(f"{shown(self.value)} is not a day in the calendar", "Write a day that exists, as YYYY-MM-DD.")
            return None


def optional_text(node: Node) -> str:
    """A text that may be empty."""
    return node.text() if isinstance(node.value, str) and node.value.strip() else ""
