"""What is printed, on a page: ``{% printed_map block %}``; its key stands below it in the language of the whole."""

from __future__ import annotations

import dataclasses
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from governance.papers.drawing import draw_map
from governance.papers.printed.blocks import MapOf, Picture

register = template.Library()


@register.inclusion_tag("_components/map.html")
def printed_map(block: MapOf) -> dict[str, Any]:
    """The drawing with its spoken label, without a key."""
    drawing = draw_map(block.areas, block.points, "wide")
    bare = dataclasses.replace(drawing, verdicts=(), has_circles=False, only_orientation=False, everywhere=())
    return {"map": bare, "label": block.alt, "key": []}


@register.simple_tag
def printed_picture(picture: Picture) -> SafeString:
    """A drawing of our own with what it is in words; its markup holds numbers alone."""
    drawn = mark_safe(picture.svg)  # made by the library of codes from a matrix, never from text
    return format_html('<span class="pack-picture" role="img" aria-label="{}">{}</span>', picture.alt, drawn)
