"""The legal file of the demo: arrivals, scans and whose pages they are, title, decisions, renewals, restrictions."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from django.db import connection

from accessions.material.actions.arrivals import put_into_quarantine, receive_delivery, release
from accessions.material.models import Accession, Part
from accessions.people.models import Agent, Role, User
from governance.engine import Layer
from governance.papers.actions.continuing import record_continuation
from governance.papers.actions.restricting import restrict
from governance.papers.actions.scans import PageRange, file_scan, set_ranges
from governance.papers.actions.title import add_title
from governance.papers.models import Paper
from governance.scans.actions.filing import file_scans
from governance.scans.actions.marking import mark
from governance.scans.actions.receiving import receive
from governance.scans.models import Scan
from governance.scans.store import drop
from governance.verdicts.actions.layer_decisions import decide

WHY = "demo"

_QUARANTINE = ("quarantine_in_on", "treatment", "treatment_degrees_c", "treatment_hours", "quarantine_by")


def forget_scans() -> None:
    """Take the files of a demo that is made anew out of the store; those of anybody else stay."""
    if Scan._meta.db_table in connection.introspection.table_names():
        for key in Scan.objects.values_list("stored_name", flat=True):
            drop(key)


def add_arrivals(rows: dict[str, dict[str, Any]], agents: dict[str, Agent], staff: dict[str, User]) -> None:
    """Deliveries without an accession yet, each as far on its way as it says."""
    for number, row in rows.items():
        values = dict(row)
        quarantine = values.pop("quarantine", None)
        waived = values.pop("quarantine_waived", "")
        out_on: date | None = values.pop("released", None)
        values["sender"] = agents.get(values.pop("sender", ""))
        delivery = receive_delivery(entry_number=number, by=staff[Role.VOLUNTEER], why=WHY, **values)
        if quarantine:
            steps = dict(zip(_QUARANTINE, quarantine, strict=True))
            put_into_quarantine(delivery, by=staff[Role.VOLUNTEER], why=WHY, **steps)
        elif waived:
            put_into_quarantine(delivery, by=staff[Role.VOLUNTEER], why=WHY, quarantine_waived=waived)
        if out_on:
            release(delivery, out_on=out_on, by=staff[Role.REGISTRAR], why=WHY)


def add_titles(rows: list[dict[str, Any]], *, by: User) -> None:
    """By which act accessions came, and who had the right to give."""
    for row in rows:
        values = dict(row)
        accession = Accession.objects.get(number=values.pop("accession"))
        paper = values.pop("paper", None)
        values["paper"] = Paper.objects.get(reference=paper) if paper else None
        add_title(accession=accession, by=by, why=WHY, **values)


def decide_all(rows: list[list[Any]]) -> None:
    """Decisions that a layer needs no paper."""
    for number, letter, layer, who, reason, evidence in rows:
        accession = Accession.objects.get(number=number)
        part = Part.objects.get(accession=accession, letter=letter) if letter else None
        decide(
            accession=accession, part=part, layer=Layer.from_code(layer), reason=reason, evidence=evidence,
            by=User.objects.get(username=who),
        )  # fmt: skip


def continue_all(rows: list[list[str]], *, by: User) -> None:
    """Papers that go on under another number."""
    for earlier, later, proof, evidence in rows:
        papers = {paper.reference: paper for paper in Paper.objects.filter(reference__in=[earlier, later])}
        record_continuation(
            earlier=papers[earlier], later=papers[later], proof=proof, evidence=evidence, by=by, why=WHY
        )


def restrict_all(rows: dict[str, list[Any]], *, by: User) -> None:
    """Papers that are open to some roles only."""
    for reference, (roles, why) in rows.items():
        restrict(paper=Paper.objects.get(reference=reference), roles=roles, why=why, by=by)


def receive_scans(folder: Path, beside: dict[str, dict[str, Any]], *, by: User) -> None:
    """Scans, filed with what they belong to; marks come last, since they name other scans.

    Args:
        folder: with the files and ``scans.json``, which says whose pages they are.
        beside: by file, what else the register knows: accessions in whose file it is, marks.
    """
    rows = json.loads((folder / "scans.json").read_text("utf-8"))["scans"]
    scans: dict[str, Scan] = {}
    for row in rows:
        with (folder / row["file"]).open("rb") as data:
            scans[row["file"]] = receive(data=data, name=row["name"], by=by, why=WHY).scan
        _file(scans[row["file"]], row, by=by)
    for name, known in beside.items():
        for number in known.get("accessions", ()):
            accession = Accession.objects.get(number=number)
            file_scans(scans=[scans[name]], accession=accession, filed_as=known["filed_as"], by=by, why=WHY)
        for kind, other, note in known.get("marks", ()):
            mark(scan=scans[name], kind=kind, other=scans.get(other), note=note, by=by, why=WHY)


def _file(scan: Scan, row: dict[str, Any], *, by: User) -> None:
    papers = {one["reference"]: Paper.objects.get(reference=one["reference"]) for one in row["papers"]}
    ranges = [PageRange(papers[one["reference"]], one["first"], one["last"]) for one in row["papers"] if one["first"]]
    if ranges:
        set_ranges(scan=scan, ranges=ranges, by=by, why=WHY)
        return
    for paper in papers.values():
        file_scan(paper=paper, scan=scan, name=row["name"], by=by, why=WHY)
