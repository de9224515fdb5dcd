"""Material on the pages of sites, which lie below: ``{% taken_at site as material %}``, ``{{ text|listed }}``."""

from __future__ import annotations

from django import template

from accessions.material.queries import at_sites
from accessions.sites.models import Site
from accessions.values import split_list

register = template.Library()


@register.simple_tag
def taken_at(site: Site) -> at_sites.AtSite:
    """Events and specimens of a site."""
    return at_sites.taken_at(site)


@register.filter
def listed(text: str) -> str:
    """Words that Darwin Core separates by ``|``, as a list for reading.

    >>> listed("hand net | light trap")
    'hand net, light trap'
    """
    return ", ".join(split_list(text))
