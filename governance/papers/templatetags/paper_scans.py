"""Scans and papers in templates of other rooms."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django import template
from django.utils.translation import gettext as _

from governance.papers.models import Paper, PaperScan
from governance.papers.page_ranges import free_words
from governance.papers.queries.paper_scans import PaperScans, papers_in_scans, scans_of_paper
from governance.scans.models import Scan

register = template.Library()


@register.simple_tag
def papers_in(scans: Collection[int]) -> dict[int, list[PaperScan]]:
    """By scan the papers in it, for a whole list."""
    return papers_in_scans(scans)


@register.simple_tag
def papers_of(scan: Scan) -> list[PaperScan]:
    """The papers in one scan."""
    return papers_in_scans([scan.pk]).get(scan.pk, [])


@register.filter
def of_scan(found: dict[int, list[PaperScan]], scan: Scan) -> list[PaperScan]:
    """Those of one scan."""
    return found.get(scan.pk, [])


@register.simple_tag(takes_context=True)
def paper_scans(context: dict[str, Any], paper: Paper) -> PaperScans:
    """The scans of a paper, as its reader may see them."""
    request = context["request"]
    return scans_of_paper(paper, request.user, request.GET.get("scan", ""))


register.filter("free_words", free_words)


@register.filter
def page_range(filed: PaperScan) -> str:
    """``page 3``, ``pages 3 to 7``; "" for the whole scan."""
    if filed.first_page is None:
        return ""
    if filed.first_page == filed.last_page:
        return _("page %(n)d") % {"n": filed.first_page}
    return _("pages %(first)d to %(last)d") % {"first": filed.first_page, "last": filed.last_page}
