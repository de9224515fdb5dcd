"""What papers say of a site, and what stands for the specimens taken there."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count

from accessions.sites.models import Site
from governance.engine.tables import fold
from governance.papers.models import Paper, PaperLink, VersionPlace
from governance.verdicts.models import Standing
from governance.verdicts.queries.accession_verdicts import Distribution, distribution


@dataclass(frozen=True)
class SitePaper:
    """A paper that has to do with a site, and how: it names it, leaves it out by name, or is linked to it."""

    paper: Paper
    names: bool
    excludes: bool
    is_linked: bool


@dataclass(frozen=True)
class SiteVerdicts:
    """Papers and worst verdicts of one site."""

    papers: list[SitePaper]
    bar: Distribution


def site_verdicts(site: Site) -> SiteVerdicts:
    """Papers and verdicts of a site: four queries."""
    named = _naming(site)
    linked = set(PaperLink.objects.filter(site=site, unlinked_at__isnull=True).values_list("paper", flat=True))
    papers = Paper.objects.filter(pk__in={*named, *linked}).order_by("reference")
    return SiteVerdicts(
        papers=[
            SitePaper(paper, False in named.get(paper.pk, ()), True in named.get(paper.pk, ()), paper.pk in linked)
            for paper in papers
        ],
        bar=_bar(site),
    )


def _naming(site: Site) -> dict[int, set[bool]]:
    """Papers with a version that writes the code or the name of the site: whether included, excluded, or both."""
    keys = {site.code_key, site.name_key} - {""}
    found: dict[int, set[bool]] = {}
    rows = VersionPlace.objects.exclude(site="").order_by().values_list("version__paper", "site", "excluded").distinct()
    for paper, words, excluded in rows:
        if fold(words) in keys:
            found.setdefault(paper, set()).add(excluded)
    return found


def _bar(site: Site) -> Distribution:
    rows = Standing.objects.filter(specimen__event__site=site).order_by().values_list("worst").annotate(Count("pk"))
    return distribution(Counter(dict(rows)))
