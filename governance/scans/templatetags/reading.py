"""What pages show of the reading of scans."""

from __future__ import annotations

from django import template

from governance.scans.models import Scan
from governance.scans.queries.reading import Progress, progress

register = template.Library()


@register.simple_tag
def reading_progress(scan: Scan) -> Progress:
    """How many of the pages are read, while a scan waits."""
    return progress(scan)
