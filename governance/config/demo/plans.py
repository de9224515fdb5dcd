"""Field plans of the demo: one in the making, one signed off, one that became an accession, one given up."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml
from django.utils import timezone

from accessions.material.models import Accession
from accessions.people.models import User
from accessions.sites.models import Site
from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.plans.actions.applications import add_application, add_scans
from governance.plans.actions.asking import ask, promise
from governance.plans.actions.attaching import attach
from governance.plans.actions.decisions import decide
from governance.plans.actions.notices import give_notice
from governance.plans.actions.plans import add_plan, close_plan
from governance.plans.actions.signing import sign_off
from governance.plans.actions.stops import add_stop
from governance.plans.actions.turning import join_accession
from governance.plans.actions.ways_home import add_way_home
from governance.plans.models import FieldPlan, Stop
from governance.scans.actions.dropping import Drop
from governance.scans.models import Scan

WHY = "agreed at the planning meeting"


def add_plans(path: Path) -> None:
    """The plans of a file, each entered by the person who made it."""
    written = yaml.safe_load(path.read_text("utf-8"))
    for reference, row in written["plans"].items():
        _add(reference, row, written["groups"], _person(row["by"]))


def _person(username: str) -> User:
    return User.objects.get(username=username)


def _add(reference: str, row: dict[str, Any], groups: dict[str, Any], by: User) -> None:
    face: dict[str, Any] = {
        name: row[name] for name in ("title", "leader", "language", "uses", "contacts", "remarks") if name in row
    }
    plan = add_plan(values={"reference": reference, **face}, by=by, why=WHY)
    for home in row.get("ways_home", ()):
        add_way_home(plan=plan, values=home, by=by, why=WHY)
    stops = {stop["name"]: _add_stop(plan, stop, groups, by) for stop in row["stops"]}
    _attach(plan, row.get("papers", {}), stops, by)
    for name, layer, who, reason, evidence in row.get("decisions", ()):
        decide(
            plan=plan, stop=stops.get(name), layer=Layer.from_code(layer), reason=reason, evidence=evidence,
            by=_person(who),
        )  # fmt: skip
    for reference, given_on, note in row.get("notices", ()):
        paper = Paper.objects.get(reference=reference)
        give_notice(plan=plan, paper=paper, given_on=given_on, note=note, by=by, today=timezone.localdate())
    for application in row.get("applications", ()):
        _apply(plan, dict(application), stops, by)
    _end(plan, row, by)


def _add_stop(plan: FieldPlan, row: dict[str, Any], groups: dict[str, Any], by: User) -> Stop:
    first, last = row.get("days", (None, None))
    values = {
        "name": row["name"], "first_on": first, "last_on": last, "methods": row["methods"], "people": row["people"],
        "site": Site.objects.get(code=row["site"]) if "site" in row else None, **row.get("place", {}),
    }  # fmt: skip
    targets = [{"name": name, "expected": expected, **groups[name]} for name, expected in row.get("targets", ())]
    traps = [
        {"method": method, "number": number, "first_on": first, "last_on": last}
        for method, number, first, last in row.get("traps", ())
    ]
    return add_stop(plan=plan, values=values, targets=targets, traps=traps, by=by, why=WHY)


def _attach(plan: FieldPlan, papers: dict[str, list[str]], stops: dict[str, Stop], by: User) -> None:
    for reference, names in papers.items():
        paper = Paper.objects.get(reference=reference)
        whole_plan: list[Stop | None] = [None]
        for stop in [stops[name] for name in names] or whole_plan:
            attach(plan=plan, paper=paper, stop=stop, by=by, why=WHY)


def _apply(plan: FieldPlan, row: dict[str, Any], stops: dict[str, Stop], by: User) -> None:
    asked_on, promised_on = row.pop("asked_on", None), row.pop("promised_on", None)
    names, scans = row.pop("stops"), row.pop("scans", ())
    row["layer"], row["assignee"] = Layer.from_code(row["layer"]), _person(row["assignee"])
    application = add_application(plan=plan, values=row, stops=[stops[name].pk for name in names], by=by, why=WHY)
    if scans:
        drop = Drop(scans=[Scan.objects.get(original_name=name) for name in scans])
        add_scans(application=application, drop=drop, by=by, why=WHY)
    if asked_on:
        ask(application=application, on=asked_on, by=by, why=WHY)
    if promised_on:
        promise(application=application, on=promised_on, by=by, why=WHY)


def _end(plan: FieldPlan, row: dict[str, Any], by: User) -> None:
    """How it ended, if it did."""
    if "signed" in row:
        who, remark = row["signed"]
        newest = plan.versions.order_by("-number")[0]
        sign_off(plan=plan, remark=remark, seen=newest.number, by=_person(who))
    if "accession" in row:
        join_accession(plan=plan, accession=Accession.objects.get(number=row["accession"]), by=by, why=WHY)
    if "closed" in row:
        close_plan(plan=plan, why=row["closed"], by=by)
