"""What differs between two versions of a plan, in words.

A stop is the same stop as long as it has the same key, whatever it is called. Groups and traps have no key of their
own: those that are the same in all are put aside first, then those of one name are held together.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from governance.plans.models import Consignment, FieldPlan, PlanDecision, Stop, StopTarget, StopTrap
from governance.plans.queries.content_words import (
    label,
    layer_words,
    shown,
    site_words,
    stop_words,
    target_words,
    trap_words,
    uses_words,
    way_words,
)
from governance.plans.queries.contents import DECISION, FACE, HOME, STOP, TARGET, TRAP, Contents


class Kind(StrEnum):
    """What happened to a thing from one version to the other."""

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
    """What differs, in the order of a plan: its face, stops, ways home, papers, decisions."""
    both = _Both(before, after)
    parts = (_face, _stops, _ways_home, _papers, _decisions)
    return tuple(difference for part in parts for difference in part(both))


@dataclass(frozen=True)
class _Both:
    """Two versions. A list that one of them lacks (it was written by an older program) is empty."""

    before: Contents
    after: Contents

    def rows(self, name: str, of: Callable[[Contents], Hashable]) -> tuple[_Rows, _Rows]:
        """The rows of a list by what they are known by, before and after."""
        old, new = ({of(row): row for row in side.get(name) or []} for side in (self.before, self.after))
        return old, new

    def stop(self, key: int | None) -> str:
        """A stop by its newest name; without a key it is the whole plan."""
        if key is None:
            return _whole_plan()
        names = {row["key"]: row["name"] for side in (self.before, self.after) for row in side.get("stops") or []}
        return str(names.get(key, _("A stop")))


_Rows = dict[Hashable, Contents]


def _whole_plan() -> str:
    return _("The plan")


def _face(both: _Both) -> Iterator[PlanDifference]:
    yield from _fields(_whole_plan(), FieldPlan, FACE, both.before, both.after)
    old, new = (uses_words(side.get("uses") or []) for side in (both.before, both.after))
    yield from _changed(_whole_plan(), label(FieldPlan, "uses"), old, new)


def _stops(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("stops", _key)
    for key, row in new.items():
        if key in old:
            yield from _stop(both, old[key], row)
    yield from _come_and_gone(old, new, lambda row: row["name"], lambda row: _("stop"), stop_words)
    yield from _reordered(_whole_plan(), _("order of the stops"), old, new, lambda row: row["name"])


def _stop(both: _Both, old: Contents, new: Contents) -> Iterator[PlanDifference]:
    subject = new["name"]
    yield from _fields(subject, Stop, STOP, old, new)
    if _key(old.get("site") or {}) != _key(new.get("site") or {}):
        yield from _changed(
            subject, label(Stop, "site"), site_words(old.get("site")), site_words(new.get("site")), differs=True
        )
    if old.get("way_home") != new.get("way_home"):
        ways = (_way_of(both.before, old), _way_of(both.after, new))
        yield from _changed(subject, label(Stop, "consignment"), *ways, differs=True)
    yield from _hung(subject, StopTarget, TARGET, old.get("targets") or [], new.get("targets") or [])
    yield from _hung(subject, StopTrap, TRAP, old.get("traps") or [], new.get("traps") or [])


def _way_of(side: Contents, stop: Contents) -> str:
    """The way home that a stop names; without one it is the first of the plan."""
    way = next((way for way in side.get("ways_home") or [] if way["key"] == stop.get("way_home")), None)
    return way_words(way) if way else _("the first of the plan")


_HUNG: dict[type[models.Model], tuple[str, Callable[[Contents], str]]] = {
    StopTarget: ("name", target_words),
    StopTrap: ("method", trap_words),
}
"""What hangs on a stop: the field by which it is called, and its words."""


def _hung(
    subject: str, model: type[models.Model], names: Sequence[str], old: Sequence[Contents], new: Sequence[Contents]
) -> Iterator[PlanDifference]:
    """Groups, or traps, of one stop."""
    called, words = _HUNG[model]
    what = str(model._meta.verbose_name)
    gone, come = _without_the_same(old, new)
    for row in gone:
        match = next((one for one in come if one[called] == row[called]), None)
        if match is None:
            yield PlanDifference(Kind.REMOVED, subject, what, before=words(row))
        else:
            come.remove(match)
            yield from _fields(subject, model, names, row, match, prefix=f"{row[called]}, ")
    for row in come:
        yield PlanDifference(Kind.ADDED, subject, what, after=words(row))
    if not gone and list(old) != list(new) and len(old) == len(new):
        order = (", ".join(row[called] for row in side) for side in (old, new))
        yield PlanDifference(Kind.CHANGED, subject, _("order of: %(what)s") % {"what": what}, *order)


def _without_the_same(old: Sequence[Contents], new: Sequence[Contents]) -> tuple[list[Contents], list[Contents]]:
    gone, come = [], list(new)
    for row in old:
        if row in come:
            come.remove(row)
        else:
            gone.append(row)
    return gone, come


def _ways_home(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("ways_home", _key)
    for key, row in new.items():
        if key in old:
            yield from _fields(_way_subject(row), Consignment, HOME, old[key], row)
    yield from _come_and_gone(old, new, _way_subject, lambda row: str(Consignment._meta.verbose_name), _days_home)
    yield from _reordered(_whole_plan(), _("order of the ways home"), old, new, way_words)


def _way_subject(row: Contents) -> str:
    return _("Way home %(way)s") % {"way": way_words(row)}


def _days_home(row: Contents) -> str:
    days = [row["exported_on"], row["imported_on"], row["transferred_on"]]
    return ", ".join(filter(None, days)) or _("no day yet")


def _papers(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("papers", lambda row: (row["paper"], row["stop"]))
    yield from _come_and_gone(
        old, new, lambda row: both.stop(row["stop"]), lambda row: _("paper linked"), lambda row: row["reference"]
    )


def _decisions(both: _Both) -> Iterator[PlanDifference]:
    old, new = both.rows("decisions", lambda row: (row["layer"], row["stop"]))
    for key, row in new.items():
        if key in old:
            prefix = f"{_decided(row)}, "
            yield from _fields(both.stop(row["stop"]), PlanDecision, DECISION, old[key], row, prefix=prefix)
    yield from _come_and_gone(old, new, lambda row: both.stop(row["stop"]), _decided, lambda row: row["reason"])


def _decided(row: Contents) -> str:
    return _("no paper required for %(layer)s") % {"layer": layer_words(row["layer"]).lower()}


def _key(row: Contents) -> Any:
    return row.get("key")


def _fields(
    subject: str, model: type[models.Model], names: Sequence[str], old: Contents, new: Contents, *, prefix: str = ""
) -> Iterator[PlanDifference]:
    """The fields of one row that differ. A field that one side does not have is blank there."""
    for name in names:
        before, after = _blank(old.get(name)), _blank(new.get(name))
        if before != after:
            words = shown(model, name, before), shown(model, name, after)
            yield from _changed(subject, f"{prefix}{label(model, name)}", *words, differs=True)


def _blank(value: Any) -> Any:
    """Nothing is nothing, however it is written; zero is something."""
    return "" if value is None else value


def _changed(subject: str, what: str, before: str, after: str, *, differs: bool = False) -> Iterator[PlanDifference]:
    """differs: it does, even if the words are the same; the second then says that it is another."""
    if before == after and differs:
        after = _("another: %(words)s") % {"words": after}
    if before != after:
        yield PlanDifference(Kind.CHANGED, subject, what, before, after)


def _come_and_gone(
    old: _Rows,
    new: _Rows,
    subject: Callable[[Contents], str],
    what: Callable[[Contents], str],
    words: Callable[[Contents], str],
) -> Iterator[PlanDifference]:
    for key, row in new.items():
        if key not in old:
            yield PlanDifference(Kind.ADDED, subject(row), what(row), after=words(row))
    for key, row in old.items():
        if key not in new:
            yield PlanDifference(Kind.REMOVED, subject(row), what(row), before=words(row))


def _reordered(
    subject: str, what: str, old: _Rows, new: _Rows, words: Callable[[Contents], str]
) -> Iterator[PlanDifference]:
    """Whether those that are in both stand in another order; called by their newest names."""
    before, after = [key for key in old if key in new], [key for key in new if key in old]
    if before != after:
        order = (", ".join(words(new[key]) for key in keys) for keys in (before, after))
        yield PlanDifference(Kind.CHANGED, subject, what, *order)
