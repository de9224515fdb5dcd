"""The timeline of a plan: the days of its stops, by when to start, the way home, and the papers with their holes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.papers.drawing import Band, BandKind, Happening, TimeRow
from governance.papers.models import LAYER_NAMES, Paper
from governance.plans.models import Consignment, StopTrap
from governance.plans.planned_rows import LoadedPlan, LoadedStop
from governance.plans.queries.check import PlanCheck, first_day
from governance.plans.queries.need_lines import NeedLine
from governance.plans.queries.one_plan import SpeakingPaper
from governance.plans.queries.plan_words import days_of, period_words
from governance.verdicts.queries.specimen_drawings import paper_bands
from governance.verdicts.shown_days import short_day

MOST_STOP_ROWS = 10
"""More stops than this share one line."""

MOST_PAPER_ROWS = 14
"""More papers than this are told in the list of papers alone; those that the check rests on come first."""

_ROOM = timedelta(days=21)


@dataclass(frozen=True)
class PlanTimeline:
    """Rows for the drawing and its axis. left_out: papers without a row: they hold on no day of the axis, or
    there are too many. days: all that is drawn, as a list."""

    rows: Sequence[TimeRow]
    first: date | None
    last: date | None
    left_out: int
    days: Sequence[tuple[date, str]]


def plan_timeline(check: PlanCheck, lines: Sequence[NeedLine], papers: Sequence[SpeakingPaper]) -> PlanTimeline:
    """What the drawing shows. Papers must come with versions, seasons and states loaded (``with_terms``)."""
    first, last = _axis(check, lines)
    if first is None or last is None:
        return PlanTimeline((), None, None, 0, ())
    starts, homes = _starts(lines), _homes(check.loaded.homes)
    rows = [*_stop_rows(check.loaded)]
    rows += [row for row in (starts, homes) if row.happenings]
    distinct = _distinct(papers)
    bars = [(one, row) for one in distinct if _is_seen(row := _paper_row(one.paper, (first, last)), first, last)]
    chosen = sorted(bars, key=lambda bar: not bar[0].is_used)[:MOST_PAPER_ROWS]
    rows += [row for _one, row in chosen]
    days = sorted([(event.first, f"{row.label}: {event.label}") for row in (starts, homes) for event in row.happenings])
    return PlanTimeline(rows, first, last, len(distinct) - len(chosen), days)


def _axis(check: PlanCheck, lines: Sequence[NeedLine]) -> tuple[date | None, date | None]:
    """From today or the first day to start, whichever is earlier, to the last day of the trip."""
    days = [day for one in check.loaded.stops for day in days_of(one) if day]
    days += [day for home in check.loaded.homes for day in _home_days(home).values() if day]
    if not days:
        return None, None
    starts = [line.need.start_by for line in lines if line.need.start_by]
    return min([*days, *starts, check.today]) - _ROOM, max([*days, check.today]) + _ROOM


def _stop_rows(loaded: LoadedPlan) -> list[TimeRow]:
    """A line a stop; of a long plan one line for all."""
    if len(loaded.stops) > MOST_STOP_ROWS:
        return [_together(loaded)]
    return [
        TimeRow(
            f"{number}. {one.stop.name}",
            period_words(one.stop.first_on, one.stop.last_on),
            bands=[
                _planned(one.stop.first_on, one.stop.last_on, ""),
                *(
                    _planned(trap.first_on, trap.last_on, trap.method)
                    for trap in one.traps
                    if _stands_longer(trap, one)
                ),
            ]
            if one.stop.first_on or one.stop.last_on
            else [],
        )
        for number, one in enumerate(loaded.stops, start=1)
    ]


def _planned(first: date | None, last: date | None, label: str) -> Band:
    return Band(BandKind.PLANNED, first or last, last or first, label)


def _stands_longer(trap: StopTrap, one: LoadedStop) -> bool:
    return bool(trap.last_on and one.stop.last_on and trap.last_on > one.stop.last_on)


def _together(loaded: LoadedPlan) -> TimeRow:
    """All stops on one line: stretches that touch are one. A stop with one day alone is drawn as that day."""
    known = [[day for day in days_of(one) if day] for one in loaded.stops]
    joined: list[tuple[date, date]] = []
    for first, last in sorted((days[0], days[-1]) for days in known if days):
        if joined and first <= joined[-1][1] + timedelta(days=1):
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    count = len(loaded.stops)
    label = ngettext("%(n)d stop", "%(n)d stops", count) % {"n": count}
    bands = [Band(BandKind.PLANNED, first, last, label if n == 0 else "") for n, (first, last) in enumerate(joined)]
    return TimeRow(_("Fieldwork"), bands=bands)


def _starts(lines: Iterable[NeedLine]) -> TimeRow:
    """The days by which to start, those of one day together."""
    of_day: dict[date, list[NeedLine]] = {}
    for line in lines:
        if line.need.start_by:
            of_day.setdefault(line.need.start_by, []).append(line)
    happenings = [
        Happening(
            day,
            label=f"{', '.join(dict.fromkeys(line.cell.layer_name for line in together))} {date_format(day, 'j M')}",
            needs_look=any(line.need.is_late for line in together),
        )
        for day, together in sorted(of_day.items())
    ]
    return TimeRow(_("Start by"), happenings=happenings)


def _homes(homes: Sequence[Consignment]) -> TimeRow:
    return TimeRow(
        _("Way home"),
        happenings=[
            Happening(day, label=f"{word} {date_format(day, 'j M')}")
            for home in homes
            for word, day in _home_days(home).items()
            if day
        ],
    )


def _home_days(home: Consignment) -> dict[str, date | None]:
    return {
        _("export"): first_day(home.exported_on), _("import"): first_day(home.imported_on),
        _("transfer"): first_day(home.transferred_on),
    }  # fmt: skip


def _distinct(papers: Iterable[SpeakingPaper]) -> list[SpeakingPaper]:
    """Each paper once, used ones as used."""
    found: dict[int, SpeakingPaper] = {}
    for one in papers:
        if one.paper.pk not in found or one.is_used:
            found[one.paper.pk] = one
    return list(found.values())


def _paper_row(paper: Paper, window: tuple[date, date]) -> TimeRow:
    return TimeRow(
        ", ".join(str(LAYER_NAMES[layer]) for layer in paper.layer_list), paper.reference,
        reverse("papers:paper", args=[paper.pk]), [_dated(band) for band in paper_bands(paper, window)],
    )  # fmt: skip


def _is_seen(row: TimeRow, first: date, last: date) -> bool:
    """Whether the paper holds on a day of the axis."""
    return any((band.first or first) <= last and (band.last or last) >= first for band in row.bands)


def _dated(band: Band) -> Band:
    """A bar tells its last day: that is what a trip runs into."""
    if band.kind is not BandKind.IN_FORCE:
        return band
    end = _("to %(day)s") % {"day": short_day(band.last)} if band.last else _("open")
    return Band(band.kind, band.first, band.last, f"{band.label} {end}".strip())
