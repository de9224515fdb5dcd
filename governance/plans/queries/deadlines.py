"""All days of a plan that somebody should not miss, for its calendar."""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from accessions.values import read_event_date
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES, Condition, Paper, PaperVersion
from governance.papers.restriction import is_readable
from governance.plans.advice import advise
from governance.plans.advice.restricting import without_secrets
from governance.plans.models import LAST_DAY, Application
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.applications import Line, applications_of, is_asked_for
from governance.plans.queries.check import Need, PlanCheck, asked_of, first_day, merged
from governance.plans.queries.speaking import attached
from governance.verdicts.models import VERDICT_NAMES

State = Application.State


@dataclass(frozen=True)
class Deadline:
    """One entry of a calendar, of whole days.

    key: the same for the same matter whenever the calendar is made. path: of the page that tells more. alarm_days: so
    many days before it a reminder is due; 0 for none. is_busy: the people are away.
    """

    key: str
    first: date
    title: str
    text: str = ""
    last: date | None = None
    path: str = ""
    category: str = ""
    alarm_days: int = 0
    is_busy: bool = False

    @property
    def end(self) -> date:
        """The last day, included."""
        return self.last or self.first


@dataclass(frozen=True)
class PlanCalendar:
    """The days of a plan. left_out: references of papers that set days which the reader may not read."""

    deadlines: tuple[Deadline, ...]
    left_out: tuple[str, ...]


ALARM_DAYS = 14
"""A reminder of a day by which something must be started comes two weeks before."""


def plan_calendar(check: PlanCheck, reader: Any) -> PlanCalendar:
    """Everything with a day, soonest first, as the reader may know it."""
    lines = applications_of(check)
    papers = _papers_in_use(check)
    readable = [paper for paper in papers if is_readable(paper, reader)]
    conditions = list(
        Condition.objects.filter(version__paper__in=papers).exclude(report_by="").select_related("version")
    )
    closed = {paper.pk: paper for paper in papers if paper not in readable}
    advice = advise(check)
    told = without_secrets(advice, reader)
    hidden = {paper for one in advice for paper in one.secret} & closed.keys()
    hidden |= {one.version.paper_id for one in conditions} & closed.keys()
    found = [
        *_needs(check, lines), *_applications(lines), *_advised(check, told), *_stops(check), *_homes(check),
        *_ends(check, papers), *_reports(check, readable, conditions),
    ]  # fmt: skip
    left_out = tuple(sorted(closed[pk].reference for pk in hidden))
    return PlanCalendar(tuple(sorted(found, key=lambda one: (one.first, one.end, one.title))), left_out)


def _needs(check: PlanCheck, lines: Sequence[Line]) -> Iterator[Deadline]:
    """What nobody has asked for yet, or plans to by a day of its own: by the day on which it must be started.

    One entry a layer and country, whatever its verdicts are at the time: a later file then moves it.
    """
    with_day = [line for line in lines if line.is_open and (line.application.asked_on or line.application.start_by)]
    together: dict[tuple[Layer, str], list[Need]] = defaultdict(list)
    for need in check.needs:
        if parts := [part for part in need.parts if part.start_by and not is_asked_for(part, with_day)]:
            together[need.layer, asked_of(parts[0].cells[0])].append(merged(parts))
    for (layer, country), needs in together.items():
        yield Deadline(
            f"need-{layer.code}-{country or 'xx'}", min(need.start_by for need in needs if need.start_by),
            _("Last day to start: %(layer)s") % {"layer": LAYER_NAMES[layer]}, "\n".join(_told_of(needs)),
            path=_page(check), category=_("Start by"), alarm_days=ALARM_DAYS,
        )  # fmt: skip


def _told_of(needs: Sequence[Need]) -> Iterator[str]:
    for need in needs:
        for verdict, stops in need.by_verdict.items():
            yield f"{VERDICT_NAMES[verdict]}: {_named(stops)}"
        yield from filter(None, (need.lead.authority, need.lead.contact))
    if needs[0].lead.days is not None:
        yield _("Takes about %(days)d days.") % {"days": needs[0].lead.days}


def _applications(lines: Sequence[Line]) -> Iterator[Deadline]:
    for line in lines:
        one = line.application
        what = f"{LAYER_NAMES[Layer(one.layer)]}, {one.get_kind_display()}"
        told = [one.authority, one.contact, one.number, one.assignee.shown_name if one.assignee else ""]
        days = [
            ("ask", one.start_by if one.state == State.TO_ASK else None, _("Last day to ask: %(what)s"), ALARM_DAYS),
            ("asked", one.asked_on, _("Asked for: %(what)s"), 0),
            ("promised", one.promised_on if line.is_open else None, _("Answer promised: %(what)s"), 1),
        ]
        for word, day, title, alarm in days:
            if day is not None:
                yield Deadline(
                    f"application-{one.pk}-{word}", day, title % {"what": what}, "\n".join(filter(None, told)),
                    path=reverse("plans:application", args=[one.pk]), category=_("Application"), alarm_days=alarm,
                )  # fmt: skip


