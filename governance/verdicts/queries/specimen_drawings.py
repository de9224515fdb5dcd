"""The map and the timeline of a specimen's page, as what the drawings of the papers room take."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from shapely.geometry.base import BaseGeometry

from accessions.sites.models import Site, SiteBoundary
from accessions.values import read_footprint
from governance.engine.tables import Layer
from governance.jurisdictions import outlines
from governance.papers.drawing import Area, AreaKind, Band, BandKind, Happening, MapPoint, TimeRow, areas_of_places
from governance.papers.drawing.validity import Pause, VersionDays, validity_bands
from governance.papers.drawing.version_places import boundary_shape
from governance.papers.models import LAYER_NAMES, Paper, PaperStatus, PaperVersion
from governance.papers.restriction import is_readable
from governance.papers.statuses import ENDS
from governance.verdicts.queries.specimen_page import SpecimenPage, versions_on_the_map
from governance.verdicts.queries.tested_days import TestedDay

_NEAR = timedelta(days=150)
_ROOM = timedelta(days=30)


def map_points(page: SpecimenPage) -> list[MapPoint]:
    """Where it was taken, coloured by the worst of its layers; none where no position was read."""
    event, worst = page.specimen.event, page.worst
    if event.longitude_deg is None or event.latitude_deg is None:
        return []
    assumed = page.house.assumed_radius_m if page.house else None
    return [
        MapPoint(
            event.longitude_deg,
            event.latitude_deg,
            event.radius_m or assumed,
            data_v=worst.data_v if worst else "",
            word=worst.word if worst else "",
            label=str(page.specimen),
        )
    ]


def map_areas(page: SpecimenPage, reader: Any) -> list[Area]:
    """The areas of the versions tested, the site in its boundary of the day, and the footprint of the record.

    The places of a paper that the reader may not read are not drawn.
    """
    areas: list[Area] = []
    day = page.days.collected.first
    shapes = {text: shape for text, site in page.sites.items() if (shape := site_shape(site.boundaries.all(), day))}
    for paper, version, numbers in versions_on_the_map(page):
        if not is_readable(paper, reader):
            continue
        areas += _areas_of(paper, version, f"{paper.reference} {numbers}".strip(), shapes)
    own = site_shape(page.boundaries, day)
    if own is not None:
        areas.append(Area(AreaKind.SITE, own, _site_words(page)))
    return [*areas, *_footprint(page)]


def _areas_of(paper: Paper, version: PaperVersion, label: str, shapes: dict[str, BaseGeometry]) -> list[Area]:
    """The places of a version; where it lists none, the issuer's jurisdiction stands in for them."""
    places = version.versionplaces.all()
    if places or not paper.jurisdiction:
        return areas_of_places(places, shapes, label)
    outline = outlines.subdivisions() if "-" in paper.jurisdiction else outlines.countries()
    found = outline.get(paper.jurisdiction)
    return [Area(AreaKind.PERMITTED, found, label, frames=False)] if found is not None else []


def site_shape(boundaries: Iterable[SiteBoundary], day: date | None) -> BaseGeometry | None:
    """The boundary of a site on a day; without a day, or where none held, the newest."""
    rows = list(boundaries)
    held = [row for row in rows if day and _holds(row.held_from, row.held_to, day)]
    newest = (held or rows)[-1:]
    return boundary_shape(newest[0]) if newest else None


def _holds(first: date | None, last: date | None, day: date) -> bool:
    return (first is None or first <= day) and (last is None or day <= last)


def _site_words(page: SpecimenPage) -> str:
    """The name of the site, with its protected status on the day."""
    site: Site | None = page.specimen.event.site
    day = page.days.collected.first
    names = [d.name for d in page.designations if day is None or _holds(d.held_from, d.held_to, day)]
    return names[0] if names else (site.name or site.code) if site else ""


