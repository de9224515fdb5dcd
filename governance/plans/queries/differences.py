"""What differs between two versions of a plan, in words.

A stop is the same stop as long as it has the same key, whatever it is called. Groups and traps have no key of their
own: those that are the same in all are held together first, then those of one name.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.plans.models import (
    PLANNED_USES,
    Consignment,
    FieldPlan,
    PlanDecision,
    PlanLanguage,
    Stop,
    StopTarget,
    StopTrap,
)
from governance.plans.queries.contents import DECISION, FACE, HOME, STOP, TARGET, TRAP, Contents


class Kind(StrEnum):
    ADDED = "added"
    CHANGED = "changed"
    REMOVED = "removed"


@dataclass(frozen=True)
class PlanDifference:
    """One thing that differs. subject: the stop or way home, or the plan itself. before, after: "" for nothing."""

    kind: Kind
    subject: str
    label: str
    before: str = ""
    after: str = ""


def differences(before: Contents, after: Contents) -> tuple[PlanDifference, ...]:
    """What differs, in the order of a plan: its face, its stops, the ways home, papers, decisions."""
    both = _Both(before, after)
    return tuple(
        difference
        for part in (_face, _stops, _ways_home, _papers, _decisions)
        for difference in part(both)
    )  # fmt: skip


@dataclass(frozen=True)
class _Both:
    before: Contents
    after: Contents

    def rows(self, name: str) -> tuple[list[Contents], list[Contents]]:
        return self.before.get(name) or [], self.after.get(name) or []

    def stop(self, key: int | None) -> str:
        """The stop by its newest name; the plan as a whole where there is no key."""
        if key is None:
            return _("The whole plan")
        names = {row["key"]: row["name"] for row in (*self.before.get("stops", ()), *self.after.get("stops", ()))}
        return str(names.get(key) or _("a stop"))


def _face(both: _Both) -> Iterator[PlanDifference]:
    subject = _("The plan")
    yield from _fields(subject, FieldPlan, FACE, both.before, both.after)
    old, new = (_uses(side.get("uses") or []) for side in (both.before, both.after))
    if old != new:
        yield PlanDifference(Kind.CHANGED, subject, _label(FieldPlan, "uses"), old, new)


def _stops(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("stops")
    known = {row["key"]: row for row in old}
    for row in new:
        if row["key"] in known:
            yield from _stop(both, known[row["key"]], row)
        else:
            yield PlanDifference(Kind.ADDED, row["name"], _("stop"), after=_stop_words(row))
    kept = {row["key"] for row in new}
    for row in old:
        if row["key"] not in kept:
            yield PlanDifference(Kind.REMOVED, row["name"], _("stop"), before=_stop_words(row))
    yield from _order(_("The plan"), _("order of the stops"), old, new, "key", "name")


def _stop(both: _Both, old: Contents, new: Contents) -> Iterator[PlanDifference]:
    subject = new["name"]
    yield from _fields(subject, Stop, STOP, old, new)
    if _key(old.get("site")) != _key(new.get("site")):
        yield PlanDifference(
            Kind.CHANGED, subject, _label(Stop, "site"), _site(old.get("site")), _site(new.get("site"))
        )
    if old.get("way_home") != new.get("way_home"):
        ways = (_way_of(side, row.get("way_home")) for side, row in ((both.before, old), (both.after, new)))
        yield PlanDifference(Kind.CHANGED, subject, _label(Stop, "consignment"), *ways)
    yield from _hung(subject, StopTarget, TARGET, old.get("targets") or [], new.get("targets") or [], _target_words)
    yield from _order(subject, _("order of the groups"), old.get("targets"), new.get("targets"), "name", "name")
    yield from _hung(subject, StopTrap, TRAP, old.get("traps") or [], new.get("traps") or [], _trap_words)
    yield from _order(subject, _("order of the traps"), old.get("traps"), new.get("traps"), "method", "method")


def _ways_home(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("ways_home")
    known = {row["key"]: row for row in old}
    for row in new:
        subject = _("Way home %(way)s") % {"way": _way(row)}
        if row["key"] in known:
            yield from _fields(subject, Consignment, HOME, known[row["key"]], row)
        else:
            yield PlanDifference(Kind.ADDED, subject, _("way home"), after=_way_words(row))
    kept = {row["key"] for row in new}
    for row in old:
        if row["key"] not in kept:
            subject = _("Way home %(way)s") % {"way": _way(row)}
            yield PlanDifference(Kind.REMOVED, subject, _("way home"), before=_way_words(row))
    if (words := [_way_words(row) for row in new]) != [_way_words(row) for row in old]:
        yield from _order(_("The plan"), _("order of the ways home"), old, new, "key", "from_country")
    del words


def _papers(both: _Both) -> Iterator[PlanDifference]:
    old, new = ({(row["paper"], row["stop"]): row for row in side} for side in both.rows("papers"))
    for key, row in new.items():
        if key not in old:
            yield PlanDifference(Kind.ADDED, both.stop(row["stop"]), _("paper attached"), after=row["reference"])
    for key, row in old.items():
        if key not in new:
            yield PlanDifference(Kind.REMOVED, both.stop(row["stop"]), _("paper attached"), before=row["reference"])


def _decisions(both: _Both) -> Iterator[PlanDifference]:
    old, new = ({(row["layer"], row["stop"]): row for row in side} for side in both.rows("decisions"))
    for key, row in new.items():
        label = _("no paper required: %(layer)s") % {"layer": LAYER_NAMES[Layer(row["layer"])]}
        if key in old:
            yield from _fields(f"{both.stop(row['stop'])}", PlanDecision, DECISION, old[key], row, label)
        else:
            yield PlanDifference(Kind.ADDED, both.stop(row["stop"]), label, after=row["reason"])
    for key, row in old.items():
        if key not in new:
            label = _("no paper required: %(layer)s") % {"layer": LAYER_NAMES[Layer(row["layer"])]}
            yield PlanDifference(Kind.REMOVED, both.stop(row["stop"]), label, before=row["reason"])
