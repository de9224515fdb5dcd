"""Verdicts on pages of papers: the template puts the two rooms together, the papers room knows nothing of verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from django import template
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Verdict
from governance.papers.drawing import Area, AreaKind, Happening, MapPoint, TimeRow
from governance.papers.models import Paper
from governance.papers.queries.one_paper import PaperPage
from governance.verdicts.cells import Cell
from governance.verdicts.queries.paper_verdicts import (
    Counts,
    PaperVerdicts,
    counts_of_papers,
    event_places,
    paper_verdicts,
    target_rows,
)

register = template.Library()

_REACHES = 2
_LEAST_REACH_DEG = 0.05


@register.simple_tag
def verdicts_of_paper(paper: Paper) -> PaperVerdicts:
    """What the stored verdicts say of the paper: ``{% verdicts_of_paper paper as found %}``."""
    return paper_verdicts(paper.pk)


@register.simple_tag
def verdicts_of_papers(papers: Sequence[int]) -> dict[int, Counts]:
    """The same for a list, by key."""
    return counts_of_papers(papers)


@register.filter
def of_paper(counts: dict[int, Counts], pk: int) -> Counts:
    """The counts of one paper of the list."""
    return counts.get(pk, Counts())


@register.filter
def covers_words(found: PaperVerdicts) -> str:
    """``It covers 907 specimens of one accession; 118 more were taken after it ended.``"""
    if not found.counts.covered and not found.counts.open:
        return ""
    accessions = ngettext("one accession", "%(n)s accessions", len(found.accessions)) % {
        "n": intcomma(len(found.accessions))
    }
    many = found.counts.covered
    covered = ngettext("%(n)s specimen", "%(n)s specimens", many) % {"n": intcomma(many)}
    said = _("It covers %(specimens)s of %(accessions)s") % {"specimens": covered, "accessions": accessions}
    rest = _rest(found)
    return f"{said}; {rest}." if rest else f"{said}."


def _rest(found: PaperVerdicts) -> str:
    late, early = found.codes.get("after-end", 0), found.codes.get("before-start", 0)
    told = [
        (late, ngettext("%(n)s more was taken after it ended", "%(n)s more were taken after it ended", late)),
        (early, ngettext("%(n)s more was taken before it began", "%(n)s more were taken before it began", early)),
    ]
    others = found.counts.open - sum(number for number, _words in told)
    parts = [words % {"n": intcomma(number)} for number, words in told if number]
    if others:
        parts.append(_others(others, alone=not parts))
    return ", ".join(parts)


def _others(number: int, *, alone: bool) -> str:
    if alone:
        words = ngettext("%(n)s more needs a look", "%(n)s more need a look", number)
    else:
        words = ngettext("%(n)s other needs a look", "%(n)s others need a look", number)
    return words % {"n": intcomma(number)}


@register.inclusion_tag("verdicts/_linked_to.html", takes_context=True)
def linked_to(context: Any, page: PaperPage, found: PaperVerdicts) -> dict[str, Any]:
    """The table of what a paper is linked to, with how the specimens behind each link stand under it."""
    return {
        "page": page, "paper": page.paper, "rows": target_rows(page.links.links, found),
        "user": context["user"],
    }  # fmt: skip


@register.simple_tag
def with_collecting_days(rows: Sequence[TimeRow], found: PaperVerdicts) -> list[TimeRow]:
    """The rows of the timeline, and one with the days on which the specimens were taken."""
    if not found.days:
        return list(rows)
    largest = max((number for *_days, number, is_open in found.days if is_open), default=0)
    happenings = []
    for first, last, number, is_open in found.days:
        label = ""
        if is_open and number == largest:
            label = ngettext("%(n)s specimen", "%(n)s specimens", number) % {"n": intcomma(number)}
            largest = -1
        happenings.append(Happening(first, last, label, is_open))
    return [*rows, TimeRow(label=str(_("Collecting days")), happenings=happenings)]


@dataclass(frozen=True)
class Taken:
    """Places at which specimens were taken: those near enough to the areas of the paper to be drawn with them, and how
    many specimens are farther away (a wrong sign would shrink the paper to a dot)."""

    near: list[MapPoint]
    far: int


@register.simple_tag
def places_taken(paper: Paper, areas: Sequence[Area]) -> Taken:
    """Where the specimens were taken that name the paper in a layer."""
    points = [_point(place) for place in event_places(paper.pk)]
    shapes = [area.shape for area in areas if area.kind == AreaKind.PERMITTED]
    if not shapes:
        return Taken(points, 0)
    box = shapely.total_bounds(shapes)
    reach = max(box[2] - box[0], box[3] - box[1], _LEAST_REACH_DEG) * _REACHES
    near = [p for p in points if _is_near(p, box.tolist(), reach)]
    return Taken(near, sum(point.count for point in points) - sum(point.count for point in near))


def _point(place: dict[str, Any]) -> MapPoint:
    cell = Cell(Verdict.OUTSIDE if place["needs_look"] else Verdict.COVERED)
    word = str(_("Needs a look")) if place["needs_look"] else cell.word
    label = place["number"] if place["needs_look"] else ""
    return MapPoint(
        place["longitude_deg"], place["latitude_deg"], place["radius_m"], cell.data_v, word, label, place["count"]
    )


def _is_near(point: MapPoint, box: list[float], reach: float) -> bool:
    west, south, east, north = box
    return (
        west - reach <= point.longitude_deg <= east + reach and south - reach <= point.latitude_deg <= north + reach
    )  # fmt: skip
