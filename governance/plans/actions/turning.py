"""A plan that was followed becomes an accession: parts, events, paper links, decisions and deliveries in one step."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, override

from accessions.material.actions.accessions import create_accession, create_delivery, create_part
from accessions.material.events import place_events
from accessions.material.models import Accession, Part
from accessions.material.reading import event_digest
from accessions.people.access import Verb, check, may
from accessions.people.history import record
from accessions.values import read_event_date
from governance.engine.tables import Layer
from governance.papers.actions.linking import Targets, link
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import Consignment, FieldPlan, PlanDecision
from governance.plans.queries.turning import PlannedEvent, Turning, decision_words, turning
from governance.verdicts.actions.layer_decisions import DecisionError, decide


@dataclass(frozen=True)
class Turned:
    """What was made. left: what was not carried over, in words."""

    accession: Accession
    parts: int
    events: int
    links: int
    decisions: int
    deliveries: int
    left: tuple[str, ...]


def turn_into_accession(
    *, plan: FieldPlan, number: str, title: str, received_on: date | None, by: Any, why: str, seen: int | None = None,
    take_stops: Collection[int] | None = None, homes_as_planned: Collection[int] = (), with_events: bool = True,
) -> Turned:  # fmt: skip
    """Make an accession of a plan, and hold the plan against it from then on.

    Args:
        take_stops: keys of the stops that were visited; None: all.
        homes_as_planned: keys of the ways home whose planned days are the days on which it happened. The days of the
            others stay open in their deliveries: what was meant is no fact.
        with_events: whether the planned events are written too. No specimen points at them.

    Raises:
        NotAllowedError: the person may not plan trips, enter facts and link papers; all three are needed.
        PlanError: the plan is closed, became an accession, changed since ``seen``, or has no stop that was visited.
        ValidationError: the number of the accession is taken, or a value may not be so.
    """
    for verb in (Verb.PLAN_TRIPS, Verb.ENTER_FACTS, Verb.LINK_PAPERS):
        check(by, verb)
    with transaction.atomic():
        current = locked(plan, seen)
        found = turning(current, take_stops)
        _refuse_strangers(found, take_stops, homes_as_planned)
        accession = create_accession(
            by=by, why=why, number=number, title=title, received_on=received_on, kind=Accession.Kind.FIELD,
            description=gettext_noop("Field plan %(plan)s") % {"plan": current.reference},
        )  # fmt: skip
        parts = _make_parts(found, accession, by=by, why=why)
        turned = Turned(
            accession=accession,
            parts=len(parts),
            events=_make_events(found.events, by=by, why=why) if with_events else 0,
            links=_link_papers(found, accession, parts, by=by, why=why),
            decisions=_carry_decisions(found, accession, parts, by=by),
            deliveries=_make_deliveries(found, accession, homes_as_planned, by=by, why=why),
            left=tuple(found.left_behind(by)),
        )
        _join(current, accession, by=by, why=why)
    return turned


def join_accession(*, plan: FieldPlan, accession: Accession, by: Any, why: str, seen: int | None = None) -> FieldPlan:
    """Hold a plan against an accession that is there already. Nothing is made and no paper is linked.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed, became an accession or changed since ``seen``; another plan has this accession.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(plan, seen)
        _join(current, accession, by=by, why=why)
    return current


def _join(plan: FieldPlan, accession: Accession, *, by: Any, why: str) -> None:
    Accession.objects.select_for_update().get(pk=accession.pk)  # two plans for one accession: one person at a time
    other = FieldPlan.objects.filter(accession=accession).exclude(pk=plan.pk).first()
    if other is not None:
        raise PlanError(
            _("%(accession)s is held against the plan %(plan)s already.")
            % {"accession": accession.number, "plan": other.reference}
        )
    plan.accession = accession
    try:
        with transaction.atomic():
            record(plan, by=by, why=why, fields=["accession"])
    except IntegrityError:
        raise PlanError(_("Another plan was held against this accession meanwhile.")) from None
    keep_version(plan, by=by, why=why)


def _refuse_strangers(found: Turning, take_stops: Collection[int] | None, homes: Collection[int]) -> None:
    known = {one.stop.pk for one in (*found.stops, *found.not_visited)}
    if not known:
        raise PlanError(_("This plan has no stop. Enter the accession by hand, then choose it here."))
    if not set(take_stops or ()) <= known or not set(homes) <= {home.pk for home in found.homes}:
        raise PlanError(_("A stop or a way home is not of this plan, or of no stop that was visited. Choose again."))
    if not found.stops:
        raise PlanError(_("Keep at least one stop: the parts of the accession are the stops that were visited."))


