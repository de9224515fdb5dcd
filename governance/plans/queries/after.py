"""After the trip: an accession held against the plan as it was let go, and which of the differences matter."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from accessions.material.models import Accession, Delivery
from accessions.values import read_count
from governance.engine.answers import YES
from governance.plans.models import FieldPlan
from governance.plans.queries.as_planned import AsPlanned, PlannedStop, as_planned
from governance.plans.queries.event_differences import Apart, Otherwise, nearest, otherwise
from governance.plans.queries.planned_groups import PlannedGroups
from governance.plans.queries.real_events import RealEvent, real_events, rulings_by_delivery, together
from governance.plans.queries.way_home_differences import way_home_differences
from governance.plans.queries.what_matters import Judgement, Rulings, Subject, Weight, rulings_of
from governance.verdicts.queries.pending import pending_touches


@dataclass(frozen=True)
class Difference:
    """Something otherwise than planned, and whether it matters."""

    subject: Subject
    sentence: str
    judgement: Judgement

    @property
    def weight(self) -> Weight:
        return self.judgement.weight


@dataclass(frozen=True)
class EventAfter:
    """A real event and the stop it is nearest to; None where the plan has no stop.

    unknown: what could not be held against the plan, in sentences.
    """

    real: RealEvent
    apart: Apart | None
    differences: tuple[Difference, ...]
    unknown: tuple[Otherwise, ...]

    @property
    def stop(self) -> PlannedStop | None:
        return self.apart.stop if self.apart else None

    @property
    def is_as_planned(self) -> bool:
        return not self.differences and not self.unknown

    @property
    def weight(self) -> Weight | None:
        """That of the weightiest difference; None without any."""
        return max((difference.weight for difference in self.differences), default=None)

    @property
    def is_in_place(self) -> bool:
        """Whether it was at its stop, as far as is known."""
        return self.may_be_in_place and not any(one.subject is Subject.PLACE for one in self.unknown)

    @property
    def may_be_in_place(self) -> bool:
        return not any(one.subject is Subject.PLACE for one in self.differences)


@dataclass(frozen=True)
class StopAfter:
    """A planned stop with the events that are nearest to it. differences: numbers over those expected."""

    planned: PlannedStop
    events: tuple[EventAfter, ...]
    differences: tuple[Difference, ...]

    @property
    def in_place(self) -> int:
        return sum(event.is_in_place for event in self.events)

    @property
    def is_visited(self) -> bool:
        return self.in_place > 0

    @property
    def may_be_visited(self) -> bool:
        """No event is known to have been there, and one may have been."""
        return not self.is_visited and any(event.may_be_in_place for event in self.events)

    @property
    def specimens(self) -> int:
        return sum(event.real.specimens for event in self.events)


@dataclass(frozen=True)
class DeliveryAfter:
    """A delivery whose days are otherwise than planned. unknown: days that are not recorded."""

    delivery: Delivery
    differences: tuple[Difference, ...]
    unknown: tuple[Otherwise, ...]


@dataclass(frozen=True)
class AfterTrip:
    """The comparison. waiting: changes whose verdicts do not stand yet, so that weights may move."""

    planned: AsPlanned
    accession: Accession
    events: tuple[EventAfter, ...]
    stops: tuple[StopAfter, ...]
    deliveries: tuple[DeliveryAfter, ...]
    waiting: int

    @cached_property
    def differences(self) -> tuple[Difference, ...]:
        of_each = [one.differences for one in self.events]
        of_each += [one.differences for one in self.stops] + [one.differences for one in self.deliveries]
        return tuple(difference for differences in of_each for difference in differences)

    @cached_property
    def weights(self) -> Counter[Weight]:
        return Counter(difference.weight for difference in self.differences)

    @property
    def matters(self) -> int:
        return self.weights[Weight.MATTERS]

    @property
    def untold(self) -> int:
        return self.weights[Weight.UNTOLD]

    @property
    def harmless(self) -> int:
        return self.weights[Weight.HARMLESS]

    @property
    def went_as_planned(self) -> int:
        return sum(event.is_as_planned for event in self.events)

    @property
    def not_compared(self) -> int:
        """Events without a known difference of which something cannot be held against the plan."""
        return sum(bool(event.unknown) and not event.differences for event in self.events)

    @property
    def not_visited(self) -> tuple[StopAfter, ...]:
        return tuple(stop for stop in self.stops if not stop.is_visited)


def after_trip(plan: FieldPlan) -> AfterTrip | None:
    """The accession that the plan became, held against it; None while it became none.

    The number of queries does not depend on how many events or specimens there are.
    """
    if plan.accession is None:
        return None
    planned, real = as_planned(plan), real_events(plan.accession)
    groups = PlannedGroups(target.name for stop in planned.stops for target in stop.loaded.targets)
    of_delivery = rulings_by_delivery(plan.accession)
    rulings = rulings_of(key for counts in (*(one.rulings for one in real), *of_delivery.values()) for key in counts)
    events = tuple(_event(one, planned.stops, groups, rulings) for one in real)
    return AfterTrip(
        planned,
        plan.accession,
        events,
        tuple(_stop(stop, events, groups, rulings) for stop in planned.stops),
        tuple(_deliveries(planned, plan.accession, events, rulings, of_delivery)),
        pending_touches(),
    )


def _event(real: RealEvent, stops: Sequence[PlannedStop], groups: PlannedGroups, rulings: Rulings) -> EventAfter:
    apart = nearest(real, stops)
    if apart is None:
        said = [Otherwise(Subject.PLACE, _("the plan has no stop"))]
        return EventAfter(real, None, _judged(said, rulings, real.rulings), ())
    found = otherwise(real, apart, groups)
    return EventAfter(real, apart, _judged(found, rulings, real.rulings), _unknown(found))


def _judged(found: Iterable[Otherwise], rulings: Rulings, of: Mapping[int | None, int]) -> tuple[Difference, ...]:
    known = [one for one in found if one.is_known]
    differences = [
        Difference(one.subject, one.sentence, rulings.judge(one.subject, together(one.of) if one.of else of))
        for one in known
    ]
    return tuple(sorted(differences, key=lambda one: -one.weight))


def _unknown(found: Iterable[Otherwise]) -> tuple[Otherwise, ...]:
    return tuple(one for one in found if not one.is_known)


def _stop(planned: PlannedStop, events: Sequence[EventAfter], groups: PlannedGroups, rulings: Rulings) -> StopAfter:
    own = tuple(event for event in events if event.stop is planned)
    return StopAfter(planned, own, _judged(_numbers(planned, own, groups), rulings, {}))


def _numbers(planned: PlannedStop, events: Sequence[EventAfter], groups: PlannedGroups) -> list[Otherwise]:
    """Groups of which more was recorded than was expected; a number that was not written bounds nothing."""
    found = []
    for target in planned.loaded.targets:
        expected = read_count(count_range=target.expected).high if target.expected.strip() else None
        of_all = [one for event in events for one in event.real.taken]
        of_group = tuple(one for one in of_all if groups.answer(one.name, [target.name]) == YES)
        taken = sum(one.individuals for one in of_group)
        if expected is not None and taken > expected:
            words = _("%(taken)s %(group)s recorded, %(expected)s expected")
            said = words % {"taken": taken, "group": target.name, "expected": target.expected}
            found.append(Otherwise(Subject.NUMBERS, said, of=of_group))
    return found


def _deliveries(
    planned: AsPlanned,
    accession: Accession,
    events: Sequence[EventAfter],
    rulings: Rulings,
    of_delivery: Mapping[int, Mapping[int | None, int]],
) -> Iterable[DeliveryAfter]:
    homes: dict[int, set[int]] = defaultdict(set)
    for event in events:
        if event.stop and event.stop.loaded.home:
            for key in event.real.deliveries:
                homes[key].add(event.stop.loaded.home.pk)
    for delivery in accession.deliveries.all():
        own = [home for home in planned.homes if home.pk in homes[delivery.pk]] or planned.homes
        found = way_home_differences(delivery, own)
        if found:
            judged = _judged(found, rulings, of_delivery.get(delivery.pk, {}))
            yield DeliveryAfter(delivery, judged, _unknown(found))
