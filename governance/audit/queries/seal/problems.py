"""What a check of the seal finds: each problem named, so that somebody can go and look."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final

from django.utils.translation import gettext_lazy as _

MOST_NAMED: Final = 100
"""So many problems of one kind in one table are named one by one; the rest is counted."""


class ProblemKind(StrEnum):
    """Sorts of problems, the first the gravest."""

    ALTERED = "altered"
    GONE = "gone"
    CHAIN = "chain"
    HEAD = "head"
    RECORD = "record"
    UNSEALED = "unsealed"
    VERDICT = "verdict"
    FILE = "file"
    PERSON = "person"


TODO: Final[dict[ProblemKind, Any]] = {
    ProblemKind.ALTERED: _(
        "Compare it with a backup or the papers, find out who has access to the database itself, and enter what is "
        "right through the register."
    ),
    ProblemKind.GONE: _("Take the row out of a backup, and find out who has access to the database itself."),
    ProblemKind.CHAIN: _("Compare the chain with that of a backup up to the last head that is kept elsewhere."),
    ProblemKind.HEAD: _("Ask who put the register back, and bring in again what was entered since."),
    ProblemKind.RECORD: _("Compare record and history, and correct the record through the register."),
    ProblemKind.UNSEALED: _(
        "Find out whether the register was stopped while it was written. If so: manage.py seal_late. If not, somebody "
        "wrote into the database itself."
    ),
    ProblemKind.VERDICT: _("Have everything assessed again (manage.py assess), and check the seal after it."),
    ProblemKind.FILE: _("Put the file back from a backup of the store."),
    ProblemKind.PERSON: _("No record of a minimisation stands for this person: find out who took the data out."),
}
"""What to do about each sort."""


@dataclass(frozen=True)
class Problem:
    """One thing that is not as it was sealed. table, record: as people know them; what: a sentence. key: of the row."""

    kind: ProblemKind
    table: str
    record: str
    what: str
    key: int | None = None

    @property
    def todo(self) -> str:
        """What to do about it."""
        return str(TODO[self.kind])

    def __str__(self) -> str:
        subject = ", ".join(filter(None, (self.table, self.record)))
        return f"{subject}: {self.what}" if subject else self.what


@dataclass
class Problems:
    """All that was found; beyond a hundred of a kind in a table they are counted."""

    named: list[Problem] = field(default_factory=list)
    counts: Counter[tuple[ProblemKind, str]] = field(default_factory=Counter)

    def add(self, problem: Problem) -> None:
        """One more."""
        self.counts[problem.kind, problem.table] += 1
        if self.counts[problem.kind, problem.table] <= MOST_NAMED:
            self.named.append(problem)

    def add_uncounted(self, kind: ProblemKind, table: str, more: int) -> None:
        """So many more of the kind, which are not named."""
        self.counts[kind, table] += more

    def has_room(self, kind: ProblemKind, table: str) -> bool:
        """Whether another one of the kind would be named."""
        return self.counts[kind, table] < MOST_NAMED

    @property
    def count(self) -> int:
        """How many there are."""
        return sum(self.counts.values())

    @property
    def unnamed(self) -> dict[tuple[ProblemKind, str], int]:
        """How many more there are of each kind and table than are named."""
        return {key: count - MOST_NAMED for key, count in self.counts.items() if count > MOST_NAMED}
