"""What a change would do to the check of a plan, before it is saved: tried in a transaction that is taken back.

The very action is run, and the plan is judged by the very check, before and after. So it cannot say anything else than
the plan's page will once the change is saved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from governance.engine.tables import Layer, Verdict
from governance.plans.models import FieldPlan
from governance.plans.queries.check import CheckedCell, Need, PlanCheck, check_plan
from governance.plans.queries.needs import by_verdict
from governance.verdicts.actions.change_preview import undone
from governance.verdicts.cells import Cell


@dataclass(frozen=True)
class ChangedCell:
    """A stop and layer whose verdict would change. before: None where the stop is new; after: None where it goes."""

    stop: str
    layer: Layer
    before: Cell | None
    after: Cell | None

    @property
    def is_worse(self) -> bool:
        """Whether more would be left to settle: a worse verdict, or a new cell that needs a look."""
        if self.after is None:
            return False
        return self.after.needs_a_look if self.before is None else self.after.verdict > self.before.verdict

    @property
    def is_settled(self) -> bool:
        """Whether a cell that needs a look would need none any more. Cells of stops that go are not settled: gone."""
        needed = self.before is None or self.before.needs_a_look
        return needed and self.after is not None and not self.after.needs_a_look

    @property
    def comes_up(self) -> bool:
        """Whether a cell that was calm, or not there, would need a look."""
        calm = self.before is None or not self.before.needs_a_look
        return calm and self.after is not None and self.after.needs_a_look


@dataclass(frozen=True)
class MovedNeed:
    """Something to settle before and after, by another day."""

    before: Need
    after: Need


@dataclass(frozen=True)
class WhatIf:
    """The checks before and after a change, and what differs between them.

    Neither check judges any more: what the second was judged on is gone with its transaction.
    """

    before: PlanCheck
    after: PlanCheck

    @property
    def open_before(self) -> int:
        return self.before.open_cells

    @property
    def open_after(self) -> int:
        return self.after.open_cells

    @cached_property
    def changed(self) -> tuple[ChangedCell, ...]:
        """Cells whose verdict would change, what gets worse first, then in the order of the stops and layers."""
        return tuple(sorted(_changed(self.before, self.after), key=lambda cell: not cell.is_worse))

    @cached_property
    def reasons_changed(self) -> int:
        """Cells that would keep their verdict, with other papers, another margin or other reasons."""
        both = [(cell, self.before.cells[key]) for key, cell in self.after.cells.items() if key in self.before.cells]
        return sum(new.verdict == old.verdict and _grounds(new) != _grounds(old) for new, old in both)

    @property
    def settled(self) -> int:
        return sum(cell.is_settled for cell in self.changed)

    @property
    def all_covered(self) -> bool:
        """Whether all cells that would be settled would be so by a paper."""
        return all(cell.after.verdict == Verdict.COVERED for cell in self.changed if cell.is_settled and cell.after)

    @property
    def come_up(self) -> int:
        return sum(cell.comes_up for cell in self.changed)

    @property
    def worse_still(self) -> int:
        """Open cells that would stay open with a worse verdict."""
        return sum(cell.is_worse and not cell.comes_up for cell in self.changed)

    @property
    def better_still(self) -> int:
        """Open cells that would stay open with a better verdict."""
        return sum(
            not cell.is_worse and not cell.is_settled and cell.after is not None and cell.after.needs_a_look
            for cell in self.changed
        )

    @property
    def late(self) -> int:
        """Things to settle whose day to start has passed, and of which that is not so now."""
        moved = sum(need.after.is_late and not need.before.is_late for need in self.needs_moved)
        return moved + sum(need.is_late for need in self.needs_new)

    @property
    def is_worse(self) -> bool:
        """Whether any cell would be worse off, or anything would be late that is not."""
        return bool(self.late) or any(cell.is_worse for cell in self.changed)

    @cached_property
    def stops_new(self) -> tuple[str, ...]:
        return _names_beyond(self.after, self.before)

    @cached_property
    def stops_gone(self) -> tuple[str, ...]:
        return _names_beyond(self.before, self.after)

    @cached_property
    def needs_new(self) -> tuple[Need, ...]:
        """What would have to be settled besides, soonest to start first."""
        known = {_same(need) for need in by_verdict(self.before.needs)}
        return tuple(need for need in by_verdict(self.after.needs) if _same(need) not in known)

    @cached_property
    def needs_gone(self) -> tuple[Need, ...]:
        """What would not have to be settled any more."""
        known = {_same(need) for need in by_verdict(self.after.needs)}
        return tuple(need for need in by_verdict(self.before.needs) if _same(need) not in known)

    @cached_property
    def needs_moved(self) -> tuple[MovedNeed, ...]:
        """What would have to be settled by another day."""
        known = {_same(need): need for need in by_verdict(self.before.needs)}
        pairs = [(known[_same(need)], need) for need in by_verdict(self.after.needs) if _same(need) in known]
        return tuple(MovedNeed(old, new) for old, new in pairs if _days(old) != _days(new))

    @property
    def is_empty(self) -> bool:
        """Whether the check would say the very same."""
        return not (
            self.changed
            or self.reasons_changed
            or self.needs_new
            or self.needs_gone
            or self.needs_moved
            or self.stops_new
            or self.stops_gone
        )


def what_if(plan: FieldPlan, change: Callable[[], object], *, today: date) -> WhatIf:
    """Try a change of a plan and say how its check would differ; nothing of it stays.

    Args:
        change: an action that saves, with its arguments. What it raises (``PlanError``, ``ValidationError``) comes
            through. Objects that it changes in memory stay changed: read them anew before they are shown.
    """
    before = check_plan(_as_stored(plan), today=today)

    def tried() -> PlanCheck:
        change()
        return check_plan(_as_stored(plan), today=today)

    return WhatIf(before, undone(tried))


def _as_stored(plan: FieldPlan) -> FieldPlan:
    return FieldPlan.objects.get(pk=plan.pk)


def _changed(before: PlanCheck, after: PlanCheck) -> Iterator[ChangedCell]:
    for key in {**after.cells, **before.cells}:
        old, new = before.cells.get(key), after.cells.get(key)
        if old is None or new is None or old.verdict != new.verdict:
            shown = new or before.cells[key]
            yield ChangedCell(shown.stop.stop.name, key[1], _drawn(old), _drawn(new))


def _drawn(cell: CheckedCell | None) -> Cell | None:
    return None if cell is None else Cell(cell.verdict, cell.layer)


def _grounds(cell: CheckedCell) -> tuple[object, ...]:
    return cell.papers, cell.reasons, cell.margin_days


def _names_beyond(check: PlanCheck, other: PlanCheck) -> tuple[str, ...]:
    known = {one.stop.pk for one in other.loaded.stops}
    return tuple(one.stop.name for one in check.loaded.stops if one.stop.pk not in known)


def _same(need: Need) -> tuple[object, Verdict]:
    """What makes two needs the same one: as ``by_verdict`` puts cells together."""
    return need.key, need.verdict


def _days(need: Need) -> tuple[date | None, date | None]:
    return need.needed_on, need.start_by