def _make_parts(found: Turning, accession: Accession, *, by: Any, why: str) -> dict[int, Part]:
    """By stop its part."""
    return {
        one.stop.pk: create_part(accession, by=by, why=why, letter=one.letter, title=one.stop.name)
        for one in found.stops
    }


def _make_events(events: Collection[PlannedEvent], *, by: Any, why: str) -> int:
    """Written as statements are, each once. No mark for verdicts: no specimen points at them."""
    written = {event_digest(dict(event.cells)): event for event in events}
    _keys, made = place_events(
        {digest: dict(event.cells) for digest, event in written.items()},
        {digest: event.site for digest, event in written.items()},
        by=by,
        why=why,
    )
    return made


def _link_papers(found: Turning, accession: Accession, parts: dict[int, Part], *, by: Any, why: str) -> int:
    """A paper of the whole plan is linked to the accession, one of a stop to its part."""
    papers = {row.paper_id: row.paper for row in found.all_papers}
    return sum(
        link(
            paper=paper,
            targets=Targets(
                accessions=[accession.pk for row in found.papers if row.paper_id == key],
                parts=[parts[row.stop_id].pk for row in found.all_papers if row.stop_id and row.paper_id == key],
            ),
            by=by,
            why=why,
        )
        for key, paper in papers.items()
    )


def _carry_decisions(found: Turning, accession: Accession, parts: dict[int, Part], *, by: Any) -> int:
    """Decided anew by whoever may decide; who decided for the plan, and when, stays in the evidence."""
    if not may(by, Verb.DECIDE):
        return 0
    for row in found.all_decisions:
        try:
            decide(
                accession=accession, part=parts[row.stop_id] if row.stop_id else None, layer=Layer(row.layer),
                reason=row.reason, evidence=_evidence(found.plan, row), by=by,
            )  # fmt: skip
        except DecisionError as problem:
            raise PlanError(f"{decision_words(row)}: {problem}") from None
    return len(found.all_decisions)


def _evidence(plan: FieldPlan, row: PlanDecision) -> str:
    with override(settings.LANGUAGE_CODE):  # it is kept
        day = date_format(row.decided_at, "j F Y")
    words = gettext_noop("Decided for the field plan %(plan)s by %(person)s on %(day)s.") % {
        "plan": plan.reference, "person": row.decided_by.shown_name, "day": day,
    }  # fmt: skip
    return f"{row.evidence.rstrip('. ')}. {words}"


def _make_deliveries(found: Turning, accession: Accession, as_planned: Collection[int], *, by: Any, why: str) -> int:
    for number, home in enumerate(found.homes, start=1):
        days = _days(home) if home.pk in as_planned else {}
        create_delivery(accession, by=by, why=why, number=number, remarks=_remarks(found.plan, home), **days)
    return len(found.homes)


def _days(home: Consignment) -> dict[str, str]:
    """The planned days as facts.

    Raises:
        PlanError: one of them lies ahead.
    """
    days = {name: getattr(home, name) for name in ("exported_on", "imported_on", "transferred_on")}
    today = timezone.localdate().toordinal()
    ahead = [text for text in days.values() if (day := read_event_date(text).latest_day) and day > today]
    if ahead:
        raise PlanError(
            _("%(home)s: %(day)s lies ahead, so nobody knows yet that it went as planned. Leave its days open.")
            % {"home": home, "day": ahead[0]}
        )
    return days


def _remarks(plan: FieldPlan, home: Consignment) -> str:
    words = [gettext_noop("Planned in %(plan)s: %(home)s") % {"plan": plan.reference, "home": home}]
    for text, said in (
        (home.carrier, gettext_noop("carrier %(text)s")),
        (home.exported_on, gettext_noop("leaves the country on %(text)s")),
        (home.imported_on, gettext_noop("arrives on %(text)s")),
        (home.transferred_on, gettext_noop("changes hands on %(text)s")),
    ):
        if text:
            words.append(said % {"text": text})
    return f"{', '.join(words)}."


def leave_accession(*, plan: FieldPlan, by: Any, why: str) -> FieldPlan:
    """Hold the plan against no accession again: it was the wrong one. The accession keeps all that it has.

    The plan is then open as before, and counts under the limits of papers again.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: no reason is given, or the plan has no accession.
    """
    check(by, Verb.PLAN_TRIPS)
    why = " ".join(why.split())
    if not why:
        raise PlanError(_("Say why the plan is no longer held against its accession."))
    with transaction.atomic():
        current = FieldPlan.objects.select_for_update().get(pk=plan.pk)
        if current.accession_id is None:
            raise PlanError(_("This plan is held against no accession."))
        current.accession = None
        record(current, by=by, why=why, fields=["accession"])
        keep_version(current, by=by, why=why)
    return current
