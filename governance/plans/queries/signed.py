"""Whether a plan is signed off, and what is no longer as it was signed: the plan, or what the check says of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from governance.engine.tables import Layer, Verdict
from governance.plans.models import FieldPlan, PlanSignOff, PlanVersion
from governance.plans.queries.check import PlanCheck
from governance.plans.queries.contents import Contents, contents
from governance.plans.queries.differences import PlanDifference, differences
from governance.verdicts.cells import Cell

Strips = dict[str, str]
"""By key of a stop the nine digits of its verdicts. Keys are text, as JSON writes them."""


@dataclass(frozen=True)
class MovedVerdict:
    """A cell whose verdict is no longer the one that was signed. by_the_plan: the stop, or what is for it, changed."""

    stop: str
    before: Cell
    after: Cell
    by_the_plan: bool

    @property
    def is_worse(self) -> bool:
        return self.after.verdict > self.before.verdict


@dataclass(frozen=True)
class Signed:
    """The sign-off that stands, and what differs since.

    changed: what somebody changed in the plan. moved: verdicts that differ, for whatever reason. grounds: what the
    check went by then and no longer does, in words; only where verdicts differ.
    """

    sign_off: PlanSignOff
    changed: tuple[PlanDifference, ...]
    moved: tuple[MovedVerdict, ...]
    grounds: tuple[str, ...]

    @property
    def version(self) -> PlanVersion:
        return self.sign_off.version

    @property
    def is_as_signed(self) -> bool:
        return not self.changed and not self.moved

    @cached_property
    def moved_alone(self) -> tuple[MovedVerdict, ...]:
        """Verdicts that differ though nobody changed the stop: papers, rules or other numbers did."""
        return tuple(cell for cell in self.moved if not cell.by_the_plan)

    @cached_property
    def moved_by_plan(self) -> tuple[MovedVerdict, ...]:
        return tuple(cell for cell in self.moved if cell.by_the_plan)

    @property
    def open_then(self) -> int:
        """Cells that needed a look when it was signed."""
        return open_cells(self.sign_off.verdicts)


def signed(plan: FieldPlan, check: PlanCheck) -> Signed | None:
    """The sign-off that stands for a plan, held against the plan and the check of now; None where none stands.

    One query where none stands, eight where one does.
    """
    sign_off = standing_sign_off(plan)
    if sign_off is None:
        return None
    then, now = sign_off.version.contents, contents(plan)
    moved = _moved(sign_off.verdicts, check, touched_stops(then, now))
    grounds = _grounds(sign_off.judged, check.bench.record()) if moved else ()
    return Signed(sign_off, differences(then, now), moved, grounds)


def sign_offs(plan: FieldPlan) -> QuerySet[PlanSignOff]:
    """All that were ever given, newest first."""
    rows = PlanSignOff.objects.filter(version__plan=plan)
    return rows.select_related("version", "signed_by", "withdrawn_by").order_by("-pk")


def standing_sign_off(plan: FieldPlan) -> PlanSignOff | None:
    """The newest that was not withdrawn."""
    return sign_offs(plan).filter(withdrawn_at__isnull=True).first()


def strips_of(check: PlanCheck) -> Strips:
    """What the check says of each stop, as a sign-off keeps it."""
    return {str(one.stop.pk): check.strip(one.stop.pk) for one in check.loaded.stops}


def open_cells(strips: Mapping[str, str]) -> int:
    """How many cells of kept strips need a look."""
    return sum(Cell(Verdict(int(digit))).needs_a_look for strip in strips.values() for digit in strip)


def _moved(then: Mapping[str, str], check: PlanCheck, touched: frozenset[int]) -> tuple[MovedVerdict, ...]:
    """Cells of stops that are in both, what is worse first."""
    found = []
    for one in check.loaded.stops:
        old = then.get(str(one.stop.pk))
        for layer, digit in zip(Layer, old or "", strict=False):
            cell = check.cells[one.stop.pk, layer]
            if int(digit) != cell.verdict:
                before, after = Cell(Verdict(int(digit)), layer), Cell(cell.verdict, layer)
                found.append(MovedVerdict(one.stop.name, before, after, one.stop.pk in touched))
    return tuple(sorted(found, key=lambda cell: not cell.is_worse))


def touched_stops(then: Contents, now: Contents) -> frozenset[int]:
    """The stops that somebody changed, or for which a paper, a decision or the way home changed.

    What is for the whole plan is for every stop; so are the ways home, of which a stop may use any.
    """
    every = {int(row["key"]) for row in now.get("stops") or []}
    if _of(then, None) != _of(now, None):
        return frozenset(every)
    return frozenset(key for key in every if _of(then, key) != _of(now, key))


def _of(side: Contents, stop: int | None) -> tuple[Any, ...]:
    """All that is for one stop alone; without a stop all that is for the whole plan and its verdicts."""
    own = [row for name in ("papers", "decisions") for row in side.get(name) or [] if row["stop"] == stop]
    if stop is None:
        return own, side.get("ways_home")
    return own, [row for row in side.get("stops") or [] if row["key"] == stop]


def _grounds(then: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    """What the check went by that is not what it goes by now."""
    words = {
        "papers": _("other papers, or other versions of them, speak"),
        "rules": _("rules of country sheets or of the house changed"),
        "engine": _("the register judges by a newer version of itself"),
    }
    return tuple(text for name, text in words.items() if then.get(name) != now.get(name))
