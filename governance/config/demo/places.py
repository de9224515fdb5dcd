"""Sites of the demo, with their boundaries, owners and designations through time."""

from __future__ import annotations

import json
from typing import Any

from accessions.people.models import Agent, User
from accessions.sites.actions.periods import add_period
from accessions.sites.actions.sites import create_site
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure

WHY = "demo"
SOURCE = "invented for the demo"


def add_sites(sites: dict[str, list[Any]], periods: dict[str, Any], agents: dict[str, Agent], *, by: User) -> None:
    """Enter all sites; those of ``periods`` with what they were from when to when."""
    for code, (name, _, country, subdivision, latitude, longitude) in sites.items():
        site = create_site(by=by, why=WHY, code=code, name=name, country=country, subdivision=subdivision)
        _add_periods(site, (longitude, latitude), periods.get(code, {}), agents, by=by)


def _add_periods(
    site: Site, point: tuple[float, float], told: dict[str, Any], agents: dict[str, Agent], *, by: User
) -> None:
    for first, last, shape in told.get("boundaries", ()):
        add_period(SiteBoundary, site, by=by, why=WHY, **_days(first, last), **_outline(point, shape))
    for kind, key in ((SiteTenure.Kind.OWNER, "owners"), (SiteTenure.Kind.OCCUPIER, "occupiers")):
        for agent, first, last in told.get(key, ()):
            add_period(SiteTenure, site, by=by, why=WHY, agent=agents[agent], kind=kind, **_days(first, last))
    for name, category, authority, first, last in told.get("designations", ()):
        add_period(
            SiteDesignation, site, by=by, why=WHY, name=name, category=category, authority=authority,
            **_days(first, last),
        )  # fmt: skip


def _days(first: Any, last: Any) -> dict[str, Any]:
    return {"held_from": first, "held_to": last, "source": SOURCE}


def _outline(point: tuple[float, float], shape: Any) -> dict[str, Any]:
    """A disc around the point if the shape is a number of metres, else the box west, south, east, north."""
    if not isinstance(shape, list):
        return {"longitude_deg": point[0], "latitude_deg": point[1], "radius_m": float(shape)}
    west, south, east, north = shape
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"polygon": json.dumps({"type": "Polygon", "coordinates": [ring]}), "error_m": 10.0}
