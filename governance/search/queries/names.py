"""Agents in all forms of their names, and names of taxa."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.db.models import Q
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from accessions.names.folding import folded as folded_name
from accessions.names.models import Taxon
from accessions.people.models import Agent, AgentName
from accessions.people.name_keys import fold_name
from accessions.people.queries import agents
from governance.scans.reading.folding import fold
from governance.search.asked import Asked, ranked
from governance.search.queries.kinds import Hit, Matches, of_ranked, why
from governance.verdicts.queries.filters import starts_with

MOST_TAXA: Final = 1_000
"""Names that are counted."""


def find_agents(asked: Asked, user: Any) -> Matches:
    """People and organisations by any form of the name. Accounts are not looked through. Two queries."""
    found = ranked(_forms(), asked)
    keys = {key for _rank, key in found}
    initials = [(rank, key) for rank, key in _by_key(asked) if key not in keys]
    address = f"{reverse('people:agents')}?{urlencode({'q': asked.text})}"
    return of_ranked([*found, *initials], lambda some: _agents(some, asked), address,
                     lambda: agents(text=asked.text).count())  # fmt: skip


def _forms() -> Iterator[tuple[int, str, str]]:
    """Each agent with all forms of its name: as one text, so that words of two forms may be given together."""
    forms: defaultdict[int, list[str]] = defaultdict(list)
    for agent, form in AgentName.objects.order_by("pk").values_list("agent", "form").iterator():
        forms[agent].append(form)
    for pk, name in Agent.objects.order_by("name", "pk").values_list("pk", "name").iterator():
        yield pk, "", " ".join([name, *forms[pk]])


def _by_key(asked: Asked) -> list[tuple[Any, int]]:
    """By the form that papers would accept: "A.B. Person" is "Person, A. B."."""
    key = fold(fold_name(asked.text))
    if not key:
        return []
    rows = AgentName.objects.order_by("agent__name", "agent").values_list("agent", "key").iterator()
    return list(dict.fromkeys(ranked(((pk, "", written) for pk, written in rows), Asked(asked.text, (key,), key))))


def _agents(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Agent.objects.prefetch_related("names").in_bulk(list(keys))
    return [_agent(one, asked) for key in keys if (one := rows.get(key))]


def _agent(one: Agent, asked: Asked) -> Hit:
    """The form of the name that was meant stands beside it, if it is another than the name."""
    forms = [form.form for form in one.names.all() if form.form != one.name]
    key = fold(fold_name(asked.text))
    meant = [form for form in forms if key in fold(fold_name(form))] or forms
    return Hit(
        one.name, reverse("people:agent", args=[one.pk]), str(one.get_kind_display()),
        why(asked, *(((_("Also written"), form)) for form in meant))[:3],
    )  # fmt: skip


def find_taxa(asked: Asked, user: Any) -> Matches:
    """Names in the classification: those that begin so first, then those that hold it. Up to two queries."""
    key = folded_name(asked.text)
    begun = Taxon.objects.filter(starts_with("key", key)).order_by("key", "lineage")
    keys = list(begun.values_list("pk", "key")[: MOST_TAXA + 1])
    if len(keys) <= MOST_TAXA:
        held = Taxon.objects.filter(Q(key__contains=key), ~Q(starts_with("key", key))).order_by("key", "lineage")
        keys += list(held.values_list("pk", "key")[: MOST_TAXA + 1 - len(keys)])
    rows = sorted(keys, key=lambda pair: pair[1] != key)[:MOST_TAXA]
    return Matches([pk for pk, _key in rows], len(rows), lambda some: _taxa(some, asked), (), len(keys) > MOST_TAXA)


def _taxa(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Taxon.objects.select_related("parent", "parent__parent").in_bulk(list(keys))
    return [_taxon(one) for key in keys if (one := rows.get(key))]


def _taxon(one: Taxon) -> Hit:
    above = [of.name for of in (one.parent.parent if one.parent else None, one.parent) if of]
    address = f"{reverse('verdicts:specimens')}?{urlencode({'taxon': one.pk})}"
    return Hit(one.name, address, ", ".join(filter(None, [one.rank, " › ".join(above)])), is_name=True)
