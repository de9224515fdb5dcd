"""What boxes offer while a person types: countries, provinces, sites, authorities, holders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from accessions.sites.models import Site
from governance.papers.countries import countries_known
from governance.papers.models import Paper
from governance.papers.restriction import readable

_MOST = 1000


@dataclass(frozen=True)
class PickLists:
    """countries: (``Costa Rica (CR)``). sites: (code, name)."""

    countries: Sequence[str]
    sites: Sequence[tuple[str, str]]
    issuers: Sequence[str]
    holders: Sequence[str]


def pick_lists(reader: Any) -> PickLists:
    """Three queries. Parties of papers that the reader may not read are not offered."""
    return PickLists(
        countries=countries_known(),
        sites=list(Site.objects.values_list("code", "name")[:_MOST]),
        issuers=_used("issuer", reader),
        holders=_used("holder", reader),
    )


def _used(column: str, reader: Any) -> list[str]:
    rows = readable(Paper.objects.all(), reader).exclude(**{column: ""}).order_by(column)
    return list(rows.values_list(column, flat=True).distinct()[:_MOST])
