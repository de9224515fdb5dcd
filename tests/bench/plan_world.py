"""A field plan of many stops and papers in a database, everything made up: what the bench of plans is about."""

from __future__ import annotations

import math
import random
from datetime import date, timedelta
from typing import Any

from governance.engine.tables import Layer
from governance.papers import actions
from governance.plans.models import FieldPlan
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

GROUPS = ("Trichoptera", "Odonata", "Unio crassus")
METHODS = ("hand net", "light trap", "dredge")
PEOPLE = tuple(f"{chr(65 + number)}. Person{chr(65 + number)}" for number in range(25))
FIRST = date(2027, 6, 1)


def fill(stops: int, papers: int, seed: int = 1) -> FieldPlan:
    """Stops along a river in Georgia, a day or two apart, each with three methods, traps and three groups."""
    lot, by = random.Random(seed), r.person("registrar")
    sheet = r.sheet("GE")
    for layer in Layer:
        r.rule(sheet, layer, lead_days=30)
    plan = f.field_plan()
    f.way_home(plan, from_country="GE", to_country="SE", exported_on="2027-08-20", imported_on="2027-08-21")
    for number in range(stops):
        first = FIRST + timedelta(number)
        stop = f.stop(
            plan, position=number, country="GE", longitude_deg=43.8 + 0.005 * (number % 40), latitude_deg=42.05,
            radius_m=200.0, first_on=first, last_on=first + timedelta(2), methods=" | ".join(METHODS),
            people=" | ".join(lot.sample(PEOPLE, 2)),
        )  # fmt: skip
        f.trap(stop, last_on=first + timedelta(14))
        for position, name in enumerate(GROUPS):
            f.target(stop, name, position=position, kingdom="Animalia", expected="40")
    for number in range(papers):
        paper = actions.register(data=a_paper(number, lot), by=by, why="made up for the bench")
        f.attach(plan, paper, by)
    return plan


def a_paper(number: int, lot: random.Random) -> dict[str, Any]:
    """A permit with a star of 60 corners about some place on the river; a fifth limit numbers."""
    layer = tuple(Layer)[number % 6]
    first = FIRST + timedelta(lot.randint(-60, 20))
    version: dict[str, Any] = {
        "in_force_from": first.isoformat(), "in_force_to": (first + timedelta(lot.randint(30, 200))).isoformat(),
        "places": {"include": [{"geojson": star(43.8 + 0.2 * lot.random(), 42.05, 0.02 + 0.1 * lot.random(), lot)}]},
    }  # fmt: skip
    if number % 3 == 0:
        version["methods"] = {"include": [*lot.sample(METHODS, 2), "Malaise trap"]}
    if number % 4 == 0:
        version["people"] = {"named": list(PEOPLE[: 5 + number % 20])}
    if number % 5 == 0:
        version["caps"] = [{"limit": 4000}]
    return paper_object(f"P-{number:03}", layers=[layer.code], versions=[version])


def star(longitude: float, latitude: float, reach_deg: float, lot: random.Random) -> dict[str, Any]:
    ring = []
    for corner in range(60):
        angle, far = 2 * math.pi * corner / 60, reach_deg * (0.7 + 0.3 * lot.random())
        ring.append([longitude + far * math.cos(angle), latitude + far * math.sin(angle)])
    return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
