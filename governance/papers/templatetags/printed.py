"""What is printed, on a page: ``{% printed_map block %}``; its key stands below it in the language of the whole."""

from __future__ import annotations

import dataclasses
from typing import Any

from django import template

from governance.papers.drawing import draw_map
from governance.papers.printed.blocks import MapOf

register = template.Library()


@register.inclusion_tag("_components/map.html")
def printed_map(block: MapOf) -> dict[str, Any]:
    """The drawing with its spoken label, without a key."""
    drawing = draw_map(block.areas, block.points, "wide")
    bare = dataclasses.replace(drawing, verdicts=(), has_circles=False, only_orientation=False, everywhere=())
    return {"map": bare, "label": block.alt, "key": []}
