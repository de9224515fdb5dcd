"""The scope of a report that is neither about a country nor about a paper: of specimens that are named one by one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.db.models import QuerySet

from governance.reports.composing.scope import Scope
from governance.usedesk.models import UseItem
from governance.usedesk.queries.material import among, with_taken


@dataclass(frozen=True)
class OwnScope(Scope):
    """A scope whose material is told. own: keys of the specimens, without what was taken from them."""

    own: frozenset[int] = frozenset()

    @cached_property
    def keys(self) -> list[int]:
        return sorted(with_taken(self.own))

    def items(self) -> QuerySet[UseItem]:
        return UseItem.objects.filter(among("specimen", self.keys)).order_by()
