"""What is wrong with a file, told so that a person can put it right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from accessions.intake.limits import MAX_PROBLEMS

Severity = Literal["error", "warning"]


@dataclass(frozen=True)
class Problem:
    """One problem of one file.

    where: ``sheet "Specimens", row 14, column "eventDate"`` or ``key papers[3].versions[0].in_force_to``; "" for the
    file as a whole. found: what stands there. expected: what should stand there, and what to do.
    """

    file: str
    where: str
    found: str
    expected: str
    severity: Severity = "error"

    def __str__(self) -> str:
        place = f"{self.file}, {self.where}" if self.where else self.file
        return f"{place}: {self.found}. {self.expected}"


class FileProblems(Exception):
    """A file that cannot be used as it is; carries every problem that was found in it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = limited(tuple(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def refusal(file: str, where: str, found: str, expected: str) -> FileProblems:
    """The exception for a file that fails for one reason."""
    return FileProblems([Problem(file, where, found, expected)])


def limited(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """The first ``MAX_PROBLEMS`` problems, and one that counts the rest."""
    if len(problems) <= MAX_PROBLEMS:
        return tuple(problems)
    rest = len(problems) - MAX_PROBLEMS
    more = Problem(
        problems[0].file, "", f"{rest:,} more problems like these", "Put these right first, then read the file again."
    )
    return (*problems[:MAX_PROBLEMS], more)


def shown(text: str, limit: int = 60) -> str:
    """Text of a file as a message quotes it: in quotation marks, on one line, shortened."""
    clipped = text if len(text) <= limit else text[: limit - 1] + "…"
    printable = "".join(c if c.isprintable() else " " for c in clipped)
    return f'"{printable}"'


def listed(texts: Sequence[str], limit: int = 5) -> str:
    """``"a", "b" and 3 more``."""
    first = ", ".join(shown(text) for text in texts[:limit])
    return first if len(texts) <= limit else f"{first} and {len(texts) - limit} more"
