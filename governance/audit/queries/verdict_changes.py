"""The verdicts of a specimen through time, each change with what changed between the two assessments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any, Final

from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from accessions.people.changes import Change, changes_of
from governance.audit.queries.verdict_causes import Cause, Rests, causes_of, rests_of
from governance.verdicts.cells import Cell, strip_cells
from governance.verdicts.models import OutcomePaper, Override, Result, Run
from governance.verdicts.queries.history import LayerChange, changed_layers

MOST: Final = 30
"""The newest so many changes are shown."""


@dataclass(frozen=True)
class Among:
    """A cause, and the layers that changed and for which its paper was tested, before or after."""

    cause: Cause
    layers: tuple[str, ...] = ()


@dataclass(frozen=True)
class VerdictChange:
    """What one assessment found that was not found before. before: None for the first one. causes: what changed between
    the two, that bears on it, newest first. beside: what else differs between the two, as both runs keep it."""

    run: Run
    at: datetime
    after: Sequence[Cell]
    before: Sequence[Cell] | None
    layers: Sequence[LayerChange]
    causes: Sequence[Among]
    beside: Sequence[str] = ()

    @property
    def is_known(self) -> bool:
        """Whether something is recorded that may have changed it."""
        return self.before is None or bool(self.causes or self.beside)


@dataclass(frozen=True)
class VerdictHistory:
    """changes: newest first. decisions: by people beside the computed verdicts, newest first. more: how many older
    changes are not shown."""

    changes: Sequence[VerdictChange]
    decisions: Sequence[Change]
    more: int

    @property
    def unknown(self) -> int:
        return sum(not change.is_known for change in self.changes)


def verdict_history(specimen: Specimen, reader: Any) -> VerdictHistory:
    """How the verdicts of a specimen came to be what they are; the causes as far as they are open to the reader."""
    done = Result.objects.filter(specimen=specimen, run__state=Run.State.DONE)
    results = list(done.select_related("run__by", "ruling").order_by("-run_id", "-pk")[: MOST + 1])
    decisions = changes_of(Override, _("decision"), specimen_id=specimen.pk)
    if not results:
        return VerdictHistory((), decisions, 0)
    shown = results[:MOST]
    rests = rests_of(specimen)
    causes = causes_of(rests, _read_at(results[-1].run), reader)
    tested = _papers_tested([result.ruling_id for result in results])
    changes = [_change(new, old, causes, tested, rests) for new, old in pairwise(results)]
    if len(results) <= MOST:
        changes.append(_first(results[-1]))
    return VerdictHistory(changes, decisions, done.count() - len(shown) if len(results) > MOST else 0)


def _read_at(run: Run) -> datetime:
    """When a run read the register: at its start."""
    return run.started_at or run.asked_at


Tested = Mapping[tuple[int, int], frozenset[int]]
"""Layers in which a paper was tested, by ruling and paper."""


def _papers_tested(rulings: Sequence[int]) -> Tested:
    found: dict[tuple[int, int], frozenset[int]] = {}
    rows = OutcomePaper.objects.filter(outcome__rulings__ruling__in=set(rulings))
    for ruling, paper, layer in rows.values_list("outcome__rulings__ruling", "paper", "outcome__layer"):
        found[ruling, paper] = found.get((ruling, paper), frozenset()) | {layer}
    return found


def _first(result: Result) -> VerdictChange:
    return VerdictChange(result.run, _read_at(result.run), strip_cells(result.ruling.strip), None, (), ())


def _change(new: Result, old: Result, causes: Sequence[Cause], tested: Tested, rests: Rests) -> VerdictChange:
    since, until = _read_at(old.run), _read_at(new.run)
    layers = changed_layers(old.ruling.strip, new.ruling.strip)
    among = [
        Among(cause, _layers_of(cause, layers, (old.ruling_id, new.ruling_id), tested))
        for cause in causes
        if since < cause.at <= until
    ]
    return VerdictChange(
        new.run, until, strip_cells(new.ruling.strip), strip_cells(old.ruling.strip), layers, among,
        _beside(old.run, new.run, among, rests),
    )  # fmt: skip


def _layers_of(
    cause: Cause, layers: Sequence[LayerChange], rulings: tuple[int, int], tested: Tested
) -> tuple[str, ...]:  # fmt: skip
    if cause.paper is None:
        return ()
    both = frozenset[int]().union(*(tested.get((ruling, cause.paper), frozenset()) for ruling in rulings))
    return tuple(change.after.layer_name for change in layers if change.after.layer in both)


def _beside(old: Run, new: Run, among: Sequence[Among], rests: Rests) -> list[str]:
    """What the two runs themselves keep: engine, house rules, papers with versions. Of a difference that no recorded
    change explains it is said that who made it is not known."""
    found = []
    if old.engine_version != new.engine_version:
        versions = {"old": old.engine_version, "new": new.engine_version}
        found.append(_("The engine: version %(old)s, then %(new)s.") % versions)
    if old.house != new.house and not _has(among, "HouseRuleSet"):
        found.append(_("The house rules that were used differ; who changed them is not known."))
    if old.names and new.names and old.names != new.names:
        found.append(_("The classification of names that was used differs; who changed it is not known."))
    explained = {one.cause.paper for one in among}
    before, after = _papers_used(old, rests), _papers_used(new, rests)
    for pk in sorted(before.keys() | after.keys()):
        if before.get(pk) != after.get(pk) and pk not in explained:
            words = _("%(paper)s was used with other versions, or not in both; who changed that is not known.")
            found.append(words % {"paper": rests.papers[pk].reference})
    return found


def _has(among: Sequence[Among], model: str) -> bool:
    return any(one.cause.model == model for one in among)


def _papers_used(run: Run, rests: Rests) -> dict[int, Any]:
    """The papers of the specimen that a run used, with the start days of their versions."""
    return {pk: versions for pk, versions in run.papers if pk in rests.papers}