def _advised(check: PlanCheck, advice: Sequence[Any]) -> Iterator[Deadline]:
    """Advice with a day, notices above all; reports are told from the papers themselves."""
    for one in advice:
        if one.by_day is not None and not one.is_settled and "report" not in one.code:
            of = "-".join(str(key) for key in (*one.stops, *(used.pk for used in one.papers)))
            yield Deadline(
                f"advice-{one.code}-{of}", one.by_day, one.sentence, path=_page(check),
                category=_("Advice"), alarm_days=ALARM_DAYS,
            )  # fmt: skip


def _stops(check: PlanCheck) -> Iterator[Deadline]:
    for number, one in enumerate(check.loaded.stops, 1):
        first, last = one.days
        if first is None and last is None:
            continue
        told = [one.stop.people, one.stop.methods]
        told += [] if first and last else [_("Only one of its two days is fixed yet.")]
        yield Deadline(
            f"stop-{one.stop.pk}", first or last or date.max, f"{number}. {one.stop.name}",
            "\n".join(filter(None, told)), last, path=_page(check), category=_("Stop"),
            is_busy=True,
        )  # fmt: skip


def _homes(check: PlanCheck) -> Iterator[Deadline]:
    for home in check.loaded.homes:
        days = [
            ("exported", home.exported_on, _("Material leaves: %(way)s")),
            ("imported", home.imported_on, _("Material arrives: %(way)s")),
            ("transferred", home.transferred_on, _("Material changes hands: %(way)s")),
        ]
        for word, text, title in days:
            first, latest = first_day(text), read_event_date(text).latest_day
            if first is None:
                continue
            yield Deadline(
                f"home-{home.pk}-{word}", first, title % {"way": home}, home.carrier,
                date.fromordinal(min(latest, LAST_DAY.toordinal())) if latest else None,
                path=_page(check), category=_("Way home"),
            )  # fmt: skip


def _papers_in_use(check: PlanCheck) -> list[Paper]:
    """Linked to the plan or its stops, or behind what the check says."""
    keys = {used.pk for cell in check.cells.values() for used in cell.papers} | set(attached([check.loaded]))
    return list(Paper.objects.filter(pk__in=keys).order_by("reference")) if keys else []


def _ends(check: PlanCheck, papers: Sequence[Paper]) -> Iterator[Deadline]:
    """The last day of each paper in use: that is for everybody, also of restricted ones."""
    lasts: dict[int, date | None] = {}
    rows = PaperVersion.objects.filter(paper__in=papers).order_by("in_force_from")
    for pk, last in rows.values_list("paper_id", "in_force_to"):
        lasts[pk] = None if last is None or lasts.get(pk, date.min) is None else max(last, lasts.get(pk) or date.min)
    for paper in papers:
        last = lasts.get(paper.pk)
        if last is not None and last >= check.today:
            yield Deadline(
                f"paper-{paper.pk}-end", last, _("Last day of %(paper)s") % {"paper": paper.reference},
                str(paper.get_kind_display()), path=reverse("papers:paper", args=[paper.pk]), category=_("Paper"),
                alarm_days=ALARM_DAYS,
            )  # fmt: skip


_MOST_YEARS = 3


def _reports(check: PlanCheck, papers: Sequence[Paper], conditions: Sequence[Condition]) -> Iterator[Deadline]:
    """Reports that papers ask for each year, from today until the first one after the trip."""
    references = {paper.pk: paper.reference for paper in papers}
    after = max((day for one in check.loaded.stops if (day := _last_day(one))), default=check.today)
    for one in conditions:
        if one.version.paper_id not in references:
            continue
        for day in report_days(one.report_by, check.today, after):
            yield Deadline(
                f"report-{one.pk}-{day.year}", day,
                _("Report due: %(paper)s") % {"paper": references[one.version.paper_id]}, one.text,
                path=reverse("papers:paper", args=[one.version.paper_id]), category=_("Report"), alarm_days=ALARM_DAYS,
            )  # fmt: skip


def _last_day(one: LoadedStop) -> date | None:
    return one.days[1] or one.days[0]


def report_days(month_day: str, today: date, after: date) -> list[date]:
    """The days of ``01-31`` from today to the first one after a day, three at most.

    A day that a year does not have is its last before: 02-29 is the 28th of February in most years.
    """
    month, number = (int(part) for part in month_day.split("-"))
    found: list[date] = []
    for year in range(today.year, max(today, after).year + 2):
        day = date(year, month, min(number, monthrange(year, month)[1]))
        if day >= today:
            found.append(day)
        if day > after and found:
            break
    return found[:_MOST_YEARS]


def _named(stops: Sequence[LoadedStop]) -> str:
    return ", ".join(dict.fromkeys(one.stop.name for one in stops))


def _page(check: PlanCheck) -> str:
    return reverse("plans:plan", args=[check.loaded.plan.pk])
