"""Maps in templates: ``{% area_map areas=areas points=points size="side" %}`` and ``{% world_map counts %}``.

areas, points, counts: the dataclasses of ``governance.papers.drawing``. The map repeats what stands in words or a table
near it; its own label tells the numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.papers.drawing import Area, AreaKind, AreaMap, CountryCount, MapPoint, draw_map, draw_world
from governance.papers.measures import distance

register = template.Library()


SPECIMENS, STOPS = "specimens", "stops"
"""What the points of a map are."""


@register.inclusion_tag("_components/map.html")
def area_map(
    areas: Sequence[Area] = (),
    points: Sequence[MapPoint] = (),
    size: str = "side",
    title: str = "",
    of: str = SPECIMENS,
) -> dict[str, Any]:
    """A map with its key.

    Args:
        size: ``side`` (four columns), ``wide`` (eight), ``page``.
        title: begins the spoken label.
        of: what the points are, ``specimens`` or ``stops`` of a plan: the words around them follow.
    """
    drawing = draw_map(areas, points, size, points_frame=of == STOPS)
    return {
        "map": drawing, "label": _label(drawing, title, of), "key": _key(drawing, of), "circle_word": _circle_word(of),
    }  # fmt: skip


@register.inclusion_tag("_components/world.html")
def world_map(counts: Sequence[CountryCount]) -> dict[str, Any]:
    """A circle a country, its area the number of specimens."""
    drawing = draw_world(counts)
    most = sorted(counts, key=lambda count: -count.count)[:12]
    told = ", ".join(f"{count.name} {intcomma(count.count)}" for count in most)
    return {"world": drawing, "label": _("World map of specimens by country: %(counts)s.") % {"counts": told}}


def _label(drawing: AreaMap, title: str, of: str) -> str:
    """What the map shows, in words and numbers, for those who do not see it."""
    parts = [title or _("Map")]
    parts += [
        _("%(count)d of kind “%(kind)s”") % {"count": count, "kind": word}
        for kind, word in _kind_words(of).items()
        if (count := sum(area.style == kind for area in drawing.areas))
    ]
    if drawing.points:
        parts.append(_count_words(drawing.specimens, of))
    parts += [f"{entry.word}: {entry.count}" for entry in drawing.verdicts]
    parts += [_point_words(drawn.point) for drawn in drawing.points[-5:]]
    if not drawing.empty:
        wide, tall = (distance(round(span)) for span in drawing.span_m)
        parts.append(_("the map is %(wide)s wide and %(tall)s high") % {"wide": wide, "tall": tall})
    return "; ".join(part for part in parts if part) + "."


def _point_words(point: MapPoint) -> str:
    """Position and how well it is known."""
    place = f"{point.label} {point.latitude_deg:.4f}, {point.longitude_deg:.4f}".strip()
    return f"{place} ±{distance(point.radius_m)}" if point.radius_m else place


def _count_words(count: int, of: str) -> str:
    if of == STOPS:
        return ngettext("%(n)d stop", "%(n)d stops", count) % {"n": count}
    return ngettext("%(n)d specimen", "%(n)d specimens", count) % {"n": count}


def _circle_word(of: str) -> str:
    if of == STOPS:
        return _("A stop, with how far from the point will be collected, to scale")
    return _("How well the position is known, to scale")


def _kind_words(of: str = SPECIMENS) -> dict[AreaKind, str]:
    return {
        AreaKind.PERMITTED: _("Permitted area"),
        AreaKind.EXCLUDED: _("Excluded area"),
        AreaKind.SITE: _("Site or protected area"),
        AreaKind.FOOTPRINT: _("Area of a stop") if of == STOPS else _("Footprint of the record"),
    }


def _key(drawing: AreaMap, of: str) -> list[dict[str, str]]:
    """The entries of the key: only what is on the map."""
    return [{"style": kind.value, "word": word} for kind, word in _kind_words(of).items() if kind in drawing.kinds]
