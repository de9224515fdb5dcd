"""What stands in the way of a removal, what goes along, and what was removed."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from django.contrib.humanize.templatetags.humanize import intcomma
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.bonds import InTheWay, Keys, bonds
from accessions.material.models import Determination, PoolMember, Removal, Specimen
from accessions.people.bulk import among


@dataclass(frozen=True)
class Held:
    """A specimen that stays: its number, and all that stands in the way."""

    key: int
    number: str
    reasons: tuple[InTheWay, ...]


def in_the_way(keys: Keys) -> list[InTheWay]:
    """All that was done with some specimens, so that they cannot be removed together; nothing: they can. The number of
    queries does not grow with the keys."""
    found = [*_taken_from(keys)]
    for bond in bonds():
        found += bond.in_the_way(keys)
    return found


def _taken_from(keys: Keys) -> Iterator[InTheWay]:
    """What was taken from one of them or pooled of it, and is not removed with it."""
    children = Specimen.objects.filter(among("parent", keys)).exclude(among("pk", keys))
    for child in children.order_by("catalog_number", "pk").only("catalog_number", "parent"):
        words = _("%(specimen)s was taken from it.") % {"specimen": child}
        yield InTheWay(child.parent_id or 0, words, _facts(child.pk))
    pools = PoolMember.objects.filter(among("member", keys)).exclude(among("pool", keys))
    for key, pool, number in pools.order_by("pool__catalog_number", "pool").values_list(
        "member", "pool", "pool__catalog_number"
    ):
        yield InTheWay(key, _("%(pool)s was pooled of it and others.") % {"pool": number or f"#{pool}"}, _facts(pool))


def _facts(key: int) -> str:
    return reverse("material:specimen-edit", args=[key])


def by_specimen(found: Iterable[InTheWay], most: int) -> tuple[list[Held], int]:
    """The first specimens that stay, by their numbers, each with its reasons; and how many stay in all. One query."""
    reasons: dict[int, list[InTheWay]] = {}
    for one in found:
        reasons.setdefault(one.specimen, []).append(one)
    named = Specimen.objects.filter(among("pk", reasons)).order_by("catalog_number", "pk")
    shown = named.values_list("pk", "catalog_number")[:most]
    return [Held(key, number or f"#{key}", tuple(reasons[key])) for key, number in shown], len(reasons)


def goes_along(keys: Keys) -> list[str]:
    """In words, what is deleted with some specimens; its history stays."""
    found = []
    if n := Determination.objects.filter(among("specimen", keys)).count():
        words = ngettext("%(n)s determination", "%(n)s determinations", n)
        found.append(words % {"n": intcomma(n)})
    if n := PoolMember.objects.filter(among("pool", keys)).count():
        words = ngettext("that it was pooled of %(n)s specimen", "that it was pooled of %(n)s specimens", n)
        found.append(words % {"n": intcomma(n)})
    for bond in bonds():
        found += bond.goes_along(keys)
    return found


def removal_of(specimen: int) -> Removal | None:
    """That a specimen of a key was removed; None: it is there, or never was."""
    return Removal.objects.select_related("accession", "removed_by").filter(specimen=specimen).first()


def numbered(number: str) -> int | None:
    """The specimen that has a number now."""
    rows = Specimen.objects.filter(catalog_number=number).exclude(catalog_number="")
    return rows.values_list("pk", flat=True).first()


def removals_numbered(numbers: Collection[str]) -> list[int]:
    """Removals of specimens that had one of these numbers, newest first: one look into an index."""
    wanted = [number for number in numbers if number]
    return list(Removal.objects.filter(catalog_number__in=wanted).order_by("-pk").values_list("pk", flat=True))
