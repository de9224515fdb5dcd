"""What pages read of people and agents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count, F, Model, Prefetch, Q, QuerySet
from django.db.models.fields.reverse_related import ForeignObjectRel
from django.utils.translation import gettext_lazy as _

from accessions.people.access import rows_open_to
from accessions.people.models import Agent, AgentName, Role, SignInFailure, User
from accessions.people.name_keys import fold_name
from accessions.values.people import split_people

PEOPLE_ORDERS = {
    "name": ("last_name", "first_name", "username"),
    "role": ("role", "last_name", "username"),
    "seen": (F("last_login").desc(nulls_last=True), "username"),
}
"""Orders of the list of people; the first is the usual one."""

AGENT_ORDERS = {"name": ("name", "pk"), "-name": ("-name", "pk"), "kind": ("kind", "name", "pk"), "new": ("-pk",)}
"""Orders of the list of agents; the first is the usual one."""

FAILURES_ALLOWED = 5
"""Wrong passwords for one name before it has to wait."""

WAIT = timedelta(minutes=15)
"""Within what time that many failures make a name wait, and for how long after the last of them."""

HEADINGS = {
    "accessions": _("Accessions from this source"),
    "tenures": _("Sites owned or occupied"),
    "issued_papers": _("Papers given"),
    "named_on": _("Named on papers"),
}
"""Headings for what names an agent, by relation; a relation without one is headed by what its rows are."""

_STEPS_UP = 2

MENTIONS_SHOWN = 50
"""Rows of each kind that an agent's page lists; the count beside them is whole."""


def people(*, role: str = "", state: str = "", order: str = "name") -> QuerySet[User]:
    """People who sign in. role: one of ``Role`` or "" for all. state: "active", "deactivated" or ""."""
    found = User.objects.select_related("agent").order_by(*PEOPLE_ORDERS.get(order, PEOPLE_ORDERS["name"]))
    if role:
        found = found.filter(role=role)
    if state:
        found = found.filter(is_active=state == "active")
    return found


def active_administrators() -> QuerySet[User]:
    """Those who can still let people in."""
    return User.objects.filter(role=Role.ADMINISTRATOR, is_active=True)


def waiting_until(name: str, now: datetime) -> datetime | None:
    """Until when no sign-in is tried for a name as typed; None if it need not wait.

    The newest failures that are allowed lie within ``WAIT`` of each other, and the last of them is not that long ago.
    """
    failures = SignInFailure.objects.filter(name_key=sign_in_key(name)).order_by("-failed_at")
    times = list(failures.values_list("failed_at", flat=True)[:FAILURES_ALLOWED])
    if len(times) < FAILURES_ALLOWED or times[0] - times[-1] >= WAIT:
        return None
    until: datetime = times[0] + WAIT
    return until if now < until else None


def sign_in_key(name: str) -> str:
    """The name as typed, folded: "Nora " and "nora" wait together."""
    return name.strip().casefold()[:150]


def agents(*, text: str = "", kind: str = "", order: str = "name") -> QuerySet[Agent]:
    """Agents with their forms. text: part of any form of the name, folded. kind: one of ``Agent.Kind`` or ""."""
    found = Agent.objects.order_by(*AGENT_ORDERS.get(order, AGENT_ORDERS["name"]))
    if kind:
        found = found.filter(kind=kind)
    if text.strip():
        forms = AgentName.objects.filter(key__contains=fold_name(text)) if fold_name(text) else AgentName.objects.none()
        found = found.filter(Q(pk__in=forms.values("agent")) | Q(name__icontains=text.strip()))
    return found.prefetch_related(Prefetch("names", AgentName.objects.order_by("form"), "forms"))


AGENT_COLUMNS = ("name", "kind", "forms", "contact", "remarks")
"""Columns of the file of agents. forms: joined by space, bar, space, as Darwin Core recommends for lists."""


def agent_rows(found: QuerySet[Agent]) -> Iterator[tuple[str, ...]]:
    """The rows of the file, for agents as ``agents`` gives them."""
    for agent in found:
        forms = " | ".join(form.form for form in agent.forms)  # type: ignore[attr-defined]  # loaded by ``agents``
        yield agent.name, agent.kind, forms, agent.contact, agent.remarks


