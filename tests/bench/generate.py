"""Gives one generated world in the forms that the bench needs: frames for the peers, tables for the engine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .world import COUNTRY, LEVELS, MISSING, NO_END, World

if TYPE_CHECKING:
    import pandas as pd

    from governance.engine.tables import Dates, Material, Paper, Places, Taxa

ASSUMED_RADIUS_M, DATUM_ALLOWANCE_M = 1000.0, 250.0
"""The house rules of the contract, as the peers know them."""


@dataclass(frozen=True)
class Frames:
    """What a practitioner would load: five tables with integer keys that count from 0.

    specimens: specimen_id, event_id, taxon_id. events: event_id, lon, lat, radius_m, precision_radius_m, datum_known,
    earliest, latest, date_kind (0 known to the day, 1 vague, 2 none). taxa: taxon_id, name and one column a level.
    papers: paper_id, reference, from_day, to_day, geometry (shapely, WGS84). paper_taxa: paper_id, name, listed.
    """

    specimens: pd.DataFrame
    events: pd.DataFrame
    taxa: pd.DataFrame
    papers: pd.DataFrame
    paper_taxa: pd.DataFrame


def reference_of(paper: int) -> str:
    return f"COL-{paper + 1:04d}"


def frames(world: World) -> Frames:
    import pandas as pd

    events = pd.DataFrame({
        "event_id": np.arange(len(world.event_earliest), dtype=np.int32),
        "lon": world.event_longitude_deg, "lat": world.event_latitude_deg,
        "radius_m": world.event_radius_m, "precision_radius_m": world.event_precision_radius_m,
        "datum_known": world.event_datum_known,
        "earliest": world.event_earliest, "latest": world.event_latest, "date_kind": world.event_reading,
    })  # fmt: skip
    papers = pd.DataFrame({
        "paper_id": np.arange(len(world.paper_shape), dtype=np.int32),
        "reference": [reference_of(p) for p in range(len(world.paper_shape))],
        "from_day": world.paper_from_day,
        "to_day": np.where(world.paper_to_day == NO_END, 2**30, world.paper_to_day).astype(np.int32),
        "geometry": np.array(world.paper_shape, dtype=object),
    })  # fmt: skip
    return Frames(_specimen_frame(world), events, _taxon_frame(world), papers, _listed_frame(world))


def _specimen_frame(world: World) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame({
        "specimen_id": np.arange(len(world.specimen_event), dtype=np.int32),
        "event_id": world.specimen_event, "taxon_id": world.specimen_taxon,
    })  # fmt: skip


def _taxon_frame(world: World) -> pd.DataFrame:
    import pandas as pd

    names = np.array([*world.taxon_name, None], dtype=object)
    taxa = pd.DataFrame({"taxon_id": np.arange(len(world.taxon_name), dtype=np.int32), "name": world.taxon_name})
    for column, level in enumerate(LEVELS):
        taxa[level] = names[world.taxon_path[:, column]]
    return taxa


def _listed_frame(world: World) -> pd.DataFrame:
    import pandas as pd

    rows = [
        (paper, world.taxon_name[taxon], listed)
        for listed, lists in (("include", world.paper_include), ("exclude", world.paper_exclude))
        for paper, taxa in enumerate(lists)
        for taxon in taxa
    ]
    return pd.DataFrame(rows, columns=["paper_id", "name", "listed"]).astype({"paper_id": np.int32})


def material(world: World) -> Material:
    """The engine's tables: one row a distinct date, place and name; the lists that no paper limits are blank."""
    from governance.engine.tables import Material, Specimens

    dates, date_of_event = _dates(world)
    count = len(world.specimen_event)
    nothing = np.zeros(count, dtype=np.int32)
    blank_date = np.full(count, len(dates) - 1, dtype=np.int32)
    specimens = Specimens(
        date=date_of_event[world.specimen_event],
        exported=blank_date, imported=blank_date, transferred=blank_date,
        place=world.specimen_event, taxon=world.specimen_taxon,
        methods=nothing, people=nothing, sexes=nothing, life_stages=nothing,
        event=world.specimen_event, accession=world.specimen_accession, catalog=np.arange(count, dtype=np.int32),
        count_low=np.ones(count, dtype=np.int64), count_high=np.ones(count, dtype=np.int64),
        count_assumed=np.zeros(count, dtype=np.bool_),
    )  # fmt: skip
    return Material(
        specimens=specimens, dates=dates, places=_places(world), taxa=_taxa(world),
        methods=[()], people=[()], sexes=[()], life_stages=[()],
        events=[f"EV-{e + 1:05d}" for e in range(len(world.event_earliest))],
        accessions=[f"ACC-{a + 1:03d}" for a in range(40)],
        catalog_numbers=[f"LM-{n + 1:08d}" for n in range(count)],
    )  # fmt: skip


