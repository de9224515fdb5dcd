"""One paper with everything that its page shows but the verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, Model, Prefetch, Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from accessions.people.changes import Change, changes_of, newest_first
from accessions.sites.models import Site, SiteBoundary
from governance.engine.tables import fold
from governance.papers.columns import TERMS
from governance.papers.drawing import Area, TimeRow, areas_of_places, validity_bands
from governance.papers.drawing.validity import Pause, VersionDays
from governance.papers.drawing.version_places import boundary_shape
from governance.papers.lifetimes import Lifetime, in_order, lifetime
from governance.papers.models import (
    Condition,
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    TermsReading,
    UseTerm,
)
from governance.papers.queries.exchange_objects import LINES
from governance.papers.queries.links import standing
from governance.papers.readings import Reading, readings
from governance.papers.restriction import opens
from governance.papers.statuses import ENDS

_MOST_LINKS = 200
_TOGETHER = timedelta(seconds=10)


@dataclass(frozen=True)
class ReadVersion:
    """A version and what was read from it. number: from 1, by first day."""

    number: int
    version: PaperVersion
    lines: Sequence[Reading]
    conditions: Sequence[Condition]
    is_shown: bool


@dataclass(frozen=True)
class LinkList:
    """What the paper is linked to: all but the single specimens, which are counted."""

    links: Sequence[PaperLink]
    specimens: int
    more: int
    ended: Sequence[PaperLink]

    @property
    def is_empty(self) -> bool:
        return not self.links and not self.specimens


@dataclass(frozen=True)
class PaperPage:
    """Everything of the page that is no verdict."""

    paper: Paper
    life: Lifetime
    versions: Sequence[ReadVersion]
    turns: Sequence[PaperStatus]
    timeline: Sequence[TimeRow]
    areas: Sequence[Area]
    links: LinkList
    changes: Sequence[Change] = field(default_factory=list)
    is_readable: bool = True
    version_count: int = 0

    @property
    def shown(self) -> ReadVersion | None:
        """The version that the readings open with: that in force, else the newest."""
        return next((read for read in self.versions if read.is_shown), None)


def paper_page(pk: int, on: date, reader: Any) -> PaperPage | None:
    """The page of a paper on a day; None if there is no such paper. To those who may not read it, what it covers."""
    paper = Paper.objects.filter(pk=pk).prefetch_related(*LINES).first()
    if paper is None:
        return None
    life = lifetime(paper, on)
    versions = in_order(paper.versions.all())
    shown = life.version or (versions[-1] if versions else None)
    turns = list(paper.statuses.all())
    if not opens(paper, reader):
        return _closed(paper, life, versions, turns)
    return PaperPage(
        paper=paper,
        life=life,
        versions=[
            ReadVersion(number, version, readings(version), list(version.conditions.all()), version == shown)
            for number, version in enumerate(versions, 1)
        ],
        turns=turns,
        timeline=_timeline(versions, turns),
        areas=_areas(shown, life.on) if shown else [],
        links=_links(paper),
        changes=changes_of_paper(paper),
        version_count=len(versions),
    )


def _closed(paper: Paper, life: Lifetime, versions: Sequence[PaperVersion], turns: Sequence[PaperStatus]) -> PaperPage:
    """What everybody sees: days in force without a word on them, and links."""
    for version in versions:
        version.note = ""  # it stands on the bar of the timeline
    timeline = _timeline(versions, turns)
    return PaperPage(
        paper, life, [], [], timeline, [], _links(paper), is_readable=False, version_count=len(versions)
    )  # fmt: skip


def _timeline(versions: Sequence[PaperVersion], turns: Sequence[PaperStatus]) -> list[TimeRow]:
    """One row a version: validity_bands cuts each by the next, so each row takes its own bar from the whole."""
    pauses = [Pause(t.from_on, t.to_on, _("suspended")) for t in turns if t.state == PaperStatus.State.SUSPENDED]
    ended_on = min((t.from_on for t in turns if t.state in ENDS), default=None)
    rows = []
    for number, version in enumerate(versions, 1):
        superseded = _superseded(ended_on, versions[number : number + 1])
        mine = validity_bands([_days_of(version, number)], pauses, superseded)
        name = _("Version %(number)d") % {"number": number}
        since = (
            _("as issued") if number == 1 else (version.in_force_from and date_format(version.in_force_from, "j M Y"))
        )
        rows.append(TimeRow(label=f"{name}, {since}", bands=mine))
    return rows


def _since(version: PaperVersion, number: int) -> str:
    first = version.in_force_from
    return _("as issued") if number == 1 or first is None else date_format(first, "j M Y")


def _superseded(ended_on: date | None, following: Sequence[PaperVersion]) -> date | None:
    """The first day on which a version holds no longer for another reason than its own end."""
    days = [version.in_force_from for version in following if version.in_force_from]
    return min([*days, *([ended_on] if ended_on else [])], default=None)


def _days_of(version: PaperVersion, number: int) -> VersionDays:
    seasons = [(s.from_month, s.from_day, s.to_month, s.to_day) for s in version.versionseasons.all()]
    return VersionDays(version.in_force_from, version.in_force_to, version.note if number > 1 else "", seasons)


def _areas(version: PaperVersion, on: date) -> list[Area]:
    """Areas of the version; a registered site without an area of its own lends the boundary of the version's last day,
    or of today while it holds."""
    places = list(version.versionplaces.all())
    names = {fold(p.site): p.site for p in places if p.site and not p.geojson and p.radius_m is None}
    day = min(version.in_force_to or on, on)
    return areas_of_places(places, _site_shapes(names, day) if names else {})


def _site_shapes(names: dict[str, str], day: date) -> dict[str, Any]:
    """By the site as the paper writes it, the boundary of the day."""
    sites = Site.objects.filter(Q(code_key__in=names) | Q(name_key__in=names))
    held = (Q(held_from=None) | Q(held_from__lte=day)) & (Q(held_to=None) | Q(held_to__gte=day))
    return {
        names.get(fold(site.code)) or names[fold(site.name)]: boundary_shape(boundary)
        for site in sites.prefetch_related(Prefetch("boundaries", SiteBoundary.objects.filter(held)))
        for boundary in site.boundaries.all()
    }


def _links(paper: Paper) -> LinkList:
    named = standing(paper.links.filter(specimen=None)).select_related(
        "accession", "part__accession", "site", "event", "linked_by"
    )
    links = list(named[: _MOST_LINKS + 1])
    counted = standing(paper.links.exclude(specimen=None)).aggregate(n=Count("pk"))["n"]
    ended = paper.links.exclude(unlinked_at=None).select_related(
        "accession", "part__accession", "site", "event", "specimen", "unlinked_by"
    )
    more = named.count() - _MOST_LINKS if len(links) > _MOST_LINKS else 0
    return LinkList(links[:_MOST_LINKS], counted, more, list(ended.order_by("-unlinked_at")[:20]))


def changes_of_paper(paper: Paper) -> list[Change]:
    """The history of the face, the turns, the versions, their lines and terms of use; newest first."""
    versions = PaperVersion.history.filter(paper_id=paper.pk).values("id")
    wholes = newest_first(
        changes_of(Paper, id=paper.pk),
        changes_of(PaperStatus, paper_id=paper.pk),
        changes_of(PaperVersion, paper_id=paper.pk),
        changes_of(TermsReading, version_id__in=versions),
    )
    tables: tuple[type[Model], ...] = (*TERMS, UseTerm)
    lines = newest_first(*(changes_of(table, version_id__in=versions) for table in tables))
    return newest_first(wholes, _later_lines(lines, wholes))


def _later_lines(lines: Sequence[Change], wholes: Sequence[Change]) -> list[Change]:
    """Lines that came with their version say nothing of their own: a paper of forty lines is one entry."""
    added = pgettext("history", "added")
    entered = [(whole.at, whole.why) for whole in wholes if whole.did == added]
    return [
        line
        for line in lines
        if line.did != added or not any(line.why == why and abs(line.at - at) < _TOGETHER for at, why in entered)
    ]
