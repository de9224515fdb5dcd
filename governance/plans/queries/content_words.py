"""The contents of a plan in words, as a version shows them and as two versions are held against each other."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.values import split_list
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.plans.models import PLANNED_USES, Stop, StopTarget
from governance.plans.queries.contents import Contents
from governance.plans.queries.plan_words import period_words
from governance.verdicts.shown_days import short_day


def label(model: type[models.Model], name: str) -> str:
    """What forms call a field."""
    if model is Stop and name == "name":
        return _("name")  # the form calls it "stop", which would read as if the stop were another
    return str(model._meta.get_field(name).verbose_name)  # type: ignore[union-attr]  # never a relation from afar


def shown(model: type[models.Model], name: str, value: Any) -> str:
    """A value as people read it; "" for nothing."""
    if value is None or value == "":
        return ""
    if name == "area":
        return area_words(value)
    field = model._meta.get_field(name)
    if isinstance(field, models.DateField):
        return day_words(value)
    if name in ("methods", "people"):
        return ", ".join(split_list(value))
    if isinstance(value, float):
        return f"{value:.10g}"  # 100, not 100.0; ten digits are a metre and less of any longitude
    choices = dict(field.flatchoices) if isinstance(field, models.Field) else {}
    return str(choices.get(value, value))


def day_words(iso: str | None) -> str:
    """A day of ISO 8601, as tables show days."""
    day = _day(iso)
    return short_day(day) if day else ""


def days_words(row: Contents) -> str:
    """From when to when a stop or trap is planned; what is not fixed is said to be so."""
    return period_words(_day(row["first_on"]), _day(row["last_on"]))


def _day(iso: str | None) -> date | None:
    return date.fromisoformat(iso) if iso else None


def area_words(geojson: str) -> str:
    """How many corners a drawn area has; it is drawn on the map, not read.

    >>> area_words('{"type": "Polygon", "coordinates": [[[0, 0], [0, 1], [1, 1], [0, 0]]]}')
    'an area of 3 corners'
    """
    rings = list(_rings(json.loads(geojson).get("coordinates") or []))
    corners = sum(len(ring) - 1 for ring in rings)
    return ngettext("an area of %(n)s corner", "an area of %(n)s corners", corners) % {"n": corners}


def _rings(coordinates: Sequence[Any]) -> Iterable[Sequence[Any]]:
    """The rings of a polygon or of several: lists of points."""
    for part in coordinates:
        if part and isinstance(part[0][0], int | float):
            yield part
        else:
            yield from _rings(part)


def uses_words(uses: Sequence[str]) -> str:
    return ", ".join(str(PLANNED_USES.get(use, use)) for use in uses)


def site_words(site: Contents | None) -> str:
    return f"{site['code']} {site['name']}".strip() if site else ""


def stop_words(stop: Contents) -> str:
    """A stop in one line: when, how."""
    return "; ".join(filter(None, [days_words(stop), *split_list(stop["methods"])]))


def place_words(stop: Contents) -> str:
    """Where a stop is: its own place, else its site."""
    if stop["area"]:
        return area_words(stop["area"])
    if stop["longitude_deg"] is None or stop["latitude_deg"] is None:
        return ""
    point = f"{_degrees(stop['latitude_deg'], 'NS')}, {_degrees(stop['longitude_deg'], 'EW')}"
    if stop["radius_m"] is None:
        return _("%(point)s, radius not known") % {"point": point}
    return _("%(point)s, within %(radius)s m") % {"point": point, "radius": f"{stop['radius_m']:.10g}"}


def _degrees(value: float, signs: str) -> str:
    """A coordinate to a metre or so, with its hemisphere.

    >>> _degrees(-0.5, "NS"), _degrees(43.9, "EW")
    ('0.50000°\\xa0S', '43.90000°\\xa0E')
    """
    return f"{abs(value):.5f}°\u00a0{signs[0] if value >= 0 else signs[1]}"


def target_words(target: Contents) -> str:
    of = group_words(target.get("rank", ""), target.get("higher", ""), target["kingdom"])
    name = f"{target['name']} ({of})" if of else target["name"]
    number = target["expected"] or _("number not known")
    return f"{name}: {number}"


def group_words(rank: str, higher: str, kingdom: str) -> str:
    """What a group is, beside its name: its rank and the nearest name above it; "" where nothing was said.

    >>> group_words("order", "Animalia | Arthropoda | Insecta", "")
    'order, Insecta'
    """
    above = higher.rpartition("|")[2].strip() or kingdom
    return ", ".join(filter(None, [str(dict(StopTarget.RANKS).get(rank, rank)), above]))


def trap_words(trap: Contents) -> str:
    return f"{trap['number']} × {trap['method']}, {days_words(trap)}"


def way_words(way: Contents) -> str:
    """From where to where.

    >>> way_words({"from_country": "GE", "to_country": ""})
    'GE to ?'
    """
    countries = {"first": way["from_country"] or "?", "last": way["to_country"] or "?"}
    return _("%(first)s to %(last)s") % countries


def layer_words(layer: int) -> str:
    return str(LAYER_NAMES[Layer(layer)])
