"""Rows of a small register, valid and minimal, for tests with a database. Everything is invented.

A builder makes what it is not given. Written columns and what was read of them are the caller's to keep in step; for
facts that are read from text use the actions of the rooms.
"""

from __future__ import annotations

import hashlib
import itertools
from datetime import date
from functools import lru_cache
from typing import Any

from django.contrib.auth.hashers import get_hasher, make_password

from accessions.material.models import Accession, Delivery, Determination, Part, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from accessions.people.models import Agent, AgentName, Role, User
from accessions.people.name_keys import fold_name
from accessions.sites.models import Site, SiteBoundary
from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperLink, PaperVersion
from governance.verdicts.models import CountrySheet, SheetRule

PASSWORD = "a long enough passphrase"
"""Password of every person made here."""

_numbers = itertools.count(1)


def digest_of(*texts: str) -> str:
    """A digest that tells statements apart; not the one that the intake computes."""
    return hashlib.sha256("\x1f".join(texts).encode()).hexdigest()


@lru_cache
def _hash_of_password(algorithm: str) -> str:
    """Made once: it is slow on purpose, and tests make many people."""
    return make_password(PASSWORD, hasher=algorithm)


def person(role: str = Role.CURATOR, **fields: Any) -> User:
    """Somebody who can sign in with ``PASSWORD``; one for each role and name."""
    username = fields.pop("username", f"{role}")
    found = User.objects.filter(username=username).first()
    if found:
        return found
    user = User(username=username, role=role, **{"first_name": "Nora", "last_name": str(role).title(), **fields})
    user.password = _hash_of_password(get_hasher().algorithm)  # some tests hash in a quicker way
    user.save()
    return user


def agent(name: str = "J. Ek", **fields: Any) -> Agent:
    """A person with the one form of the name."""
    made = Agent.objects.create(name=name, **fields)
    AgentName.objects.create(agent=made, form=name, key=fold_name(name))
    return made


def site(code: str = "GE-NAZ-1", **fields: Any) -> Site:
    """A site without boundary."""
    values = {"name": "Nazvri, upper bridge", "country": code[:2]} | fields
    return Site.objects.create(
        code=code, code_key=code.casefold(), name_key=" ".join(values["name"].split()).casefold(), **values
    )


def boundary(of: Site, **fields: Any) -> SiteBoundary:
    """A disc of 500 m at the upper bridge, without period."""
    disc = {"longitude_deg": 43.903, "latitude_deg": 42.084, "radius_m": 500.0}
    return SiteBoundary.objects.create(site=of, **((disc | fields) if "polygon" not in fields else fields))


def accession(number: str = "LMN-2024-038", **fields: Any) -> Accession:
    return Accession.objects.create(number=number, **fields)


def part(of: Accession, letter: str = "A", **fields: Any) -> Part:
    return Part.objects.create(accession=of, letter=letter, **fields)


def delivery(of: Accession, number: int = 1, **fields: Any) -> Delivery:
    return Delivery.objects.create(accession=of, number=number, **fields)


def arrival(entry_number: str = "E-2024-001", **fields: Any) -> Delivery:
    """A delivery that came in on 28 June 2024 and waits: two boxes, no accession, quarantine not recorded."""
    values = {"received_on": date(2024, 6, 28), "received_by": "Nora Ek", "contents": "Pinned flies", "boxes": 2}
    return Delivery.objects.create(number=0, entry_number=entry_number, **(values | fields))


def event(number: str = "", day: str = "2024-06-17", **fields: Any) -> SamplingEvent:
    """One day's hand netting at 42.084 N, 43.903 E in Georgia, known to 30 m, by J. Ek."""
    written = {
        "event_date": day, "decimal_latitude": "42.084", "decimal_longitude": "43.903", "geodetic_datum": "WGS84",
        "coordinate_uncertainty_m": "30", "country_code": "GE", "sampling_protocol": "hand net",
        "recorded_by": "J. Ek",
    }  # fmt: skip
    read: dict[str, Any] = {
        "reading": "run" if day else "missing",
        "earliest_on": date.fromisoformat(day) if day else None,
        "latest_on": date.fromisoformat(day) if day else None,
        "longitude_deg": 43.903, "latitude_deg": 42.084, "radius_m": 30.0, "country": "GE",
    }  # fmt: skip
    values = written | read | fields
    values.setdefault("digest", digest_of(number, *(str(v) for v in values.values()), str(next(_numbers))))
    return SamplingEvent.objects.create(number=number, **values)


def written_name(scientific_name: str = "Calopteryx splendens", **fields: Any) -> WrittenName:
    """A name as written, with higher names only if given."""
    digest = digest_of(scientific_name, *(f"{k}={v}" for k, v in sorted(fields.items())))
    found = WrittenName.objects.filter(digest=digest).first()
    return found or WrittenName.objects.create(
        scientific_name=scientific_name, digest=digest, **({"shown": scientific_name} | fields)
    )


def specimen(catalog_number: str | None = None, **fields: Any) -> Specimen:
    """A specimen of its own accession and event unless these are given, with its current determination."""
    if catalog_number is None:
        catalog_number = f"LMN-FW-{900000 + next(_numbers):07d}"
    if "accession" not in fields:
        fields["accession"] = Accession.objects.get_or_create(number="LMN-2024-038")[0]
    fields.setdefault("event", None)
    fields["event"] = fields["event"] or event()
    fields["name"] = fields.get("name") or written_name()
    made = Specimen.objects.create(catalog_number=catalog_number, **fields)
    Determination.objects.create(specimen=made, name=made.name)
    return made


def paper(reference: str = "COL-2024-052", layers: tuple[Layer, ...] = (Layer.COLLECTING,), **fields: Any) -> Paper:
    """A paper without version: unread."""
    values = {"kind": "collecting-permit", "jurisdiction": "GE", "issuer": "Nazvri Directorate"} | fields
    return Paper.objects.create(reference=reference, layers=Paper.layers_of(layers), **values)


def version(
    of: Paper, first: str | None = "2024-05-01", last: str | None = "2024-06-30", **fields: Any
) -> PaperVersion:
    """A version without terms: valid from first to last, both days counted."""
    return PaperVersion.objects.create(
        paper=of,
        in_force_from=date.fromisoformat(first) if first else None,
        in_force_to=date.fromisoformat(last) if last else None,
        **fields,
    )


def link(of: Paper, by: User | None = None, **target: Any) -> PaperLink:
    """A link to one target: ``link(paper, accession=...)``."""
    return PaperLink.objects.create(paper=of, linked_by=by, **target)


def sheet(country: str = "GE", **fields: Any) -> CountrySheet:
    return CountrySheet.objects.create(country=country, **fields)


def rule(of: CountrySheet, layer: Layer = Layer.COLLECTING, required: bool = True, **fields: Any) -> SheetRule:
    values = {"source": "invented rule, section 1"} | fields
    return SheetRule.objects.create(sheet=of, layer=int(layer), required=required, **values)
