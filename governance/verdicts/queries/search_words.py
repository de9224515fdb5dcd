"""What somebody scanned or typed: a label, else the beginning of one, else an accession, a site, a name."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.db.models import Q
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Specimen
from accessions.names.folding import folded
from accessions.names.models import Taxon
from accessions.sites.models import Site
from governance.verdicts.queries.filters import Filters, starts_with

_MOST = 200
"""Accessions, sites or names that one search takes in."""


@dataclass(frozen=True)
class Found:
    """As what the words were understood. meaning: for the chip that shows it."""

    meaning: str
    filters: Filters


def labelled(text: str) -> int | None:
    """The one specimen with this catalogue number, in either case of letters. One query."""
    found = Specimen.objects.filter(catalog_number__in={text, text.upper()}).exclude(catalog_number="")
    keys = list(found.values_list("pk", flat=True)[:2])
    return keys[0] if len(keys) == 1 else None


def understand(text: str, filters: Filters) -> Found:
    """Narrow the filters to what the words mean: the first kind of thing that has them. At most five queries."""
    for attempt in (_label_start, _accession, _site, _taxon):
        found = attempt(text, filters)
        if found:
            return found
    return Found(_("“%(text)s”, found with no specimen") % {"text": text}, replace(filters, nothing=True))


def _label_start(text: str, filters: Filters) -> Found | None:
    for start in dict.fromkeys((text, text.upper())):
        if Specimen.objects.filter(starts_with("catalog_number", start)).exclude(catalog_number="").exists():
            return Found(_("Number begins with %(text)s") % {"text": start}, replace(filters, number_starts=start))
    return None


def _accession(text: str, filters: Filters) -> Found | None:
    found = Accession.objects.filter(Q(number__istartswith=text) | Q(title__icontains=text))
    keys = tuple(found.values_list("pk", flat=True)[:_MOST])
    if not keys:
        return None
    return Found(_("Accessions with “%(text)s”") % {"text": text}, replace(filters, accessions=keys))


def _site(text: str, filters: Filters) -> Found | None:
    key = folded(text)
    found = Site.objects.filter(Q(code_key__startswith=key) | Q(name_key__contains=key))
    keys = tuple(found.values_list("pk", flat=True)[:_MOST])
    return Found(_("Sites with “%(text)s”") % {"text": text}, replace(filters, sites=keys)) if keys else None


def _taxon(text: str, filters: Filters) -> Found | None:
    found = Taxon.objects.filter(starts_with("key", folded(text))).order_by("lineage")
    lineages = _outermost(list(found.values_list("lineage", flat=True)[:_MOST]))
    return Found(_("Names with “%(text)s”") % {"text": text}, replace(filters, taxa=lineages)) if lineages else None


def _outermost(lineages: list[str]) -> tuple[str, ...]:
    """Without those that lie below another, which the other takes in. In order, so that a parent comes first."""
    kept: list[str] = []
    for lineage in lineages:
        if not any(lineage.startswith(outer) for outer in kept):
            kept.append(lineage)
    return tuple(kept)
