"""Where material is now, as the uses that were made say: with whom, and as what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from governance.reports.composing.codes import HERE, LOST, OUT, USED_UP
from governance.reports.composing.scope import Scope
from governance.usedesk.deeds import FOR_GOOD, Deed
from governance.usedesk.queries.whereabouts import gone, still_out

_COLUMNS: Final = ("specimen", "use__deed", "use__recipient__name")


@dataclass(frozen=True)
class Whereabouts:
    """By specimen, the code and who has it; what is not named is here. out: pairs of entry and specimen that are out on
    that loan."""

    told: dict[int, tuple[str, str | None]]
    out: frozenset[tuple[int, int]]

    def of(self, specimen: int) -> tuple[str, str | None]:
        return self.told.get(specimen, (HERE, None))


def read(scope: Scope) -> Whereabouts:
    """Three queries. Who has what was lent on is the second borrower."""
    told: dict[int, tuple[str, str | None]] = {}
    out: set[tuple[int, int]] = set()
    for deed in (Deed.LOAN, Deed.ONWARD_LOAN):
        rows = still_out(deed, scope.items()).order_by("use__on", "pk")
        for use, specimen, _deed, holder in rows.values_list("use", *_COLUMNS):
            told[specimen] = (OUT, holder)
            out.add((use, specimen))
    left = gone().filter(pk__in=scope.items().values("pk")).order_by("use__on", "pk")
    for specimen, deed, holder in left.values_list(*_COLUMNS):
        told[specimen] = (_code(deed), holder if deed in FOR_GOOD else None)
    return Whereabouts(told, frozenset(out))


def _code(deed: str) -> str:
    if deed in FOR_GOOD:
        return deed
    return LOST if deed == Deed.LOSS else USED_UP
