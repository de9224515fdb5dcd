"""One event held against one planned stop: what is otherwise than planned, and what cannot be compared.

What the plan left open is no difference. Nothing here says whether a difference matters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import SamplingEvent
from governance.engine.answers import NO, UNKNOWN
from governance.engine.people import NamedPeople, read_person
from governance.engine.tables import Assistants
from governance.papers.measures import distance
from governance.plans.queries.as_planned import PlannedStop
from governance.plans.queries.planned_groups import PlannedGroups
from governance.plans.queries.real_events import RealEvent, Taken
from governance.plans.queries.what_matters import Subject
from governance.verdicts.shown_days import short_day


@dataclass(frozen=True)
class Otherwise:
    """One thing otherwise than planned; is_known False: it cannot be compared, for the reason of the sentence.

    of: the names that it is about; none: all that was taken.
    """

    subject: Subject
    sentence: str
    is_known: bool = True
    of: tuple[Taken, ...] = ()


@dataclass(frozen=True)
class Apart:
    """How far an event is from a stop.

    at: the statement that is farthest beyond what is known of its position. apart_m: from there to the planned ground;
    None: not known. of_site: both name one site.
    """

    stop: PlannedStop
    at: SamplingEvent
    apart_m: float | None
    of_site: bool
    other_site: bool
    days: int

    @property
    def order(self) -> tuple[bool, float, int, int]:
        """Nearest first: of the site, by place as far as it is known, by days, in the order of the plan."""
        beyond = float("inf") if self.apart_m is None else max(0.0, self.apart_m - (self.at.radius_m or 0.0))
        return not self.of_site, beyond, self.days, self.stop.number


def nearest(real: RealEvent, stops: Sequence[PlannedStop]) -> Apart | None:
    """The planned stop that is nearest to an event; None where the plan has none."""
    return min((_apart(real, stop) for stop in stops), key=lambda one: one.order, default=None)


def _apart(real: RealEvent, stop: PlannedStop) -> Apart:
    measured = [(_distance_m(event, stop), event) for event in real.statements]
    apart_m, at = max(measured, key=lambda one: -1.0 if one[0] is None else one[0] - (one[1].radius_m or 0.0))
    both = at.site_id is not None and stop.stop.site_id is not None
    same = both and at.site_id == stop.stop.site_id
    return Apart(stop, at, apart_m, same, both and not same, _days_apart(at, *stop.period_of(real.methods)))


def _distance_m(event: SamplingEvent, stop: PlannedStop) -> float | None:
    if event.longitude_deg is None or event.latitude_deg is None:
        return None
    return stop.distance_m(event.longitude_deg, event.latitude_deg)


def _days_apart(event: SamplingEvent, first: date | None, last: date | None) -> int:
    """Days between the event and the planned period; 0 where they meet, or one of them is not known."""
    if event.earliest_on is None or event.latest_on is None:
        return 0
    before = (first - event.latest_on).days if first else 0
    after = (event.earliest_on - last).days if last else 0
    return max(before, after, 0)


def otherwise(real: RealEvent, apart: Apart, groups: PlannedGroups) -> list[Otherwise]:
    """All that is otherwise than the stop was planned, in the order of the subjects."""
    stop = apart.stop
    return [*_place(apart), *_days(real, stop), *_people(real, stop), *_methods(real, stop),
            *_groups(real, stop, groups)]  # fmt: skip


def _place(apart: Apart) -> Iterator[Otherwise]:
    event, name = apart.at, apart.stop.name
    if apart.apart_m is None:
        if apart.other_site:
            elsewhere = _("at %(site)s, the nearest stop is %(stop)s")
            yield Otherwise(Subject.PLACE, elsewhere % {"site": event.site, "stop": name})
        elif not apart.of_site:
            yield Otherwise(Subject.PLACE, _why_no_distance(event, apart), is_known=False)
        return
    if apart.apart_m == 0:
        return
    words = {"distance": distance(apart.apart_m), "stop": name, "known": _known_to(event)}
    if event.radius_m is not None and apart.apart_m <= event.radius_m:
        said = _("%(distance)s from the planned ground of %(stop)s or within it; %(known)s")
        yield Otherwise(Subject.PLACE, said % words, is_known=False)
        return
    yield Otherwise(Subject.PLACE, _("%(distance)s from the planned ground of %(stop)s; %(known)s") % words)


def _why_no_distance(event: SamplingEvent, apart: Apart) -> str:
    if event.longitude_deg is None:
        return _("the record states no position; held against %(stop)s by its days") % {"stop": apart.stop.name}
    return _("%(stop)s had no place on the plan") % {"stop": apart.stop.name}


def _known_to(event: SamplingEvent) -> str:
    if event.radius_m is None:
        return _("how well the position is known is not recorded")
    return _("position known to ±%(radius)s") % {"radius": distance(event.radius_m)}


def _days(real: RealEvent, stop: PlannedStop) -> Iterator[Otherwise]:
    event, (first, last) = real.event, stop.period_of(real.methods)
    if first is None and last is None:
        return
    if event.earliest_on is None or event.latest_on is None:
        yield Otherwise(Subject.DAYS, _("the days of the event are not known"), is_known=False)
        return
    # of a run every day is meant, of a vague date one of them
    certain = event.reading == SamplingEvent.Reading.RUN
    if first and event.earliest_on < first:
        early = (first - event.earliest_on).days
        words = ngettext(
            "%(n)s day before the first planned day, %(day)s", "%(n)s days before the first planned day, %(day)s", early
        )
        known = certain or event.latest_on < first
        yield Otherwise(Subject.DAYS, _perhaps(words % {"n": early, "day": short_day(first)}, known), known)
    if last and event.latest_on > last:
        late = (event.latest_on - last).days
        words = ngettext(
            "%(n)s day after the last planned day, %(day)s", "%(n)s days after the last planned day, %(day)s", late
        )
        known = certain or event.earliest_on > last
        yield Otherwise(Subject.DAYS, _perhaps(words % {"n": late, "day": short_day(last)}, known), known)


def _perhaps(sentence: str, known: bool) -> str:
    return sentence if known else _("the date is vague: perhaps up to %(sentence)s") % {"sentence": sentence}


def _people(real: RealEvent, stop: PlannedStop) -> Iterator[Otherwise]:
    """Names are held against each other as those of a record and a paper are."""
    if not stop.people:
        return
    if not real.people:
        yield Otherwise(Subject.PEOPLE, _("no collector is recorded"), is_known=False)
        return
    planned = NamedPeople(tuple(read_person(name) for name in stop.people), Assistants.NOT_ALLOWED)
    standing = {name: planned.standing(name) for name in real.people}
    strangers = [name for name, answer in standing.items() if answer == NO]
    if strangers:
        yield Otherwise(Subject.PEOPLE, _("not planned: %(names)s") % {"names": ", ".join(strangers)})
    perhaps = [name for name, answer in standing.items() if answer == UNKNOWN]
    if perhaps:
        words = _("initials do not tell whether planned: %(names)s") % {"names": ", ".join(perhaps)}
        yield Otherwise(Subject.PEOPLE, words, is_known=False)


def _methods(real: RealEvent, stop: PlannedStop) -> Iterator[Otherwise]:
    if not stop.methods:
        return
    if not real.methods:
        yield Otherwise(Subject.METHODS, _("no method is recorded"), is_known=False)
        return
    planned = {method.casefold() for method in stop.methods}
    others = [method for method in real.methods if method.casefold() not in planned]
    if others:
        yield Otherwise(Subject.METHODS, _("not planned: %(methods)s") % {"methods": ", ".join(others)})


_MOST_NAMES = 5


def _groups(real: RealEvent, stop: PlannedStop, groups: PlannedGroups) -> Iterator[Otherwise]:
    targets = [target.name for target in stop.loaded.targets]
    if not targets:
        return
    answers = [(one, groups.answer(one.name, targets)) for one in real.taken]
    strangers = tuple(one for one, answer in answers if answer == NO)
    if strangers:
        yield Otherwise(Subject.GROUPS, _("not planned: %(names)s") % {"names": _some(strangers)}, of=strangers)
    perhaps = tuple(one for one, answer in answers if answer == UNKNOWN)
    if perhaps:
        words = _("the classification does not tell whether planned: %(names)s") % {"names": _some(perhaps)}
        yield Otherwise(Subject.GROUPS, words, is_known=False)


def _some(taken: Sequence[Taken]) -> str:
    names = list(dict.fromkeys(one.name.shown or _("without a name") for one in taken))
    shown = ", ".join(names[:_MOST_NAMES])
    rest = len(names) - _MOST_NAMES
    return shown if rest <= 0 else _("%(names)s and %(n)s more") % {"names": shown, "n": rest}
