"""A plan with papers that map areas and say terms, for tests of the field pack. Everything is invented."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import (
    Condition,
    Paper,
    PaperScan,
    PaperVersion,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.plans.models import FieldPlan, Stop
from tests.factories import plans, register, scans

SQUARE = [[43.85, 42.04], [43.98, 42.04], [43.98, 42.12], [43.85, 42.12], [43.85, 42.04]]
HOLE = [[43.95, 42.05], [43.95, 42.06], [43.96, 42.06], [43.96, 42.05], [43.95, 42.05]]
CORE = [[43.93, 42.08], [43.94, 42.08], [43.94, 42.09], [43.93, 42.09], [43.93, 42.08]]


@dataclass(frozen=True)
class Trip:
    """A plan in Georgia with one stop, a permit with all kinds of terms, and a restricted consent of the owner."""

    plan: FieldPlan
    stop: Stop
    permit: Paper
    version: PaperVersion
    consent: Paper
    curator: Any


def polygon(*rings: list[list[float]]) -> str:
    return json.dumps({"type": "Polygon", "coordinates": list(rings)})


def paper_on(plan: FieldPlan, reference: str, layer: Layer, by: Any, **fields: Any) -> tuple[Paper, PaperVersion]:
    """A paper in force from May to 18 June 2027, linked to the plan."""
    paper = register.paper(reference, (layer,), **fields)
    plans.attach(plan, paper, by)
    return paper, register.version(paper, "2027-05-01", "2027-06-18", assistants="supervised")


def trip(language: str = "en") -> Trip:
    """Three days at the weir, covered by nothing on land that a curator may read."""
    curator = register.person(Role.CURATOR)
    plan = plans.field_plan(title="Nazvri headwaters", language=language, contacts="Duty desk, channel 4")
    stop = plans.stop(plan, name="At the weir", country="GE", longitude_deg=43.903, latitude_deg=42.084, radius_m=200.0)
    plans.target(stop, "Odonata", expected="40")
    permit, version = paper_on(plan, "COL-2027-011", Layer.COLLECTING, curator, language="fr")
    _terms(version)
    consent, closed = paper_on(
        plan, "LND-2027-003", Layer.LAND, curator, kind="landowner-consent", issuer="Zzissuer", remarks="Zzremarks"
    )
    _canary(consent, closed, curator)
    return Trip(plan, stop, permit, version, consent, curator)


def _terms(version: PaperVersion) -> None:
    VersionPlace.objects.create(version=version, geojson=polygon(SQUARE, HOLE), boundary_error_m=20)
    VersionPlace.objects.create(version=version, position=1, excluded=True, site="Core zone", geojson=polygon(CORE))
    VersionTaxon.objects.create(version=version, name="Odonata")
    VersionWord.objects.create(version=version, subject="methods", word="hand net")
    VersionWord.objects.create(version=version, position=1, subject="methods", word="dredge", excluded=True)
    VersionWord.objects.create(version=version, position=2, subject="life_stages", word="larva", excluded=True)
    VersionPerson.objects.create(version=version, name="J. Ek")
    VersionSeason.objects.create(version=version, from_month=8, from_day=1, to_month=9, to_day=30)
    VersionCap.objects.create(version=version, taxon="Odonata", each="species", limit=12_500)
    Condition.objects.create(version=version, text="Portez cette autorisation.", page=2)
    Condition.objects.create(version=version, position=1, text="Avertir le bureau.", page=3, notice_days=7)


def _canary(paper: Paper, version: PaperVersion, by: Any) -> None:
    """Words of a paper that a curator may not read."""
    VersionPlace.objects.create(version=version, site="Zzplace", geojson=polygon(CORE))
    VersionPerson.objects.create(version=version, name="Zzperson")
    VersionWord.objects.create(version=version, subject="methods", word="Zzmethod")
    VersionCap.objects.create(version=version, taxon="Zztaxon", limit=77)
    Condition.objects.create(version=version, text="Zzcondition", page=1, notice_days=9)
    scan = scans.scan(scans.pdf(2, "Zzscan"), page_count=2, received_by=by, original_name="Zzscan.pdf")
    PaperScan.objects.create(paper=paper, scan=scan, name="Zzscan.pdf", filed_by=by)
    bits = role_bits([Role.REGISTRAR, Role.COMPLIANCE])
    Paper.objects.filter(pk=paper.pk).update(restricted_to=bits, restricted_why="the owner asked for it")
    type(scan).objects.filter(pk=scan.pk).update(papers_restricted_to=bits)


TODAY = date(2026, 11, 26)
