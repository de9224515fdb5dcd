"""Accessions of the demo: entered, filled from files, divided into parts, put through quarantine."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from accessions.intake.actions import load_file
from accessions.material.actions.accessions import change_accession, change_delivery, create_accession, create_part
from accessions.material.actions.moves import move_to_part
from accessions.material.models import Accession, Part, Specimen
from accessions.people.models import Agent, User
from governance.config.demo.seasons import Seasons, write_rows
from governance.papers.actions import Targets, link
from governance.papers.models import Paper

WHY = "demo"

_COLUMNS = ("title", "kind", "source", "received_on", "accessioned_on", "total_kind")


def add_accessions(source: dict[str, Any], agents: dict[str, Agent], *, by: User) -> None:
    """Enter the accessions, without specimens yet."""
    for number, row in source["accessions"].items():
        values = dict(zip(_COLUMNS, row, strict=True))
        values["source"] = agents.get(values["source"])
        create_accession(by=by, why=WHY, number=number, **values)


def load_core(fixtures: Path, *, by: User) -> None:
    """The specimens that were written by hand, each to show something."""
    load_file(fixtures / "lindmark_specimens.csv", by=by, why=WHY)


def load_seasons(seasons: Seasons, *, by: User, loaded: Callable[[str, int], None]) -> None:
    """The specimens of the seasons: one file an accession, as a field season ends."""
    with TemporaryDirectory() as folder:
        for accession, rows in seasons.by_accession():
            path = Path(folder) / f"{accession}.csv"
            write_rows(rows, path)
            load_file(path, by=by, why=WHY)
            loaded(accession, len(rows))


def count_up(*, by: User) -> None:
    """Write the totals into the book of accessions."""
    for accession in Accession.objects.all():
        change_accession(accession, by=by, why=WHY, total=accession.specimens.count())


def divide(source: dict[str, Any], *, by: User) -> None:
    """Parts of accessions, by the sites where their specimens were taken."""
    for number, parts in source["parts"].items():
        accession = Accession.objects.get(number=number)
        for letter, (title, sites) in parts.items():
            part = create_part(accession, by=by, why=WHY, letter=letter, title=title)
            found = Specimen.objects.filter(accession=accession, event__site__code__in=sites)
            move_to_part(accession, part, list(found.values_list("pk", flat=True)), by=by, why=WHY)


def link_parts(source: dict[str, Any], *, by: User) -> None:
    """Papers that speak for a part of an accession and not for the rest."""
    for reference, names in source["links"].items():
        wanted = [tuple(name.split("/")) for name in names]
        parts = [Part.objects.get(accession__number=number, letter=letter).pk for number, letter in wanted]
        link(paper=Paper.objects.get(reference=reference), targets=Targets(parts=parts), by=by, why=WHY)


def quarantine(source: dict[str, Any], *, by: User) -> None:
    """Days of quarantine, for the deliveries that came in with the specimens."""
    for number, (into, out, treatment) in source["quarantine"].items():
        for delivery in Accession.objects.get(number=number).deliveries.all():
            change_delivery(
                delivery, by=by, why=WHY, quarantine_in_on=into, quarantine_out_on=out, treatment=treatment
            )  # fmt: skip
