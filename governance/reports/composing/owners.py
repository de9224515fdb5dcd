"""Landowners: on which days land was theirs, in which boundary, and the names of private owners that stay out.

What is asked here is whether something was taken on their land *for certain*: a span of days that reaches beyond the
tenure may be somebody else's, and is told as not known.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import cached_property
from typing import Final

from accessions.people.models import Agent, AgentName
from accessions.sites.models import SiteBoundary, SiteTenure
from governance.reports.composing.codes import WITHHELD
from governance.reports.contents import MapData, Point

_DAY: Final = timedelta(1)
_SHORTEST_NAME: Final = 3


class Within(StrEnum):
    """Whether something lies in a period, or on days of a tenure."""

    YES = "yes"
    NO = "no"
    NOT_KNOWN = "not-known"


@dataclass(frozen=True, order=True)
class Days:
    """A span of days, both counted; ``date.min`` and ``date.max`` where it is open."""

    first: date = date.min
    last: date = date.max

    @classmethod
    def of(cls, first: date | None, last: date | None) -> Days:
        """A span whose ends may be open."""
        return cls(first or date.min, last or date.max)

    @property
    def is_open(self) -> bool:
        """Whether it has neither a first nor a last day."""
        return self == Days()

    def holds(self, earliest: date | None, latest: date | None) -> Within:
        """Whether what happened between two days lies in it; a day that is not known lies only in one without ends."""
        if self.is_open:
            return Within.YES
        if earliest is None or latest is None:
            return Within.NOT_KNOWN
        if latest < self.first or earliest > self.last:
            return Within.NO
        return Within.YES if self.first <= earliest and latest <= self.last else Within.NOT_KNOWN

    def met_by(self, other: Days) -> Days | None:
        """The days of both; None if there are none."""
        both = Days(max(self.first, other.first), min(self.last, other.last))
        return both if both.first <= both.last else None


def joined(spans: Iterable[Days]) -> list[Days]:
    """Spans that touch or overlap as one: who rented land and then bought it held it all the time."""
    found: list[Days] = []
    for span in sorted(spans):
        if found and (found[-1].last == date.max or span.first <= found[-1].last + _DAY):
            found[-1] = Days(found[-1].first, max(found[-1].last, span.last))
        else:
            found.append(span)
    return found


@dataclass(frozen=True)
class Land:
    """The sites of an owner or occupier, each with the days on which it was theirs."""

    tenures: dict[int, list[Days]]

    @classmethod
    def of(cls, agent: Agent) -> Land:
        """One query."""
        spans: dict[int, list[Days]] = defaultdict(list)
        for site, first, last in SiteTenure.objects.filter(agent=agent).values_list("site", "held_from", "held_to"):
            spans[site].append(Days.of(first, last))
        return cls({site: joined(of) for site, of in spans.items()})

    def was_theirs(self, site: int, earliest: date | None, latest: date | None) -> Within:
        """Whether what was taken at a site between two days was taken on their land."""
        answers = {span.holds(earliest, latest) for span in self.tenures.get(site, [])}
        if Within.YES in answers:
            return Within.YES
        return Within.NOT_KNOWN if Within.NOT_KNOWN in answers else Within.NO

    def map_of(self, period: Days, found_at: Collection[int] = ()) -> MapData | None:
        """The boundaries of their sites on days of the tenure and the period; nothing else. None without any.

        Args:
            found_at: keys of the sites where something was found, which alone are drawn; none: all of them are.
        """
        areas: list[tuple[str, str]] = []
        points: list[Point] = []
        sites = [site for site in self.tenures if site in found_at] or list(self.tenures)
        for boundary in SiteBoundary.objects.filter(site__in=sites).select_related("site"):
            if not self._valid(boundary, period):
                continue
            if boundary.polygon:
                areas.append((boundary.site.code, boundary.polygon))
            elif boundary.longitude_deg is not None and boundary.latitude_deg is not None:
                points.append(
                    Point(boundary.site.code, boundary.longitude_deg, boundary.latitude_deg, boundary.radius_m)
                )
        return MapData(tuple(areas), tuple(points)) if areas or points else None

    def _valid(self, boundary: SiteBoundary, period: Days) -> bool:
        held = Days.of(boundary.held_from, boundary.held_to)
        theirs = (span.met_by(held) for span in self.tenures[boundary.site_id])
        return any(both is not None and both.met_by(period) is not None for both in theirs)


class PrivateOwners:
    """Names of private people who own or occupy a site: they stay out of every report but their own."""

    def __init__(self, spared: Agent | None = None) -> None:
        self._spared = spared

    @cached_property
    def keys(self) -> frozenset[int]:
        """Keys of the agents: one query."""
        people = Agent.objects.filter(kind=Agent.Kind.PERSON, tenures__isnull=False)
        if self._spared is not None:
            people = people.exclude(pk=self._spared.pk)
        return frozenset(people.order_by().values_list("pk", flat=True))

    @cached_property
    def _names(self) -> re.Pattern[str] | None:
        rows = AgentName.objects.filter(agent__in=self.keys).order_by().values_list("form", "agent__name")
        names = {name.strip() for row in rows for name in row} | set(
            Agent.objects.filter(pk__in=self.keys).values_list("name", flat=True)
        )
        long_enough = sorted((name for name in names if len(name) >= _SHORTEST_NAME), key=len, reverse=True)
        found = "|".join(map(re.escape, long_enough))
        return re.compile(rf"(?<!\w)(?:{found})(?!\w)", re.IGNORECASE) if found else None

    def are_named_in(self, text: str) -> bool:
        """Whether a text holds the name of one of them, in a form that the register has."""
        return self._names is not None and self._names.search(text) is not None

    def masked(self, text: str) -> str:
        """A text without their names."""
        return text if self._names is None else self._names.sub(WITHHELD, text)
