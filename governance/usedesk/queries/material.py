"""Whose material is asked about: a specimen, an accession, a site, a landowner, a recipient, a country.

What was taken from material, and what was pooled of it, belongs to it, wherever that is kept: an extract that was
sequenced is a use of the specimen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final

from django.db import connection
from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils.functional import cached_property

from accessions.material.models import Accession, PoolMember, SamplingEvent, Specimen
from accessions.people.bulk import among as among  # asked of many rooms by this name
from accessions.people.models import Agent
from accessions.sites.models import Site, SiteTenure
from governance.usedesk.models import RequestItem, UseItem
from governance.usedesk.queries.by_keys import rows_by_keys

Where = Callable[[str], Q]
"""The condition on material, for a path to the specimen: "" of the specimen itself, "specimen__" of what names it."""

_STEP_OF_SQLITE: Final = """
    SELECT child.id FROM down JOIN material_specimen child ON child.parent_id = down.id
    UNION SELECT pooled.pool_id FROM down JOIN material_poolmember pooled ON pooled.member_id = down.id"""
_STEP: Final = """
    SELECT edge.made FROM down JOIN (
        SELECT id AS made, parent_id AS source FROM material_specimen WHERE parent_id IS NOT NULL
        UNION ALL SELECT pool_id, member_id FROM material_poolmember
    ) edge ON edge.source = down.id"""
_DOWN: Final = """WITH RECURSIVE down(id) AS (
    SELECT id FROM material_specimen WHERE id {keys} UNION %s) SELECT id FROM down"""


@dataclass(frozen=True)
class Material:
    """Material of something. where: None where uses are asked for by who received them. taken: keys of what was taken
    from it or pooled of it and is not itself part of it. kind and key: as addresses name it."""

    kind: str
    key: Any
    items: QuerySet[UseItem]
    asked: QuerySet[RequestItem]
    where: Where | None = None
    taken: tuple[int, ...] = ()

    @cached_property
    def total(self) -> int | None:
        """How many specimens it is, with what was taken from them; None of a recipient, who has no material."""
        if self.where is None:
            return None
        own = Specimen.objects.filter(self.where("")).order_by().count()
        return own + len(self.taken)

    @cached_property
    def uses(self) -> dict[int, int]:
        """Entries that name some of it, voided ones too, each with how many of it were not within the terms: the one
        walk over all its items, so that the rest is asked of the entries."""
        rows = self.items.values_list("use").annotate(n=Count("pk", filter=Q(is_outside=True)))
        return dict(rows)

    @cached_property
    def declined(self) -> set[int]:
        """Decisions that stand, by which something of it stays here."""
        rows = self.asked.filter(decision__is_approved=False, decision__withdrawn_at__isnull=True)
        return set(rows.values_list("decision", flat=True).distinct())


def of_specimen(specimen: Specimen) -> Material:
    """A specimen with all that was taken from it or pooled of it: one query."""
    keys = _downwards([specimen.pk])
    return _material("specimen", specimen.pk, lambda path: Q(**{f"{path}pk": specimen.pk}), keys - {specimen.pk})


def of_accession(accession: Accession) -> Material:
    """All of an accession, loose material and all parts."""
    return _with_taken("accession", accession.pk, lambda path: Q(**{f"{path}accession": accession.pk}))


def of_site(site: Site) -> Material:
    """What was taken at a site."""
    return _with_taken("site", site.pk, lambda path: Q(**{f"{path}event__site": site.pk}))


def of_country(code: str) -> Material:
    """What was taken in a country, as the records of collecting say."""
    return _with_taken("country", code, lambda path: Q(**{f"{path}event__country": code}))


def of_owner(agent: Agent) -> Material:
    """What was taken at sites on days on which somebody owned or occupied them."""
    held = _events_of(agent).values("pk")
    return _with_taken("agent", agent.pk, lambda path: Q(**{f"{path}event__in": held}))


def of_recipient(agent: Agent) -> Material:
    """What somebody received or did, whosever the material is."""
    return Material(
        "agent", agent.pk, UseItem.objects.filter(use__recipient__agent=agent).order_by(),
        RequestItem.objects.filter(request__recipient__agent=agent).order_by(),
    )  # fmt: skip


@dataclass(frozen=True)
class Sides:
    """An agent as the one of whose sites material is, and as the one who received some."""

    material: Material
    is_recipient: bool
    held_sites: bool
    received: bool


def of_agent(agent: Agent, side: str) -> Sides:
    """The material of an agent. side: "owner" or "recipient"; anything else is what the agent is, the first first."""
    held, received = SiteTenure.objects.filter(agent=agent).exists(), agent.receives_as.exists()
    is_recipient = side == "recipient" or (side != "owner" and received and not held)
    return Sides(of_recipient(agent) if is_recipient else of_owner(agent), is_recipient, held, received)


@dataclass(frozen=True)
class Source:
    """What a specimen was taken from, and of what it was pooled: the first of these, and how many they are."""

    parent: Specimen | None
    members: list[Specimen]
    member_count: int


def source_of(specimen: Specimen, most: int = 5) -> Source:
    """Where a specimen comes from: two queries."""
    members = Specimen.objects.filter(pooled_in__pool=specimen).order_by("catalog_number", "pk")
    return Source(specimen.parent, list(members[:most]), members.count())


def _events_of(agent: Agent) -> QuerySet[SamplingEvent]:
    """Events on days of a tenure. A day that is not known counts only where the tenure has neither first nor last."""
    tenures = SiteTenure.objects.filter(agent=agent, site=OuterRef("site"))
    began = Q(held_from__isnull=True) | Q(held_from__lte=OuterRef("latest_on"))
    lasted = Q(held_to__isnull=True) | Q(held_to__gte=OuterRef("earliest_on"))
    return SamplingEvent.objects.filter(Exists(tenures.filter(began, lasted))).order_by()


def undated(agent: Agent) -> int:
    """Specimens of somebody's sites that are left out because nobody knows whether they were taken in the tenure."""
    at_sites = SamplingEvent.objects.filter(
        Exists(SiteTenure.objects.filter(agent=agent, site=OuterRef("site"))), earliest_on__isnull=True,
    )  # fmt: skip
    held = _events_of(agent).values("pk")
    return Specimen.objects.filter(event__in=at_sites.values("pk")).exclude(event__in=held).order_by().count()


