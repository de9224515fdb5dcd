"""The rows below a stop, target groups and traps, made to say what was typed; those that stay keep their history."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from accessions.people.editing import add, change
from accessions.people.history import remove
from governance.engine.tables import fold
from governance.plans.models import Stop, StopTarget, StopTrap

Rows = Sequence[Mapping[str, Any]] | None
"""What is to stand there; None: as it stands."""


@dataclass(frozen=True)
class _Kind:
    """relation: from the stop. named: the field by which a row is told from its like. typed: what a person types."""

    model: type[Any]
    relation: str
    named: str
    typed: tuple[str, ...]


TARGETS: Final = _Kind(StopTarget, "targets", "name", ("name", "kingdom", "rank", "higher", "expected"))
TRAPS: Final = _Kind(StopTrap, "traps", "method", ("method", "number", "first_on", "last_on"))


def keep_rows(stop: Stop, kind: _Kind, wanted: Sequence[Mapping[str, Any]], *, by: Any, why: str) -> None:
    """Add, change and remove rows until they are those that are wanted, in their order.

    A row is known again by its key (``pk``), if it is given, else by its name.

    Raises:
        ValidationError: a row that cannot be.
    """
    left = list(getattr(stop, kind.relation).order_by("position", "pk"))
    for position, row in enumerate(wanted):
        values = {name: row[name] for name in kind.typed if name in row} | {"position": position}
        same = _same(left, kind, row)
        if same is None:
            add(kind.model(stop=stop, **values), by=by, why=why)
        else:
            left.remove(same)
            change(same, values, editable=(*kind.typed, "position"), by=by, why=why)
    for gone in left:
        remove(gone, by=by, why=why)


def _same(rows: Sequence[Any], kind: _Kind, wanted: Mapping[str, Any]) -> Any:
    if key := wanted.get("pk"):
        return next((row for row in rows if row.pk == key), None)
    name = fold(str(wanted.get(kind.named, "")))
    return next((row for row in rows if fold(getattr(row, kind.named)) == name), None)
