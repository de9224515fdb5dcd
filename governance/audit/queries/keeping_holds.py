"""What still needs a paper after its day: material that is held, loans and duties that are open, later uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Max
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import PoolMember, Specimen
from governance.duties.models import Duty
from governance.duties.queries.listing import OPEN
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import TitleRecord
from governance.usedesk.queries.material import among, with_taken
from governance.usedesk.queries.whereabouts import gone, slices, standing, still_out


@dataclass(frozen=True)
class Hold:
    """One reason, in words."""

    words: str


def holds_of(papers: Mapping[int, date | None]) -> dict[int, list[Hold]]:
    """By paper, what needs it: as many queries as there are kinds of links, whatever the number of papers.

    papers: by key, the end of utilisation that was stated, if there is one.
    """
    specimens = _with_taken(specimens_under(list(papers)))
    every = sorted(set().union(*specimens.values()))
    left, out, used = _gone(every), _out(every), _last_used(every)
    titled = _once_title(papers)
    duties = dict(
        Duty.objects.filter(OPEN, paper__in=list(papers)).order_by().values_list("paper").annotate(n=Count("pk"))
    )
    return {
        paper: [
            *_held(len(specimens[paper] - left)), *_lent(len(specimens[paper] & out)), *_owed(duties.get(paper, 0)),
            *_used(ended_on, (used[key] for key in specimens[paper] if key in used)), *_titled(titled.get(paper)),
        ]
        for paper, ended_on in papers.items()
    }  # fmt: skip


def _with_taken(specimens: Mapping[int, Collection[int]]) -> dict[int, frozenset[int]]:
    """By paper, its specimens with all that was taken from them or pooled of them: an extract holds a paper when its
    parent is used up. Three queries."""
    every = set().union(*specimens.values())
    made: dict[int, list[int]] = defaultdict(list)
    if down := with_taken(every) - every if every else set():
        parts = Specimen.objects.filter(among("pk", down), parent__isnull=False).order_by().values_list("parent", "pk")
        pools = PoolMember.objects.filter(among("pool", down)).order_by().values_list("member", "pool")
        for source, one in (*parts, *pools):
            if source is not None:
                made[source].append(one)
    return {paper: frozenset(_closure(keys, made)) for paper, keys in specimens.items()}


def _closure(keys: Collection[int], made: Mapping[int, Sequence[int]]) -> set[int]:
    found, waiting = set(keys), list(keys) if made else []
    while waiting:
        for one in made.get(waiting.pop(), ()):
            if one not in found:
                found.add(one)
                waiting.append(one)
    return found


def _gone(keys: Collection[int]) -> frozenset[int]:
    return _among(keys, gone())


def _out(keys: Collection[int]) -> frozenset[int]:
    return _among(keys, still_out())


def _among(keys: Collection[int], items: object) -> frozenset[int]:
    found: set[int] = set()
    for some in slices(list(keys)):
        found.update(items.filter(specimen__in=some).order_by().values_list("specimen", flat=True))  # type: ignore[attr-defined]
    return frozenset(found)


def _last_used(keys: Collection[int]) -> dict[int, date]:
    """By specimen, the day of its last use that stands."""
    found: dict[int, date] = {}
    for some in slices(list(keys)):
        rows = standing().filter(specimen__in=some).order_by().values_list("specimen").annotate(last=Max("use__on"))
        found.update(rows)
    return found


def _held(count: int) -> list[Hold]:
    if not count:
        return []
    words = ngettext("%(n)d specimen under it is still held", "%(n)d specimens under it are still held", count)
    return [Hold(words % {"n": count})]


def _lent(count: int) -> list[Hold]:
    if not count:
        return []
    words = ngettext("%(n)d specimen under it is out on loan", "%(n)d specimens under it are out on loan", count)
    return [Hold(words % {"n": count})]


def _owed(count: int) -> list[Hold]:
    if not count:
        return []
    words = ngettext("%(n)d duty that it asks for is open", "%(n)d duties that it asks for are open", count)
    return [Hold(words % {"n": count})]


def _used(ended_on: date | None, days: Iterable[date]) -> list[Hold]:
    """A use after the end of utilisation that was stated: somebody has to look at it."""
    last = max(days, default=None)
    if ended_on is None or last is None or last <= ended_on:
        return []
    words = _("a use of %(last)s is on record, after the end of utilisation that was stated")
    return [Hold(words % {"last": date_format(last, "j F Y")})]


def _once_title(papers: Collection[int]) -> dict[int, datetime]:
    """By paper that a title record named once, when it was entered last that it does. Papers that one names today are
    kept for ever and are not asked about: of these the record was removed, or names another paper by now."""
    entries = TitleRecord.history.filter(paper__in=list(papers)).order_by()
    return dict(entries.values_list("paper").annotate(last=Max("history_date")))


def _titled(last: datetime | None) -> list[Hold]:
    if last is None:
        return []
    words = _("a title record named it (entry of %(day)s), and what shows title is kept for ever")
    return [Hold(words % {"day": date_format(timezone.localdate(last), "j F Y")})]
