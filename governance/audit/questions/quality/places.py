"""Places that cannot be: outside the country that the record states, at sea, at 0, 0; two sites on one point."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Q
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent
from accessions.sites.models import Site, SiteBoundary
from governance.audit.asking import Column, ColumnKind, Missing
from governance.audit.queries.quality import kept_while_unchanged
from governance.audit.queries.quality_places import OddPlace, odd_places
from governance.audit.questions.quality.found import Fact, Found, FoundList, FoundQuery
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import EASE, EVENT_COLUMNS, TAIL, ShownEvent, shown_events
from governance.verdicts.feed.rows import select

_SLIPS: Final = {
    "swapped": gettext_lazy("latitude and longitude swapped"), "sign": gettext_lazy("a sign lost or one too many"),
}  # fmt: skip


def _odd(choose: Callable[[OddPlace], bool]) -> Callable[[date], Found]:
    def found(_on: date) -> Found:
        chosen = [one for one in odd_places().odd if choose(one)]
        return FoundList([(one.event, one.metres, one.reach_m, one.slips) for one in chosen])

    return found


def _unmeasured() -> tuple[Missing, ...]:
    """Said where there are so many suspicious places that some were left aside."""
    if not (n := odd_places().unmeasured):
        return ()
    words = ngettext("%(n)s more sampling event is not in its country’s outline and was not measured.",
                     "%(n)s more sampling events are not in their countries’ outlines and were not measured.",
                     n)  # fmt: skip
    return (Missing(words % {"n": intcomma(n)}, n),)


def _odd_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([fact[0] for fact in facts])
    return [_odd_row(events[key], metres, slips) for key, metres, _reach, slips in facts]


def _odd_row(shown: ShownEvent, metres: float, slips: Sequence[str]) -> Cells:
    event, slip = shown.event, ", ".join(str(_SLIPS[one]) for one in slips)
    position, km = _position(event), round(metres / 1000, 1)
    return *shown.head, event.country, *position, km, slip, event.sampling_protocol, *shown.tail


def _position(event: SamplingEvent) -> tuple[str, str]:
    """As written; of one that is written another way, as read."""
    if event.decimal_latitude and event.decimal_longitude:
        return event.decimal_latitude, event.decimal_longitude
    latitude, longitude = event.latitude_deg, event.longitude_deg
    return ("", "") if latitude is None or longitude is None else (f"{latitude:.5f}", f"{longitude:.5f}")


_COLUMNS: Final = (
    *EVENT_COLUMNS, Column("country", gettext_lazy("Country stated"), ColumnKind.COUNTRY),
    Column("latitude", gettext_lazy("Latitude")), Column("longitude", gettext_lazy("Longitude")),
    Column("km", gettext_lazy("Off by"), ColumnKind.NUMBER, "km"),
    Column("slip", gettext_lazy("Would be right with")), Column("methods", gettext_lazy("Methods")), *TAIL,
)  # fmt: skip
_OUTLINES: Final = gettext_lazy(
    "Outlines of countries (Natural Earth), with 5 km for their error and the uncertainty of the position; measured as "
    "the verdicts measure it (the contract of verdicts, section 4)."
)

COUNTRY: Final = Rule(
    "quality-outside-country", "event", gettext_lazy("Which coordinates lie outside the country that is stated?"),
    gettext_lazy("Sampling events whose position lies apart from their country and not off its coast, with the slip of "
                 "the pen that would explain it: latitude and longitude swapped, a sign lost."),
    _COLUMNS, _odd(lambda one: not one.at_sea), _odd_cells,
    lambda n: ngettext("The coordinates of %(n)s sampling event lie outside the country that is stated.",
                       "The coordinates of %(n)s sampling events lie outside the countries that are stated.", n)
    % {"n": intcomma(n)},
    _OUTLINES, (gettext_lazy("Events that state no country, or one without an outline, cannot be looked at."),),
    _unmeasured,
)  # fmt: skip

WATER_WORDS: Final = (
    "trawl", "dredge", "plankton", "div", "snorkel", "grab", "corer", "coring", "seine", "gill", "angling", "rod",
    "line", "boat", "ship", "beam", "box core", "sledge", "sled", "water", "fishing", "kick", "drift", "sub", "rov",
    "strand", "beach",
)  # fmt: skip
"""Words of methods by which one takes at sea or at its edge. Common practice, no source."""


def _at_sea(_on: date) -> Found:
    """Off the coast, by methods of the land alone; one that states no method may have been at sea on purpose."""
    off_coast = {one.event: one for one in odd_places().odd if one.at_sea}
    events = SamplingEvent.objects.filter(pk__in=off_coast).only("sampling_protocol") if off_coast else ()
    on_land = [event.pk for event in events if _is_of_land(event.sampling_protocol)]
    return FoundList([(key, off_coast[key].metres, off_coast[key].reach_m, ()) for key in sorted(on_land)])


def _is_of_land(methods: str) -> bool:
    folded = methods.casefold()
    return bool(folded.strip()) and not any(word in folded for word in WATER_WORDS)


SEA: Final = Rule(
    "quality-at-sea", "event", gettext_lazy("Which coordinates lie at sea where land is meant?"),
    gettext_lazy("Sampling events off the coast of their country, farther than their position is uncertain, whose "
                 "methods are none of the water."),
    _COLUMNS, _at_sea, _odd_cells,
    lambda n: ngettext("%(n)s sampling event by a method of the land lies at sea.",
                       "%(n)s sampling events by methods of the land lie at sea.", n) % {"n": intcomma(n)},
    _OUTLINES, (gettext_lazy("Land is taken as meant where methods are stated and none of them is one of the water "
                             "(common practice, no source). Small islands may lack in the outlines."),),
    _unmeasured,
)  # fmt: skip


def _noughts(_on: date) -> Found:
    nought = r"^[-+]?0+([.,]0*)?\s*°?$"
    unread = SamplingEvent.objects.exclude(Q(decimal_latitude="") | Q(decimal_longitude=""))
    both = unread.filter(decimal_latitude__regex=nought, decimal_longitude__regex=nought)
    return FoundQuery(both.order_by("pk"))


def _nought_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([key for (key,) in facts])
    return [
        (*shown.head, event.country, event.decimal_latitude, event.decimal_longitude, event.locality, *shown.tail)
        for (key,) in facts for shown in [events[key]] for event in [shown.event]
    ]  # fmt: skip


NOUGHT: Final = Rule(
    "quality-zero-zero", "event", gettext_lazy("Which coordinates are 0, 0?"),
    gettext_lazy("Sampling events at latitude 0 and longitude 0: what programs write where nothing is known."),
    (*EVENT_COLUMNS, Column("country", gettext_lazy("Country stated"), ColumnKind.COUNTRY),
     Column("latitude", gettext_lazy("Latitude")), Column("longitude", gettext_lazy("Longitude")),
     Column("locality", gettext_lazy("Locality")), *TAIL),
    _noughts, _nought_cells,
    lambda n: ngettext("%(n)s sampling event stands at 0, 0.", "%(n)s sampling events stand at 0, 0.", n)
    % {"n": intcomma(n)},
    gettext_lazy("0, 0 counts as missing (the contract of verdicts, section 4)."),
)  # fmt: skip

_POINTS: Final = """
SELECT DISTINCT longitude_deg, latitude_deg, site_id FROM material_samplingevent
WHERE site_id IS NOT NULL AND longitude_deg IS NOT NULL
UNION
SELECT longitude_deg, latitude_deg, site_id FROM sites_siteboundary WHERE longitude_deg IS NOT NULL
"""
_SHARED: Final = f"""
SELECT longitude_deg, latitude_deg, COUNT(DISTINCT site_id) FROM ({_POINTS}) p
GROUP BY longitude_deg, latitude_deg HAVING COUNT(DISTINCT site_id) > 1
"""


def _shared(_on: date) -> Found:
    """Sites that meet on one point, by what events and boundaries say; one name on both is one place."""
    of = (SamplingEvent, SiteBoundary, Site)
    shared = {(x, y) for x, y, _n in kept_while_unchanged("shared", of, lambda: list(select(_SHARED)))}
    sites: dict[tuple[float, float], set[int]] = defaultdict(set)
    for x, y, site in select(_POINTS) if shared else ():
        if (x, y) in shared:
            sites[x, y].add(site)
    names = dict(Site.objects.filter(pk__in=set().union(*sites.values())).values_list("pk", "name_key"))
    return FoundList(sorted(
        (f"{x:.7f},{y:.7f}", x, y, tuple(sorted(keys))) for (x, y), keys in sites.items()
        if len({names.get(key) for key in keys}) > 1
    ))  # fmt: skip


def _shared_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    sites = Site.objects.in_bulk({key for fact in facts for key in fact[3]})
    return [
        (f"{latitude:.5f}", f"{longitude:.5f}", len(keys), "; ".join(str(sites[key]) for key in keys))
        for _key, longitude, latitude, keys in facts
    ]  # fmt: skip


SHARED: Final = Rule(
    "quality-sites-on-one-point", "point", gettext_lazy("Which sites lie on one point under different names?"),
    gettext_lazy("Points that events or boundaries give for more than one site."),
    (Column("latitude", gettext_lazy("Latitude")), Column("longitude", gettext_lazy("Longitude")),
     Column("count", gettext_lazy("Sites"), ColumnKind.NUMBER), Column("sites", gettext_lazy("Which"))),
    _shared, _shared_cells,
    lambda n: ngettext("On %(n)s point lie sites of different names.", "On %(n)s points lie sites of different names.",
                       n) % {"n": intcomma(n)},
    EASE,
)  # fmt: skip

RULES: Final = (COUNTRY, SEA, NOUGHT, SHARED)
