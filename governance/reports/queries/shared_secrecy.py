"""What a shared page keeps back of what it lists: the same places and the same names as a report to the same reader."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from accessions.material.models import Specimen
from governance.reports.composing import material, papers
from governance.reports.composing.disclosing import Disclosing, OwnerNames, private_issuers
from governance.reports.composing.own_scope import OwnScope
from governance.reports.composing.owners import PrivateOwners
from governance.reports.models import Report, ShareLink
from governance.usedesk.queries.material import Material


@dataclass(frozen=True)
class Secrecy:
    """secret: specimens whose place is not named. masked: a text without the names that stay out."""

    secret: frozenset[int]
    masked: Callable[[str], str]


def secrecy(link: ShareLink, of: Material, accessions: Collection[int], cited: Sequence[Any]) -> Secrecy:
    """For material of some accessions and of some publications: some twenty queries, whatever there is of it. A
    landowner's own land is named to its owner, the names of other owners are not."""
    if link.agent is not None:
        return Secrecy(frozenset(), PrivateOwners(link.agent).masked)
    report = Report(country=link.country, paper=link.paper)
    scope = OwnScope(report, link.made_by, timezone.localdate(), own=_keys(of, accessions, cited))
    known = papers.read(scope, material.read(scope))
    disclosing = Disclosing(scope, known.known)
    return Secrecy(known.secret(), lambda text: disclosing.masked(text) or "")


def of_names(kept: Secrecy, link: ShareLink) -> Secrecy:
    """For the list of names, which is of all material and not of what the page lists: without the names of all private
    persons who gave papers. Two queries."""
    owner = link.agent
    own = {owner.name, *owner.names.values_list("form", flat=True)} if owner is not None else set()
    others = OwnerNames.of(private_issuers() - own)
    return replace(kept, masked=lambda text: others.out_of(kept.masked(text)))


def _keys(of: Material, accessions: Collection[int], cited: Sequence[Any]) -> frozenset[int]:
    """The specimens that are listed, and those of the publications."""
    items: Any = of.items.filter(use__in=[one.pk for one in cited])
    keys = {*items.values_list("specimen", flat=True)}
    if of.where is not None:
        own: Any = Specimen.objects.filter(of.where(""), accession__in=accessions).order_by()
        keys.update(own.values_list("pk", flat=True))
    return frozenset(keys)
