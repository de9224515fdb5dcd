"""What boxes offer while a person types: countries, provinces, sites, authorities, holders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from accessions.sites.models import Site
from governance.jurisdictions.codes import country_codes, country_name
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
        countries=_countries(),
        sites=list(Site.objects.values_list("code", "name")[:_MOST]),
        issuers=_used("issuer", reader),
        holders=_used("holder", reader),
    )


@cache
def _countries() -> tuple[str, ...]:
    return tuple(sorted(f"{country_name(code)} ({code})" for code in country_codes()))


def _used(column: str, reader: Any) -> list[str]:
    rows = readable(Paper.objects.all(), reader).exclude(**{column: ""}).order_by(column)
    return list(rows.values_list(column, flat=True).distinct()[:_MOST])
