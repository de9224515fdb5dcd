"""Which specimens a change touches, and all that is counted together with them (decision 3)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from accessions.material.models import Accession, SamplingEvent, Specimen, Touch
from governance.engine.tables import LongColumn
from governance.jurisdictions import is_country
from governance.papers.queries import Links, links_of
from governance.verdicts.feed.rows import select, select_by_keys
from governance.verdicts.linked import Bearings, Reach, bearings_of, ids_where, join
from governance.verdicts.models import CountrySheet
from governance.verdicts.renaming import names_used, renamed
from governance.verdicts.touched_sites import events_at, papers_naming, site_keys_ever

Scope = Touch.Scope
WHOLE_SHARE = 0.5
"""Where so large a share of the register is touched, all of it is read: that is quicker than many small questions."""


@dataclass(frozen=True)
class Selection:
    """What a run judges, and why.

    specimens: ascending keys; None for all. linked: the papers that can speak for them; None for all. touches: the
    marks that it takes up. names: the classification that is used, "" unless all its changes are taken up.
    """

    scope: str
    specimens: LongColumn | None = None
    linked: Mapping[int, Links] | None = None
    touches: Sequence[int] = ()
    names: str = ""


def of_everything(touches: Iterable[int] = ()) -> Selection:
    """The whole register. touches: all marks that there are."""
    return Selection("all specimens", touches=list(touches), names=names_used())


def of_accession(accession: Accession) -> Selection:
    """An accession, with all that is counted under the same capped papers."""
    specimens = ids_where("accession_id", [accession.pk])
    return _together(f"accession {accession.number}", specimens, bearings_of(specimens))


def of_touches(touches: Collection[Touch], names: str) -> Selection:
    """What the marks, which are all that there are, touch. Where that is not certain, it is more rather than less.

    names: ``names_used`` of a moment before the marks were read. A name that came in between has its mark still to be
    taken up; were it part of what this run used, that mark would find nothing new.
    """
    marks = [touch.pk for touch in touches]
    keys: dict[str, set[int]] = defaultdict(set)
    for touch in touches:
        keys[touch.scope].add(touch.key)
    if Scope.ALL in keys or 0 in set().union(*(keys[s] for s in keys if s != Scope.NAMES)):
        return of_everything(marks)
    touched = _Touched(keys)
    specimens = touched.specimens()
    if specimens is None:
        return of_everything(marks)
    words = ", ".join(f"{scope} ({len(of)})" if len(of) > 1 else scope for scope, of in sorted(keys.items()))
    selection = _together(f"what changed: {words}", specimens, touched.bearings(specimens))
    return replace(selection, touches=marks, names=names if Scope.NAMES in keys else "")


def _together(scope: str, specimens: LongColumn, bearings: Bearings) -> Selection:
    """The specimens, and those that are added up with them, again and again until no capped paper joins."""
    reach = Reach.of_capped_papers()
    closed = reach.closure(specimens, bearings)
    if closed is None or len(closed) > WHOLE_SHARE * Specimen.objects.count():
        return Selection("all specimens" if closed is None else scope)
    return Selection(scope, closed, _speaking_for(closed))


def _speaking_for(specimens: LongColumn) -> dict[int, Links]:
    """Papers that are linked to any of the specimens."""
    every = links_of()
    return {paper: every[paper] for paper in Reach(every).meeting(bearings_of(specimens))}


class _Touched:
    """The marks by what they are of."""

    def __init__(self, keys: Mapping[str, set[int]]) -> None:
        self._keys = keys
        self._events = set(keys.get(Scope.EVENT, ()))
        self._papers = set(keys.get(Scope.PAPER, ()))
        if sites := keys.get(Scope.SITE):
            self._add_sites(sites)

    def _of(self, scope: str) -> list[int]:
        return sorted(self._keys.get(scope, ()))

    def _add_sites(self, sites: set[int]) -> None:
        """A site touches the events that stand at it or name it, and the papers that name it or are linked to it."""
        names = site_keys_ever(sites)
        self._events |= events_at(sites, names)
        self._papers |= papers_naming(names)
        reach = Reach(links_of())
        self._papers |= reach.linked_to_sites(names)

    def specimens(self) -> LongColumn | None:
        """Their keys, ascending; None for all."""
        parts = [
            ids_where("id", self._of(Scope.SPECIMEN)),
            ids_where("accession_id", self._of(Scope.ACCESSION)),
            ids_where("part_id", self._of(Scope.PART)),
            ids_where("delivery_id", self._of(Scope.DELIVERY)),
            ids_where("event_id", sorted(self._events)),
        ]
        for found in (self._of_papers(), self._of_countries(), self._of_names()):
            if found is None:
                return None
            parts.append(found)
        return join(parts)

    def _of_papers(self) -> LongColumn | None:
        """Specimens to which the papers are linked, and those whose verdict rests on them."""
        reach = Reach(links_of(self._papers)) if self._papers else Reach({})
        linked = reach.specimens(list(reach.links))
        if linked is None:
            return None
        resting = select_by_keys(
            "SELECT DISTINCT s.specimen_id FROM verdicts_outcomepaper p "
            "JOIN verdicts_rulinglayer l ON l.outcome_id = p.outcome_id "
            "JOIN verdicts_standing s ON s.ruling_id = l.ruling_id WHERE p.paper_id IN",
            sorted(self._papers),
        )
        return join([linked, np.array([pk for (pk,) in resting], np.int64)])

    def _of_countries(self) -> LongColumn | None:
        """Specimens of the countries of the sheets, and those of no country: any rule may be theirs."""
        sheets = self._of(Scope.COUNTRY)
        if not sheets:
            return np.zeros(0, np.int64)
        countries = set(CountrySheet.objects.filter(pk__in=sheets).values_list("country", flat=True))
        if "" in countries or CountrySheet.objects.filter(pk__in=sheets).count() < len(sheets):
            return None
        written = select("SELECT DISTINCT country_code FROM material_samplingevent")
        texts = [text for (text,) in written if text.upper() in countries or not is_country(text.upper())]
        rows = SamplingEvent.objects.filter(country_code__in=texts).values_list("pk", flat=True)
        return ids_where("event_id", list(rows))

    def _of_names(self) -> LongColumn | None:
        if Scope.NAMES not in self._keys:
            return np.zeros(0, np.int64)
        names = renamed()
        return None if names is None else ids_where("name_id", names)

    def bearings(self, specimens: LongColumn) -> Bearings:
        """By what papers meet the specimens now or met them before, so that no cap is forgotten that counted them."""
        now = bearings_of(specimens)
        before = Bearings.ever(
            self._of(Scope.SPECIMEN), self._of(Scope.ACCESSION), self._of(Scope.PART), sorted(self._events)
        )
        return now.with_papers(self._papers).joined(before)
