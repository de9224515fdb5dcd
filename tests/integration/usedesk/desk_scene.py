"""Material under three papers, as tests of decisions want it: one allows, one asks first, one forbids."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from accessions.material.models import Specimen
from governance.engine.uses import Said, Use
from governance.papers.models import Paper, PaperVersion
from governance.usedesk.models import UseRequest
from tests.factories import register, usedesk, verdicts

CANARY = "heron-and-otter"
"""Stands in the clauses: to be seen by readers of the paper alone."""


@dataclass(frozen=True)
class Scene:
    """allowing, asking, forbidding: specimens under one paper each; all are in the basket of the request."""

    request: UseRequest
    allowing: tuple[Specimen, ...]
    asking: tuple[Specimen, ...]
    forbidding: tuple[Specimen, ...]
    allows: Paper
    asks: Paper
    forbids: Paper


def scene(use: Use = Use.IMAGING, count: int = 3) -> Scene:
    """A request for imaging, of ``count`` specimens under each paper; judged, and nothing crosses a border."""
    allows, asks, forbids = (
        _paper(reference, use, said)
        for reference, said in (("COL-1", Said.ALLOWED), ("ABS-2", Said.ASK_FIRST), ("DEP-3", Said.NOT_ALLOWED))
    )
    allowing, asking, forbidding = (
        tuple(_under(paper, number) for number in range(count)) for paper in (allows, asks, forbids)
    )
    request = usedesk.use_request(
        use, specimens=[*allowing, *asking, *forbidding], country="", reference="UR-2026-064",
        title="Caddisflies, images", asked_on=date(2026, 11, 20),
    )  # fmt: skip
    return Scene(request, allowing, asking, forbidding, allows, asks, forbids)


def _paper(reference: str, use: Use, said: Said) -> Paper:
    made = register.paper(reference, issuer=f"Directorate of {reference}")
    version = register.version(made, "2019-01-01", None)
    usedesk.use_term(version, use, said, clause=f"{CANARY} {reference}", page=3, clause_number="7.2")
    return made


def version_of(paper: Paper) -> PaperVersion:
    """The one version of a paper of the scene."""
    return paper.versions.get()


def _under(paper: Paper, number: int) -> Specimen:
    made = register.specimen(f"LMN-{paper.reference}-{number}")
    register.link(paper, specimen=made)
    verdicts.judged(made)
    return made
