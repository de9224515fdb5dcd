"""Verdicts of a small register as a run would leave them: for tests of what shows them, not of how they are made."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from django.utils import timezone

from accessions.material.models import Accession, Specimen
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper
from governance.verdicts.models import (
    LayerDecision,
    Outcome,
    OutcomeFinding,
    OutcomePaper,
    Override,
    Result,
    Ruling,
    RulingLayer,
    Run,
    Standing,
)
from governance.verdicts.standing_columns import fill_columns
from tests.factories.register import digest_of, person

CALM = "111111111"
"""The strip of a specimen of which nothing is required."""


class Why(NamedTuple):
    """Why a layer stands as it does: its first finding and its first paper."""

    code: str = ""
    sentence: str = ""
    paper: Paper | None = None


def run() -> Run:
    """One run that is done, made once."""
    now = timezone.now()
    return Run.objects.get_or_create(
        scope="all specimens", why="a test", state=Run.State.DONE,
        defaults={"engine_version": "0", "started_at": now, "finished_at": now},
    )[0]  # fmt: skip


def outcome(layer: Layer, verdict: Verdict, why: Why) -> Outcome:
    digest = digest_of(str(int(layer)), str(int(verdict)), why.code, why.sentence, str(why.paper and why.paper.pk))
    found, is_new = Outcome.objects.get_or_create(digest=digest, defaults={"layer": layer, "verdict": verdict})
    if is_new and why.code:
        OutcomeFinding.objects.create(outcome=found, position=0, code=why.code, sentence=why.sentence or why.code)
    if is_new and why.paper:
        OutcomePaper.objects.create(outcome=found, position=0, paper=why.paper, reference=why.paper.reference)
    return found


def judged(specimen: Specimen, strip: str = CALM, why: Mapping[Layer, Why] | None = None) -> Standing:
    """Let a ruling stand for a specimen. strip: a digit a layer, as ``Ruling.strip`` holds them."""
    outcomes = [outcome(layer, Verdict(int(strip[layer])), (why or {}).get(layer, Why())) for layer in Layer]
    digest = digest_of(strip, *(str(o.pk) for o in outcomes))
    ruling, is_new = Ruling.objects.get_or_create(digest=digest, defaults={"strip": strip, "worst": int(max(strip))})
    if is_new:
        RulingLayer.objects.bulk_create(RulingLayer(ruling=ruling, outcome=o, layer=o.layer) for o in outcomes)
    facts = {"ruling": ruling, "run": run(), "event": specimen.event, "name": specimen.name}
    Result.objects.create(specimen=specimen, **facts)
    standing, _new = Standing.objects.update_or_create(specimen=specimen, defaults={**facts, "worst": ruling.worst})
    fill_columns("%s", [specimen.pk])
    standing.refresh_from_db()
    return standing


def overruled(specimen: Specimen, layer: Layer, decided: Verdict) -> Override:
    """A person's decision, laid over what stands."""
    computed = int(specimen.standing.ruling.strip[layer])
    made = Override.objects.create(
        specimen=specimen,
        layer=layer,
        computed=computed,
        decided=decided,
        reason="Letter of the owner",
        decided_by=person(),
    )
    fill_columns("%s", [specimen.pk])
    return made


def decision(accession: Accession, layer: Layer = Layer.LAND, **fields: Any) -> LayerDecision:
    """A decision that stands, as it is after the verdicts followed it: no mark is left."""
    given = {"reason": "The land is the museum’s own.", "evidence": "land register, folio 12", "decided_by": person()}
    return LayerDecision.objects.create(accession=accession, layer=int(layer), **given | fields)
