"""A register of any size, written straight into the database: invented accessions, events, names, papers and sheets.

200 accessions of ten events each; every accession has a collecting permit of its own, and shares export and import
permits, consents and licences with others. It is what a working register looks like, not a worst case.
"""

from __future__ import annotations

import hashlib
import json
import math
import random
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db import connection, transaction

from accessions.material.models import Accession, Delivery, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.engine.tables import Layer
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperVersion,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionTaxon,
)
from governance.verdicts.models import CountrySheet, SheetRule

ACCESSIONS, EVENTS, NAMES, PAPERS = 200, 2_000, 5_000, 300
COUNTRIES = {"SE": (15.0, 62.0), "GE": (43.9, 42.1), "CR": (-84.1, 9.9), "KE": (37.5, 0.3), "MX": (-99.5, 19.4)}
_FAMILIES = 120


def make_world(specimens: int, seed: int = 7) -> None:
    """Fill an empty register."""
    draw = random.Random(seed)
    with transaction.atomic():
        accessions = _accessions(draw)
        events = _events(draw, accessions)
        names = _names()
        papers = _papers(draw, accessions)
        _links(draw, papers, accessions)
        _sheets()
    _specimens(specimens, accessions, events, names)


def _digest(*texts: object) -> str:
    return hashlib.sha256("\x1f".join(map(str, texts)).encode()).hexdigest()


def _accessions(draw: random.Random) -> list[tuple[Accession, Delivery, str, tuple[float, float]]]:
    found = []
    for n in range(ACCESSIONS):
        country = list(COUNTRIES)[n % len(COUNTRIES)]
        lon, lat = COUNTRIES[country]
        centre = (lon + draw.uniform(-1, 1), lat + draw.uniform(-1, 1))
        accession = Accession.objects.create(number=f"LMN-{1990 + n % 35}-{n:03}")
        left = _season(n) + timedelta(days=draw.randrange(30, 120))
        delivery = Delivery.objects.create(
            accession=accession, number=1, exported_on=left.isoformat(), imported_on=(left + timedelta(3)).isoformat(),
            transferred_on=(left + timedelta(10)).isoformat(),
        )  # fmt: skip
        found.append((accession, delivery, country, centre))
    return found


def _season(n: int) -> date:
    return date(1990 + n % 35, 5, 1)


def _events(draw: random.Random, accessions: Sequence[Any]) -> list[int]:
    made = []
    for n in range(EVENTS):
        _, _, country, (lon, lat) = accessions[n % ACCESSIONS]
        day = _season(n % ACCESSIONS) + timedelta(days=draw.randrange(0, 170))
        at = (lon + draw.gauss(0, 0.15), lat + draw.gauss(0, 0.15))
        text = day.isoformat() if draw.random() < 0.9 else f"{day:%Y-%m}"
        made.append(
            SamplingEvent(
                number=f"EV-{n:05}", event_date=text, decimal_latitude=f"{at[1]:.5f}", decimal_longitude=f"{at[0]:.5f}",
                geodetic_datum="WGS84" if draw.random() < 0.8 else "", country_code=country,
                coordinate_uncertainty_m=draw.choice(["", "30", "100", "1000"]), location_id=f"{country}-{n % 400}",
                sampling_protocol=draw.choice(["hand net", "light trap", "kick net", ""]),
                recorded_by=draw.choice(["J. Ek", "J. Ek | I. Holmqvist", "N. Ek"]), digest=_digest("event", n),
                reading="missing", country=country,
            )
        )  # fmt: skip
    SamplingEvent.objects.bulk_create(made)
    return list(SamplingEvent.objects.order_by("pk").values_list("pk", flat=True))


def _names() -> list[int]:
    made = []
    for n in range(NAMES):
        family, genus = n % _FAMILIES, n // 8
        written = {
            "scientific_name": f"Genus{_letters(genus)} species{_letters(n)}",
            "family": f"F{_letters(family)}idae",
        }
        if n % 3:
            written |= {"order": f"Order{_letters(family % 12)}", "kingdom": "Animalia"}
        made.append(WrittenName(**written, shown=written["scientific_name"], digest=_digest("name", n)))
    WrittenName.objects.bulk_create(made)
    return list(WrittenName.objects.order_by("pk").values_list("pk", flat=True))


