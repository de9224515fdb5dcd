"""Material on the pages of sites, which lie below: ``{% taken_at site as material %}``."""

from __future__ import annotations

from django import template

from accessions.material.queries import at_sites
from accessions.sites.models import Site

register = template.Library()


@register.simple_tag
def taken_at(site: Site) -> at_sites.AtSite:
    """Events and specimens of a site."""
    return at_sites.taken_at(site)
