"""A large invented register for the bench of the lists, written straight into the database: no intake, no engine.

Verdicts are drawn by lot, so nothing here says how the engine judges; what matters is how many rows there are, how they
hang together, and that the same seed gives the same register.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from typing import Any

from django.db import connection, models, transaction
from django.utils import timezone

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.names.models import Taxon, WrittenName
from accessions.sites.models import Site
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper
from governance.verdicts.models import (
    CountrySheet,
    Outcome,
    OutcomeFinding,
    OutcomePaper,
    Ruling,
    RulingLayer,
    Run,
    Standing,
)
from governance.verdicts.standing_columns import fill_columns

COUNTRIES = ("SE", "GE", "CR", "NA", "PE", "MG", "NO", "TR")
_FINDINGS = {
    Verdict.CANNOT_TELL: (
        ("area-edge", "The point lies {m} m inside the edge of {p}; position known to {{reach}}.", True),
        ("paper-unread", "{p} is on file without its terms; enter a version to have it tested.", True),
        ("no-rule", "No country sheet says whether this layer is required here.", False),
    ),
    Verdict.STRADDLES: (("straddles", "The run {{when}} crosses an end of {p}: {m} of 9 days were inside.", True),),
    Verdict.OUTSIDE: (
        ("after-end", "Collected {{when}}, {m} days after the end date of {p}.", True),
        ("outside-area", "The point lies {m} m outside the area of {p}; position known to {{reach}}.", True),
    ),
    Verdict.MISSING: (("not-searched", "No paper on file is linked for this layer; no search is recorded.", False),),
}  # fmt: skip
_PER_ACCESSION, _PER_EVENT, _EVENTS_PER_RULING = 250, 5, 4

Say = Callable[[str], None]


def build(specimens: int, say: Say, seed: int = 1) -> None:
    """Fill an empty database."""
    lot = random.Random(seed)
    with transaction.atomic():
        sites = _sites(max(20, specimens // 1000))
        taxa = _taxa(lot, max(40, specimens // 100))
        accessions = _accessions(max(4, specimens // _PER_ACCESSION))
        events = _events(lot, max(10, specimens // _PER_EVENT), sites)
        say("facts around the specimens")
        _specimens(lot, specimens, accessions, events, taxa)
        say("specimens")
    with transaction.atomic():
        rulings = _rulings(lot, max(10, events // _EVENTS_PER_RULING), _papers(max(10, specimens // 5000)))
        _standings(rulings)
        say("verdicts")
    with transaction.atomic():
        fill_columns("SELECT id FROM material_specimen")
        say("columns of the lists")


def _insert(model: type[models.Model], rows: Iterable[dict[str, Any]]) -> int:
    """Rows with the defaults of the model where they say nothing, keys from one on; how many there were."""
    fields = list(model._meta.concrete_fields)
    names = [connection.ops.quote_name(field.column) for field in fields]
    sql = f"INSERT INTO {model._meta.db_table} ({', '.join(names)}) VALUES ({', '.join(['%s'] * len(names))})"
    count, block = 0, []
    with connection.cursor() as cursor:
        for row in rows:
            count += 1
            row.setdefault(model._meta.pk.attname, count)
            block.append([_value(field, row) for field in fields])
            if len(block) == 20_000:
                cursor.executemany(sql, block)
                block = []
        if block:
            cursor.executemany(sql, block)
    return count


def _value(field: Any, row: dict[str, Any]) -> Any:
    value = row[field.attname] if field.attname in row else field.get_default()
    if getattr(field, "auto_now_add", False):
        value = timezone.now()
    if isinstance(field, models.JSONField):
        return field.get_db_prep_save(value, connection)
    return value.isoformat() if isinstance(value, date) and connection.vendor == "sqlite" else value


def _digest(*parts: Any) -> str:
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def _sites(count: int) -> int:
    words = ("brook", "bridge", "weir", "spring", "meadow", "ford", "outlet", "north bay")
    return _insert(Site, ({
        "code": f"{COUNTRIES[n % 8]}-S{n:05d}", "code_key": f"{COUNTRIES[n % 8]}-S{n:05d}".casefold(),
        "name": f"Hale {n} {words[n % 8]}", "name_key": f"hale {n} {words[n % 8]}", "country": COUNTRIES[n % 8],
    } for n in range(count)))  # fmt: skip


def _accessions(count: int) -> int:
    _insert(Accession, ({
        "number": f"LMN-{1990 + n % 36}-{n:04d}", "title": f"Journey {n}", "kind": "field",
        "received_on": date(1990, 1, 1) + timedelta(3 * n % 13000),
    } for n in range(count)))  # fmt: skip
    _insert(Part, ({"accession_id": n // 2 + 1, "letter": "AB"[n % 2]} for n in range(2 * count)))
    return count


def _taxa(lot: random.Random, species: int) -> int:
    """Families of about 30 species in genera of about six, under four orders; one written name a species."""
    orders = ("odonata", "ephemeroptera", "trichoptera", "coleoptera")
    ranks = ("kingdom", "class", "order", "family", "genus", "species")
    seen: dict[str, int] = {}
    rows: list[dict[str, Any]] = []
    ends = []
    for n in range(species):
        genus = f"gen{n // 6}us"
        path = ("animalia", "insecta", orders[n // 30 % 4], f"fam{n // 30}idae", genus, f"{genus} sp{n}ea")
        lineage, parent = "", None
        for rank, name in zip(ranks, path, strict=True):
            lineage += f"{name}|"
            if lineage not in seen:
                seen[lineage] = len(rows) + 1
                rows.append({"name": name.capitalize(), "key": name, "rank": rank, "parent_id": parent,
                             "lineage": lineage})  # fmt: skip
            parent = seen[lineage]
        ends.append((path[-1].capitalize(), parent))
    lot.shuffle(ends)
    _insert(Taxon, rows)
    return _insert(WrittenName, ({
        "scientific_name": name, "shown": name, "rank": "species", "taxon_id": taxon, "digest": _digest(name),
    } for name, taxon in ends))  # fmt: skip


def _events(lot: random.Random, count: int, sites: int) -> int:
    def rows() -> Iterator[dict[str, Any]]:
        for n in range(count):
            site = n // 12 % sites
            first = date(1990, 1, 1) + timedelta(n * 13000 // count + lot.randrange(20))
            known, country = lot.random() > 0.02, COUNTRIES[site % 8]
            yield {
                "number": f"E{n:06d}", "event_date": first.isoformat() if known else "", "country_code": country,
                "country": country, "site_id": site + 1, "location_id": f"{country}-S{site:05d}",
                "reading": "run" if known else "missing", "earliest_on": first if known else None,
                "latest_on": first + timedelta(lot.choice((0, 0, 0, 2))) if known else None, "radius_m": 30.0,
                "recorded_by": "J. Ek", "sampling_protocol": "hand net", "digest": _digest("event", n),
            }  # fmt: skip

    return _insert(SamplingEvent, rows())


def _specimens(lot: random.Random, count: int, accessions: int, events: int, names: int) -> None:
    kinds = ("specimen",) * 17 + ("lot", "lot", "bulk")

    def rows() -> Iterator[dict[str, Any]]:
        for n in range(count):
            accession = min(n // _PER_ACCESSION, accessions - 1)
            yield {
                "catalog_number": f"LMN-FW-{n:07d}", "accession_id": accession + 1,
                "part_id": 2 * accession + 1 + n % 2 if n % 3 else None,
                "event_id": min(n // _PER_EVENT, events - 1) + 1,
                "name_id": lot.randrange(names) + 1, "kind": lot.choice(kinds), "digest": _digest("specimen", n),
            }  # fmt: skip

    _insert(Specimen, rows())


def _papers(count: int) -> int:
    kinds = ("collecting-permit", "landowner-consent", "export-permit", "access-permit")
    return _insert(Paper, ({
        "reference": f"{['COL', 'LND', 'EXP', 'ABS'][n % 4]}-{1990 + n % 36}-{n:04d}", "kind": kinds[n % 4],
        "layers": 1 + n % 511,
        "jurisdiction": COUNTRIES[n % 8], "issuer": "Nazvri Directorate",
    } for n in range(count)))  # fmt: skip


def _rulings(lot: random.Random, count: int, papers: int) -> int:
    """Rulings of which most are calm: one in four has a layer or more that needs a look, with measures of its own."""
    outcomes: list[dict[str, Any]] = []
    findings: list[dict[str, Any]] = []
    tested: list[dict[str, Any]] = []
    known: dict[tuple[Any, ...], int] = {}

    def outcome(layer: int, verdict: Verdict) -> int:
        code, sentence, has_paper = lot.choice(_FINDINGS[verdict]) if verdict in _FINDINGS else ("", "", True)
        paper = lot.randrange(papers) + 1 if has_paper and verdict != Verdict.NOT_REQUIRED else None
        measure = lot.randrange(1, 400) if "{m}" in sentence else None
        key = (layer, verdict, code, paper, measure)
        if key not in known:
            known[key] = number = len(outcomes) + 1
            outcomes.append({"layer": layer, "verdict": int(verdict), "digest": _digest(key)})
            findings.append({"outcome_id": number, "position": 0, "code": code, "measure": measure,
                             "sentence": sentence.format(m=measure, p=f"paper {paper}")})  # fmt: skip
            if paper:
                tested.append({"outcome_id": number, "position": 0, "paper_id": paper, "reference": f"paper {paper}"})
        return known[key]

    rulings: list[dict[str, Any]] = []
    layers: list[dict[str, Any]] = []
    for n in range(1, count + 1):
        strip = [lot.choice((Verdict.COVERED, Verdict.NOT_REQUIRED)) for _layer in Layer]
        if n % 4 == 0:
            for layer in lot.sample(list(Layer), lot.choice((1, 1, 2, 3))):
                strip[layer] = lot.choice((Verdict.CANNOT_TELL, Verdict.CANNOT_TELL, Verdict.STRADDLES,
                                           Verdict.OUTSIDE, Verdict.MISSING))  # fmt: skip
        digits = "".join(str(int(verdict)) for verdict in strip)
        rulings.append({"digest": _digest("ruling", n), "strip": digits, "worst": max(strip)})
        layers += [
            {"ruling_id": n, "layer": int(layer), "outcome_id": outcome(int(layer), strip[layer])} for layer in Layer
        ]
    _insert(Outcome, outcomes)
    _insert(OutcomeFinding, findings)
    _insert(OutcomePaper, tested)
    _insert(Ruling, rulings)
    _insert(RulingLayer, layers)
    _insert(CountrySheet, ({"country": code} for code in COUNTRIES[:4]))
    return count


def _standings(rulings: int) -> None:
    now = timezone.now()
    run = Run.objects.create(state=Run.State.DONE, engine_version="bench", scope="all", started_at=now, finished_at=now)
    table = Standing._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} (specimen_id, ruling_id, run_id, event_id, name_id, worst, is_overruled) "
            f"SELECT id, 1 + (event_id / {_EVENTS_PER_RULING}) %% {rulings}, %s, event_id, name_id, 0, FALSE "
            "FROM material_specimen",
            [run.pk],
        )
