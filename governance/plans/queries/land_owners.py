"""Who owns or occupies the land of a stop on its days: whom to ask for it, which no country sheet knows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from accessions.sites.models import SiteTenure
from governance.plans.planned_rows import LoadedStop


def land_owners(stops: Iterable[LoadedStop]) -> dict[int, str]:
    """Names by key of the stop, on its first day, as far as the register knows; "" where nobody is recorded. One query.

    While the day is not fixed, those who hold it without an end.
    """
    found = list(stops)
    sites = {one.stop.site_id for one in found if one.stop.site_id}
    tenures: dict[int, list[SiteTenure]] = defaultdict(list)
    for tenure in SiteTenure.objects.filter(site__in=sites).select_related("agent") if sites else ():
        tenures[tenure.site_id].append(tenure)
    return {
        one.stop.pk: "; ".join(
            dict.fromkeys(
                tenure.agent.name
                for tenure in tenures.get(one.stop.site_id or 0, ())
                if _holds(tenure.held_from, tenure.held_to, one.days[0])
            )
        )
        for one in found
    }


def _holds(first: date | None, last: date | None, day: date | None) -> bool:
    if day is None:
        return last is None
    return (first is None or first <= day) and (last is None or day <= last)