def _letters(number: int) -> str:
    return "".join(chr(97 + number // 26**place % 26) for place in range(3))


def _papers(draw: random.Random, accessions: Sequence[Any]) -> list[Paper]:
    """One collecting permit an accession; the rest are shared papers of the other layers, a few of them capped."""
    papers = []
    shared = [Layer.EXPORT, Layer.IMPORT, Layer.LAND, Layer.SPECIES, Layer.ACCESS]
    for n in range(PAPERS):
        own = n < ACCESSIONS
        layer = Layer.COLLECTING if own else shared[n % len(shared)]
        paper = Paper.objects.create(
            reference=f"P-{n:04}", kind="collecting-permit" if own else "other", layers=Paper.layers_of([layer]),
            jurisdiction=accessions[n % ACCESSIONS][2],
        )  # fmt: skip
        first = _season(n % ACCESSIONS)
        version = PaperVersion.objects.create(
            paper=paper, in_force_from=first if own else first - timedelta(days=900),
            in_force_to=first + timedelta(days=150 if own else 3000), assistants="allowed",
        )  # fmt: skip
        if own:
            _limit(draw, n, version, accessions[n][3])
        papers.append(paper)
    return papers


def _limit(draw: random.Random, n: int, version: PaperVersion, centre: tuple[float, float]) -> None:
    VersionPlace.objects.create(version=version, geojson=json.dumps(_polygon(draw, centre)), boundary_error_m=20)
    if n % 2:
        for family in draw.sample(range(_FAMILIES), 60):
            VersionTaxon.objects.create(version=version, name=f"F{_letters(family)}idae")
    VersionPerson.objects.create(version=version, name="J. Ek")
    if n % 20 == 0:
        VersionCap.objects.create(version=version, limit=4_000)


def _polygon(draw: random.Random, centre: tuple[float, float], corners: int = 200) -> dict[str, Any]:
    ring = []
    for n in range(corners):
        reach, angle = draw.uniform(0.2, 0.3), 2 * math.pi * n / corners
        ring.append([round(centre[0] + reach * math.cos(angle), 6), round(centre[1] + reach * math.sin(angle), 6)])
    return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}


def _links(draw: random.Random, papers: Sequence[Paper], accessions: Sequence[Any]) -> None:
    links = [PaperLink(paper=papers[n], accession=accessions[n][0]) for n in range(ACCESSIONS)]
    for paper in papers[ACCESSIONS:]:
        for accession, *_ in draw.sample(accessions, 8):
            links.append(PaperLink(paper=paper, accession=accession))
    PaperLink.objects.bulk_create(links)


def _sheets() -> None:
    for country in COUNTRIES:
        sheet = CountrySheet.objects.create(country=country)
        for layer in Layer:
            SheetRule.objects.create(sheet=sheet, layer=int(layer), required=layer < 7, source="invented, section 1")


def _specimens(count: int, accessions: Sequence[Any], events: Sequence[int], names: Sequence[int]) -> None:
    """Made by the database itself: every accession has as many, each of one of its events and of 300 names.

    The keys of accessions, deliveries, events and names are consecutive, as they were just made.
    """
    accession, delivery = accessions[0][0].pk, accessions[0][1].pk
    values = {
        "catalog_number": "'LMN-' || CAST(10000000 + i AS TEXT)",
        "accession_id": f"{accession} + w", "delivery_id": f"{delivery} + w", "part_id": "NULL", "parent_id": "NULL",
        "event_id": f"{events[0]} + w + {ACCESSIONS} * (i * 7919 %% {EVENTS // ACCESSIONS})",
        "name_id": f"{names[0]} + (w * 17 + i * 104729 %% 300) %% {NAMES}",
        "kind": "'specimen'", "individual_count": "'1'", "count_low": "1", "count_high": "1", "count_assumed": "FALSE",
    }  # fmt: skip
    columns = [field.column for field in Specimen._meta.concrete_fields if field.column != "id"]
    each, last = max(count // ACCESSIONS, 1), ACCESSIONS - 1
    sql = (
        "WITH RECURSIVE n(i) AS (SELECT CAST(0 AS BIGINT) UNION ALL SELECT i + 1 FROM n WHERE i < %s), "
        f"placed(i, w) AS (SELECT i, CASE WHEN i / {each} < {last} THEN i / {each} ELSE {last} END FROM n) "
        f"INSERT INTO material_specimen ({', '.join(columns)}) "
        f"SELECT {', '.join(values.get(column, chr(39) * 2) for column in columns)} FROM placed ORDER BY i"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, [count - 1])
        cursor.execute("ANALYZE")