def _with_taken(kind: str, key: Any, where: Where) -> Material:
    """Material with what was taken from it and lies elsewhere: two queries, and one more where there is any."""
    own = Specimen.objects.filter(where("")).order_by()
    children = Specimen.objects.filter(where("parent__"), parent__isnull=False).exclude(where(""))
    pools = PoolMember.objects.filter(where("member__")).exclude(where("pool__"))
    first = {*children.order_by().values_list("pk", flat=True), *pools.order_by().values_list("pool", flat=True)}
    if not first:
        return _material(kind, key, where, set())
    keys = _downwards(first)
    return _material(kind, key, where, keys - set(own.filter(among("pk", keys)).values_list("pk", flat=True)))


def _material(kind: str, key: Any, where: Where, taken: set[int]) -> Material:
    condition = where("specimen__") | among("specimen", taken) if taken else where("specimen__")
    return Material(
        kind, key, UseItem.objects.filter(condition).order_by(), RequestItem.objects.filter(condition).order_by(),
        where, tuple(sorted(taken)),
    )  # fmt: skip


def with_taken(keys: Iterable[int]) -> set[int]:
    """Keys of some specimens with those of all that was taken from them or pooled of them: one query."""
    return _downwards(keys)


def _downwards(keys: Iterable[int]) -> set[int]:
    """Some specimens with all that was taken from them or pooled of them, step by step: one query."""
    step = _STEP_OF_SQLITE if connection.vendor == "sqlite" else _STEP
    return {key for (key,) in rows_by_keys(_DOWN % step, list(keys))}