def agents_named(text: str) -> QuerySet[Agent]:
    """The agents that a recordedBy cell may mean: those of whom a form of the name equals one of its people.

    Two agents of one name are both found; who was meant is not for the register to guess.
    """
    keys = {key for person in split_people(text) if (key := fold_name(person))}
    return Agent.objects.filter(pk__in=AgentName.objects.filter(key__in=keys).values("agent")).order_by("name", "pk")


def namesakes(agent: Agent) -> QuerySet[Agent]:
    """Other agents who share a form of the name: perhaps the same, entered twice."""
    keys = AgentName.objects.filter(agent=agent).values("key")
    return Agent.objects.filter(names__key__in=keys).exclude(pk=agent.pk).distinct().order_by("name", "pk")


@dataclass(frozen=True)
class Mention:
    """What names an agent in one way: ``relation`` says which, such as "accessions" or "tenures"."""

    relation: str
    heading: str
    count: int
    rows: list[Model]

    @property
    def more(self) -> int:
        """How many rows are not listed."""
        return self.count - len(self.rows)

    @property
    def templates(self) -> list[str]:
        """The partial that draws the rows; a relation without one of its own is drawn plainly."""
        return [f"people/_mentions/{self.relation}.html", "people/_mentions/plain.html"]


def mentions(agent: Agent, reader: Any) -> list[Mention]:
    """Everything recorded that names the agent, kind by kind; kinds without rows are left out.

    It follows the foreign keys that point at ``Agent``, so that a room above comes in without this room knowing it.
    Rows that are restricted, or hang on something that is, are for those to whom it is open: not counted for others.
    """
    return [found for relation in _relations() if (found := _mention(agent, relation, reader)) is not None]


def _relations() -> Iterator[ForeignObjectRel]:
    own = {AgentName, User}
    for relation in Agent._meta.related_objects:
        if relation.related_model not in own and not relation.hidden:
            yield relation


def _mention(agent: Agent, relation: ForeignObjectRel, reader: Any) -> Mention | None:
    name = relation.get_accessor_name()
    if name is None:
        return None
    rows: QuerySet[Model] = _open_rows(getattr(agent, name).all(), reader)
    count = rows.count()
    if not count:
        return None
    shown = list(_with_owners(rows)[:MENTIONS_SHOWN])
    return Mention(name, str(HEADINGS.get(name, rows.model._meta.verbose_name_plural)), count, shown)


def _open_rows(rows: QuerySet[Model], reader: Any) -> QuerySet[Model]:
    for column in _columns_of_restriction(rows.model):
        rows = rows_open_to(rows, reader, column)
    return rows


def _columns_of_restriction(model: Any, path: str = "") -> Iterator[str]:
    """Columns ``restricted_to`` of a row and of what it hangs on, two steps up: version, paper."""
    for field in model._meta.concrete_fields:
        if field.name == "restricted_to":
            yield f"{path}restricted_to"
        elif field.many_to_one and not field.null and path.count("__") < _STEPS_UP:
            yield from _columns_of_restriction(field.related_model, f"{path}{field.name}__")


def _with_owners(rows: QuerySet[Model]) -> QuerySet[Model]:
    """The rows with what they hang on (a tenure's site, a named person's version and paper), to be named beside."""
    paths = [
        path
        for field in rows.model._meta.concrete_fields
        if field.many_to_one and not field.null
        for path in [field.name, *(f"{field.name}__{above}" for above in _needed(field.related_model))]
    ]
    return rows.select_related(*paths) if paths else rows


def _needed(model: Any) -> list[str]:
    return [field.name for field in model._meta.concrete_fields if field.many_to_one and not field.null]


@dataclass(frozen=True)
class PeopleCounts:
    """How many may sign in, how many of them let others in, how many were shut out."""

    active: int
    administrators: int
    deactivated: int


def people_counts() -> PeopleCounts:
    """The numbers that the list of people starts with."""
    found = User.objects.aggregate(
        active=Count("pk", filter=Q(is_active=True)),
        administrators=Count("pk", filter=Q(is_active=True, role=Role.ADMINISTRATOR)),
        deactivated=Count("pk", filter=Q(is_active=False)),
    )
    return PeopleCounts(**found)