def _dates(world: World) -> tuple[Dates, np.ndarray]:
    """The distinct dates, a blank one last, and the row of each event's date."""
    from governance.engine.tables import DateReading, Dates

    missing = world.event_reading == MISSING
    key = np.column_stack([
        np.where(missing, 0, world.event_earliest), np.where(missing, 0, world.event_latest), world.event_reading,
    ])  # fmt: skip
    key = np.vstack([key, [0, 0, MISSING]])
    distinct, row = np.unique(key, axis=0, return_inverse=True)
    # np.unique sorts the blank date first; it goes last so that the other columns can point at it.
    distinct, row = np.roll(distinct, -1, axis=0), (row.reshape(-1) - 1) % len(distinct)
    reading = np.array([DateReading.RUN, DateReading.VAGUE, DateReading.MISSING], dtype=np.uint8)[distinct[:, 2]]
    text = [written_date(int(a), int(b), int(kind)) for a, b, kind in distinct]
    dates = Dates(
        earliest=distinct[:, 0].astype(np.int32), latest=distinct[:, 1].astype(np.int32), reading=reading,
        qualified=np.zeros(len(distinct), dtype=np.bool_), text=text, hint=[""] * len(distinct),
    )  # fmt: skip
    return dates, row[:-1].astype(np.int32)


def written_date(earliest: int, latest: int, kind: int) -> str:
    """The date as eventDate would have it (ISO 8601-1): a day, an interval of days, a month, or blank."""
    from datetime import date

    if kind == MISSING:
        return ""
    first, last = date.fromordinal(earliest).isoformat(), date.fromordinal(latest).isoformat()
    if kind == 1:
        return first[:7]
    return first if first == last else f"{first}/{last}"


def _places(world: World) -> Places:
    from governance.engine.tables import Places, Position

    nowhere = np.isnan(world.event_longitude_deg)
    count = len(nowhere)
    text = ["" if none else f"{lat}, {lon}" for none, lat, lon in
            zip(nowhere, world.event_latitude_deg, world.event_longitude_deg, strict=True)]  # fmt: skip
    return Places(
        longitude_deg=world.event_longitude_deg, latitude_deg=world.event_latitude_deg,
        position=np.where(nowhere, Position.NONE, Position.POINT).astype(np.uint8),
        radius_m=world.event_radius_m, precision_radius_m=world.event_precision_radius_m,
        datum_known=world.event_datum_known, generalized=np.zeros(count, dtype=np.bool_),
        country=[COUNTRY] * count, subdivision=[""] * count, sites=[()] * count, footprint=[None] * count, text=text,
    )  # fmt: skip


def _taxa(world: World) -> Taxa:
    from governance.engine.tables import RANKS, Taxa, fold

    names = [*(fold(name) for name in world.taxon_name), ""]
    top = {"kingdom": "animalia", "phylum": "arthropoda", "class": "insecta"}
    column = {level: number for number, level in enumerate(LEVELS)}
    lineage = [
        tuple(names[path[column[rank]]] if rank in column else top.get(rank, "") for rank in RANKS)
        for path in world.taxon_path
    ]
    count = len(lineage)
    return Taxa(
        lineage=lineage, unranked=[()] * count, qualified=np.zeros(count, dtype=np.bool_), text=list(world.taxon_name)
    )


def papers(world: World) -> list[Paper]:
    """The engine's papers: one version each, linked to every accession."""
    from governance.engine.tables import Covers, Layer, ListedTaxon, Paper, PlaceItem, Version, fold

    def listed(taxa: list[int]) -> tuple[ListedTaxon, ...]:
        return tuple(ListedTaxon(name=fold(world.taxon_name[t]), text=world.taxon_name[t]) for t in taxa)

    made = []
    for number, shape in enumerate(world.paper_shape):
        to_day = int(world.paper_to_day[number])
        version = Version(
            from_day=int(world.paper_from_day[number]), to_day=None if to_day == NO_END else to_day,
            include_places=(PlaceItem(shape=shape, text=f"area of {reference_of(number)}"),),
            include_taxa=listed(world.paper_include[number]), exclude_taxa=listed(world.paper_exclude[number]),
        )  # fmt: skip
        made.append(Paper(
            reference=reference_of(number), kind="collecting-permit", layers=frozenset({Layer.COLLECTING}),
            jurisdiction=COUNTRY, versions=(version,), covers=Covers(all_accessions=True),
        ))  # fmt: skip
    return made
