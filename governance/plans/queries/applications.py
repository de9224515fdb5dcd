"""Applications as checklists: what is to be done next for each, by when, and whether that day has passed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from accessions.people.access import Verb, roles_that_may
from accessions.people.models import User
from governance.engine.tables import Layer
from governance.plans.models import Application, ApplicationScan, ApplicationStop, FieldPlan, Stop
from governance.plans.queries.check import CheckedCell, Need, PlanCheck, merged
from governance.scans.models import Scan, ScanMark
from governance.scans.queries.listing import WantedScans, scan_rows
from governance.scans.queries.visible import may_open

State = Application.State

OPEN_STATES: Final = (State.TO_ASK, State.ASKED, State.PROMISED)
"""Without an answer yet."""

_IS_OPEN = Q(granted_on__isnull=True, refused_on__isnull=True, dropped_on__isnull=True)
_OF_STATE: Final = {
    State.TO_ASK: _IS_OPEN & Q(asked_on__isnull=True),
    State.ASKED: _IS_OPEN & Q(asked_on__isnull=False, promised_on__isnull=True),
    State.PROMISED: _IS_OPEN & Q(promised_on__isnull=False),
    State.GRANTED: Q(granted_on__isnull=False),
    State.REFUSED: Q(refused_on__isnull=False),
    State.DROPPED: Q(dropped_on__isnull=False),
}

OPEN_PLAN = Q(closed_at__isnull=True, accession__isnull=True)
"""Of plans: they may still be changed."""


def is_open() -> Q:
    """Applications without an answer yet."""
    return _IS_OPEN


def late(today: date) -> Q:
    """Open applications whose day has passed: to be asked for by then, or promised for then."""
    return _IS_OPEN & (Q(asked_on__isnull=True, start_by__lt=today) | Q(promised_on__lt=today))


@dataclass(frozen=True)
class Wanted:
    """What a list is narrowed to; blank: not at all. state: a word of ``Application.State``, or ``open``.

    person: key of who asks; 0 for nobody.
    """

    state: str = "open"
    person: int | None = None
    layer: Layer | None = None
    country: str = ""
    is_late: bool = False
    sort: str = "next"


@dataclass(frozen=True)
class Line:
    """An application on a checklist.

    next_on: by when to ask, or for when the answer was promised; None where no such day is known. need: what the check
    says of its cells, None where nothing is lacking or nobody checked.
    """

    application: Application
    today: date
    stops: tuple[str, ...]
    need: Need | None = None

    @property
    def is_open(self) -> bool:
        return self.application.state in OPEN_STATES

    @property
    def next_on(self) -> date | None:
        one = self.application
        start_by = one.start_by or (self.need.start_by if self.need else None)
        return {State.TO_ASK: start_by, State.PROMISED: one.promised_on}.get(one.state)

    @property
    def is_late(self) -> bool:
        return self.next_on is not None and self.next_on < self.today

    @property
    def days(self) -> int | None:
        """Days until ``next_on``, below zero where it has passed."""
        return (self.next_on - self.today).days if self.next_on else None

    @property
    def steps(self) -> tuple[str, ...]:
        """Words of the steps that can come next."""
        return steps_of(self.application)

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return self.application.plan.is_open and self.application.state != State.TO_ASK

    def concerns(self, need: Need) -> bool:
        """Whether it is for the layer of a need, and for one of its stops."""
        one = self.application
        if one.layer not in need.layers:
            return False
        named = {at.stop_id for at in one.application_stops.all()}
        return one.all_stops or any(stop.stop.pk in named for stop in need.stops)

    @property
    def lost_its_stops(self) -> bool:
        """It was for some stops, and none of them is in the plan any more."""
        return not self.application.all_stops and not self.stops

    @property
    def start_differs(self) -> bool:
        """The check now says another day to start by than the one that was written down."""
        one, need = self.application, self.need
        return bool(
            one.state == State.TO_ASK and need and need.start_by and one.start_by and need.start_by != one.start_by
        )


_SORTS: Final[dict[str, Callable[[Line], Any]]] = {
    "next": lambda line: (not line.is_open, line.next_on or date.max),
    "plan": lambda line: line.application.plan.reference,
    "layer": lambda line: line.application.layer,
    "authority": lambda line: line.application.authority.casefold(),
    "person": lambda line: line.application.assignee.shown_name.casefold() if line.application.assignee else "",
    "state": lambda line: State.values.index(line.application.state),
}
SORTS: Final = tuple(_SORTS)


def application_lines(wanted: Wanted, today: date) -> list[Line]:
    """Applications of all plans that fit, in order; what must be done first comes first. Two queries."""
    rows = _with_what_is_shown(_narrowed(wanted, today))
    lines = [line_of(one, today) for one in rows]
    key = wanted.sort.removeprefix("-")
    lines.sort(key=_SORTS["next"])
    return sorted(lines, key=_SORTS.get(key, _SORTS["next"]), reverse=wanted.sort.startswith("-"))


def _narrowed(wanted: Wanted, today: date) -> QuerySet[Application]:
    rows = Application.objects.all()
    if wanted.state == "open":
        rows = rows.filter(_IS_OPEN)
    elif wanted.state:
        rows = rows.filter(_OF_STATE[State(wanted.state)])
    if wanted.person is not None:
        rows = rows.filter(assignee=wanted.person or None)
    if wanted.layer is not None:
        rows = rows.filter(layer=wanted.layer)
    if wanted.country:
        rows = rows.filter(_in_country(wanted.country))
    return rows.filter(late(today)) if wanted.is_late else rows


def _in_country(country: str) -> Q:
    """One of the stops that it is for is in the country, by itself or by its site."""
    here = Q(country=country) | Q(country="", site__country=country)
    of_plan = Stop.objects.filter(here, plan=OuterRef("plan"))
    named = ApplicationStop.objects.filter(application=OuterRef("pk"), stop__in=Stop.objects.filter(here).values("pk"))
    return Q(Exists(of_plan), all_stops=True) | Q(Exists(named))


def _with_what_is_shown(rows: QuerySet[Application]) -> QuerySet[Application]:
    shown = rows.select_related("plan", "assignee", "paper").prefetch_related("application_stops__stop")
    return shown.order_by("plan", "layer", "pk")


def line_of(application: Application, today: date, check: PlanCheck | None = None) -> Line:
    """One line; reads ``application_stops__stop``, which lists prefetch."""
    stops = [one.stop for one in application.application_stops.all()]
    keys = None if application.all_stops else {stop.pk for stop in stops}
    names = tuple(stop.name for stop in sorted(stops, key=lambda stop: (stop.position, stop.pk)))
    return Line(application, today, names, need_of(check, Layer(application.layer), keys) if check else None)


def applications_of(check: PlanCheck) -> list[Line]:
    """The checklist of one plan, with what its check says of each. Two queries."""
    rows = _with_what_is_shown(Application.objects.filter(plan=check.loaded.plan))
    return sorted((line_of(one, check.today, check) for one in rows), key=_SORTS["next"])


def asked_already(plan: FieldPlan, layer: Layer, stops: set[int]) -> list[Application]:
    """Open applications for the layer that are for one of these stops; no stops: for any. Two queries."""
    rows = _with_what_is_shown(Application.objects.filter(plan=plan, layer=int(layer)))
    return [
        one for one in rows
        if one.state in OPEN_STATES
        and (one.all_stops or not stops or any(at.stop_id in stops for at in one.application_stops.all()))
    ]  # fmt: skip


def needs_not_asked(check: PlanCheck, lines: Iterable[Line]) -> list[Need]:
    """What of the needs of the check has no open application on the checklist: those stops alone."""
    waiting = [line for line in lines if line.is_open]
    left = [[part for part in need.parts if not is_asked_for(part, waiting)] for need in check.needs]
    return [merged(parts) for parts in left if parts]


def is_asked_for(need: Need, lines: Iterable[Line]) -> bool:
    """Whether applications for the layer of a part are among these, together for all of its stops."""
    mine = [line.application for line in lines if line.application.layer == need.layer]
    named = {one.stop_id for application in mine for one in application.application_stops.all()}
    return any(one.all_stops for one in mine) or {one.stop.pk for one in need.stops} <= named


def need_of(check: PlanCheck, layer: Layer, stops: set[int] | None) -> Need | None:
    """What is to be settled of this layer at these stops (None: any)."""
    parts = [
        part
        for need in check.needs
        for part in need.parts
        if part.layer == layer and (stops is None or part.stops[0].stop.pk in stops)
    ]
    return merged(parts) if parts else None


def cells_of(check: PlanCheck, application: Application) -> list[CheckedCell]:
    """The cells that it is for, in the order of the stops."""
    keys = {one.stop_id for one in application.application_stops.all()}
    return [
        check.cells[one.stop.pk, Layer(application.layer)]
        for one in check.loaded.stops
        if application.all_stops or one.stop.pk in keys
    ]


def planners(also: User | None = None) -> list[User]:
    """Whom an application can be given to, by name; also: who has it now."""
    fits = Q(is_active=True, role__in=roles_that_may(Verb.PLAN_TRIPS)) | Q(pk=also.pk if also else 0)
    return sorted(User.objects.filter(fits), key=lambda user: user.shown_name.casefold())


def people_asking() -> list[User]:
    """Who has applications now, by name."""
    found = User.objects.filter(applications__isnull=False).distinct()
    return sorted(found, key=lambda user: user.shown_name.casefold())


def countries_of_plans() -> list[str]:
    """Codes of the countries of all stops."""
    own = Stop.objects.exclude(country="").order_by().values_list("country", flat=True).distinct()
    by_site = Stop.objects.filter(country="").order_by().values_list("site__country", flat=True).distinct()
    return sorted({code for code in (*own, *by_site) if code})


@dataclass(frozen=True)
class KeptFile:
    """A file of an application, and whether the reader may open it."""

    attached: ApplicationScan
    is_open: bool


def files_of(application: Application, reader: Any) -> list[KeptFile]:
    """The files of an application. Two queries."""
    marks = ScanMark.objects.filter(withdrawn_at__isnull=True).select_related("other", "marked_by").order_by("pk")
    rows = application.application_scans.select_related("scan", "added_by").prefetch_related(
        Prefetch("scan__marks", marks, to_attr="standing_marks")
    )
    return [KeptFile(one, may_open(reader, one.scan)) for one in rows]


_MOST_SCANS = 30


def scans_named(text: str, application: Application, reader: Any) -> list[Scan]:
    """Scans of the register whose name holds the text, that the reader may open and that are not here yet."""
    rows = scan_rows(WantedScans(text=text), reader).exclude(application_scans__application=application)
    return list(rows[:_MOST_SCANS])


_STEPS: Final = {
    State.TO_ASK: ("ask", "grant", "give-up"),
    State.ASKED: ("promise", "grant", "refuse", "give-up"),
    State.PROMISED: ("grant", "promise", "refuse", "give-up"),
}


def steps_of(application: Application) -> tuple[str, ...]:
    """Words of the steps that can come next, the usual one first; none after the answer, or when the plan is over."""
    return _STEPS.get(application.state, ()) if application.plan.is_open else ()
