"""Assessments: read the register, judge it, keep what changed."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from accessions.material.models import Accession, Touch
from accessions.people.access import Verb, check
from governance.engine import assess as judge
from governance.engine.assess import ENGINE_VERSION
from governance.verdicts.check import Step, no_step, outlines
from governance.verdicts.feed import Feed, feed
from governance.verdicts.feed.rules import digest
from governance.verdicts.models import Run
from governance.verdicts.one_run import one_run
from governance.verdicts.selecting import Selection, of_accession, of_everything
from governance.verdicts.storing.contents import contents_of
from governance.verdicts.storing.results import append_results, changed_rows, clear_stopped, discard, finish
from governance.verdicts.storing.rulings import store_rulings


def assess(*, by: Any, why: str, accession: Accession | None = None, step: Step = no_step) -> Run:
    """Judge the whole register, or an accession with all that is counted together with it. Waits for another run.

    Args:
        by: who asks; None for the machine itself.

    Raises:
        NotAllowedError: the person may not ask for an assessment.
    """
    if by is not None:
        check(by, Verb.ASSESS)
    with one_run():
        return run_selection(_selection(accession), by=by, why=why, step=step)


def _selection(accession: Accession | None) -> Selection:
    if accession is not None:
        return of_accession(accession)
    return of_everything(Touch.objects.values_list("pk", flat=True))


def run_selection(selection: Selection, *, by: Any, why: str, step: Step = no_step) -> Run:
    """Judge a selection. Call it only inside ``one_run``."""
    clear_stopped()
    run = Run.objects.create(
        state=Run.State.RUNNING, engine_version=ENGINE_VERSION, scope=selection.scope[:200], why=why[:200], by=by,
        started_at=timezone.now(), names=selection.names,
    )  # fmt: skip
    try:
        _judge(run, selection, step)
    except BaseException:
        discard(run)
        raise
    return run


def _judge(run: Run, selection: Selection, step: Step) -> None:
    step("Reading the register", 0)
    fed = feed(selection.specimens, selection.linked)
    count = len(fed.specimens)
    step("Judging", count)
    world = outlines()
    assessment = judge(
        fed.material, fed.papers.papers, fed.requirements, world, fed.house.rules, classification=fed.classification
    )
    step("Keeping rulings", count)
    rulings = store_rulings(contents_of(fed, assessment, world.boundary_error_m))
    every = selection.specimens is None
    rows = changed_rows(fed.specimens, rulings, every=every)
    _describe(run, fed, count, len(rows))
    append_results(run, fed.specimens, rulings, rows, lambda done: step("Writing results", done))
    step("Putting results in force", len(rows))
    finish(run, selection.touches, None if every else fed.specimens)


def _describe(run: Run, fed: Feed, judged: int, changed: int) -> None:
    """What was used, for whoever asks in ten years."""
    run.judged, run.changed, run.progress = judged, changed, changed
    run.house = fed.house.record()
    run.papers = fed.papers.used()
    run.rules_digest = digest(fed.requirements, fed.house)
    run.save(update_fields=["judged", "changed", "house", "papers", "rules_digest"])