def _footprint(page: SpecimenPage) -> list[Area]:
    event = page.specimen.event
    if not event.footprint_wkt:
        return []
    shape = read_footprint(event.footprint_wkt, event.footprint_srs, fallback_datum=event.geodetic_datum).geometry
    return [] if shape is None else [Area(AreaKind.FOOTPRINT, shape)]


def time_rows(page: SpecimenPage) -> list[TimeRow]:
    """A row a paper that is linked or was tested, in the order of the layers, and the days of the specimen."""
    window = _window(page)
    if window is None:
        return []
    served: dict[int, list[Layer]] = {}
    for card in page.cards:
        for used in card.papers:
            served.setdefault(used.paper.pk, []).append(card.layer)
    for pk in sorted(page.linked - set(served)):
        served[pk] = page.papers[pk].layer_list
    by_layer = sorted(served.items(), key=lambda item: min(item[1]))
    rows = [_paper_row(page.papers[pk], layers, window) for pk, layers in by_layer]
    return [*rows, TimeRow(str(page.specimen), happenings=_happenings(page))]


def drops(page: SpecimenPage) -> list[Happening]:
    """The day of collecting over all rows, if it is known to the day."""
    day = page.days.collected
    return [Happening(day.first, needs_look=bool(page.open_cards))] if day.first and day.first == day.last else []


def _window(page: SpecimenPage) -> tuple[date, date] | None:
    """The days around those of the specimen, and the ends of papers that lie near."""
    days = sorted({day for tested in page.days.recorded for day in (tested.first, tested.last) if day})
    if not days:
        return None
    near = [
        end
        for paper in page.papers.values()
        for version in paper.versions.all()
        for end in (version.in_force_from, version.in_force_to)
        if end and days[0] - _NEAR <= end <= days[-1] + _NEAR
    ]
    return min([days[0], *near]) - _ROOM, max([days[-1], *near]) + _ROOM


def window_of(page: SpecimenPage) -> tuple[date | None, date | None]:
    """The axis of the timeline; (None, None) where no day is known."""
    return _window(page) or (None, None)


def _paper_row(paper: Paper, layers: Sequence[Layer], window: tuple[date, date]) -> TimeRow:
    return TimeRow(
        ", ".join(str(LAYER_NAMES[layer]) for layer in layers),
        paper.reference,
        reverse("papers:paper", args=[paper.pk]),
        paper_bands(paper, window),
    )


def paper_bands(paper: Paper, window: tuple[date, date] | None = None) -> list[Band]:
    """The validity of a paper with its versions, seasons and states loaded; a broken bar for an unread one."""
    if not paper.versions.all():
        return [Band(BandKind.PLANNED, None, None, _("on file, not read yet"))]
    versions = [
        VersionDays(
            version.in_force_from,
            version.in_force_to,
            f"v{number}",
            [(s.from_month, s.from_day, s.to_month, s.to_day) for s in version.versionseasons.all()],
        )
        for number, version in enumerate(paper.versions.all(), start=1)
    ]
    turns = list(paper.statuses.all())
    pauses = [Pause(turn.from_on, turn.to_on) for turn in turns if turn.state == PaperStatus.State.SUSPENDED]
    ended = min((turn.from_on for turn in turns if turn.state in ENDS), default=None)
    bands = validity_bands(versions, pauses, ended, window)
    return [band if band.kind is BandKind.PAUSE or len(versions) > 1 else _unnamed(band) for band in bands]


def _unnamed(band: Band) -> Band:
    """A paper of one version needs no number on its bar."""
    return Band(band.kind, band.first, band.last)


def _happenings(page: SpecimenPage) -> list[Happening]:
    return [
        Happening(first, day.last or first, f"{day.did} {_day_words(day)}", needs_look=_is_open(page, day))
        for day in page.days.recorded
        if (first := day.first or day.last)
    ]


def _is_open(page: SpecimenPage, day: TestedDay) -> bool:
    return any(card.day is day for card in page.open_cards)


def _day_words(day: TestedDay) -> str:
    if day.first and day.first == day.last:
        return date_format(day.first, "j M")
    return day.short
