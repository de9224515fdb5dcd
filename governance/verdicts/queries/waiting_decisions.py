"""Decisions beside verdicts that wait for a second person, and the one that is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from governance.engine.tables import Verdict
from governance.verdicts.cells import Cell
from governance.verdicts.models import WAITING, Override

_MOST: Final = 20


@dataclass(frozen=True)
class WaitingDecisions:
    """The oldest first; more: how many there are besides."""

    rows: Sequence[Override]
    more: int


def waiting_decisions(reader: Any) -> WaitingDecisions:
    """Those of other people: one query where they are few."""
    found = Override.objects.filter(WAITING).exclude(decided_by=reader.pk).order_by("decided_at", "pk")
    rows = list(found.select_related("specimen", "decided_by")[: _MOST + 1])
    return WaitingDecisions(rows[:_MOST], found.count() - _MOST if len(rows) > _MOST else 0)


@dataclass(frozen=True)
class Reviewed:
    """A decision with what was computed then and is now; None: nothing is."""

    override: Override
    computed: Cell | None

    @property
    def decided(self) -> Cell:
        """The verdict that was decided."""
        return Cell(Verdict(self.override.decided), self.override.layer)  # type: ignore[arg-type]

    @property
    def is_overtaken(self) -> bool:
        """Whether another verdict is computed now than the one beside which it was decided."""
        return self.computed is not None and int(self.computed.verdict) != self.override.computed


def reviewed(override: Override) -> Reviewed:
    """What the page of a review shows."""
    standing = getattr(override.specimen, "standing", None)
    verdict = Verdict(int(standing.ruling.strip[override.layer])) if standing else None
    return Reviewed(override, Cell(verdict, override.layer) if verdict is not None else None)  # type: ignore[arg-type]
