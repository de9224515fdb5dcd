"""Advice, and how drafts of it become one sentence for all stops that it is about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from governance.engine.tables import Layer
from governance.plans.judging import PaperUsed
from governance.plans.planned_rows import PlannedRow

STOPS = "%(stops)s"
"""Where the names of the stops stand in the words of a draft."""

_NAMED = 3


@dataclass(frozen=True)
class Deed:
    """The one button of an advice.

    kind: ``notice`` (key: the plan), ``notice-remove``, ``terms`` (the paper), ``stop``, ``home``. asked: what the
    address carries, by name.
    """

    kind: str
    key: int
    asked: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Advice:
    """One thing that could be done before anyone leaves.

    code: stable. layers: that it would settle, none for notices and reports. stops: keys, in the order of the plan.
    by_day: until when; None where no day binds. is_late: that day has passed. is_settled: it was done.
    secret: papers whose contents the sentence tells; it is shown to those who may read all of them.
    tried: rows that the engine calls covered on ``layers``; none where nothing can be tried.
    """

    code: str
    sentence: str
    stops: tuple[int, ...] = ()
    stop_names: tuple[str, ...] = ()
    layers: tuple[Layer, ...] = ()
    papers: tuple[PaperUsed, ...] = ()
    by_day: date | None = None
    is_late: bool = False
    is_settled: bool = False
    secret: frozenset[int] = frozenset()
    deed: Deed | None = None
    tried: tuple[PlannedRow, ...] = field(default=(), repr=False, compare=False)

    @property
    def layer(self) -> Layer | None:
        """The first layer that it would settle."""
        return self.layers[0] if self.layers else None


@dataclass(frozen=True)
class Draft:
    """Advice for one stop and layer. words: with ``STOPS`` where the stops are named."""

    code: str
    words: str
    stop: int | None = None
    layer: Layer | None = None
    papers: tuple[PaperUsed, ...] = ()
    by_day: date | None = None
    is_late: bool = False
    is_settled: bool = False
    secret: frozenset[int] = frozenset()
    deed: Deed | None = None
    tried: tuple[PlannedRow, ...] = field(default=(), compare=False)


def gathered(drafts: Iterable[Draft], names: dict[int, str]) -> tuple[Advice, ...]:
    """One advice for all stops and layers of which the same is said: by day first, those without one last.

    Args:
        names: of the stops, in the order of the plan.
    """
    together: dict[tuple[object, ...], list[Draft]] = {}
    for draft in drafts:
        own = draft.deed if draft.is_settled else None
        together.setdefault((draft.code, draft.words, draft.by_day, own), []).append(draft)
    found = [_advice(same, names) for same in together.values()]
    order = {stop: number for number, stop in enumerate(names)}
    return tuple(sorted(found, key=lambda one: _place(one, order)))


def _place(one: Advice, order: dict[int, int]) -> tuple[bool, date, int, int]:
    return (
        one.is_settled,
        one.by_day or date.max,
        len(Layer) if one.layer is None else int(one.layer),
        min((order[stop] for stop in one.stops), default=len(order)),
    )


def _advice(same: Sequence[Draft], names: dict[int, str]) -> Advice:
    first = same[0]
    keys = {draft.stop for draft in same}
    stops = tuple(stop for stop in names if stop in keys)
    named = tuple(names[stop] for stop in stops)
    return Advice(
        code=first.code, sentence=first.words.replace(STOPS, stop_words(named)), stops=stops, stop_names=named,
        layers=tuple(sorted({draft.layer for draft in same if draft.layer is not None})),
        papers=tuple({used.pk: used for draft in same for used in draft.papers}.values()), by_day=first.by_day,
        is_late=first.is_late, is_settled=first.is_settled,
        secret=frozenset().union(*(draft.secret for draft in same)), deed=_deed(same),
        tried=tuple(dict.fromkeys(row for draft in same for row in draft.tried)),
    )  # fmt: skip


def _deed(same: Sequence[Draft]) -> Deed | None:
    """The button, if it is one for all of them."""
    deeds = {draft.deed for draft in same}
    return deeds.pop() if len(deeds) == 1 else None


def stop_words(names: Sequence[str]) -> str:
    """``Lake, Ridge and 4 more``."""
    if len(names) > _NAMED + 1:
        more = len(names) - _NAMED
        return ngettext("%(names)s and %(n)s more", "%(names)s and %(n)s more", more) % {
            "names": ", ".join(names[:_NAMED]), "n": more,
        }  # fmt: skip
    return in_a_list(names)


def day_words(day: date) -> str:
    """``17 June 2027``."""
    return date_format(day, "j F Y")


def span_words(first: date, last: date) -> str:
    """``18 June 2027``, ``14 to 17 June 2027``, ``28 June to 2 July 2027``."""
    if first == last:
        return day_words(first)
    start = (
        "j" if (first.year, first.month) == (last.year, last.month) else "j F" if first.year == last.year else "j F Y"
    )
    return _("%(first)s to %(last)s") % {"first": date_format(first, start), "last": day_words(last)}


def days_words(days: int) -> str:
    """``1 day``, ``3 days``."""
    return ngettext("%(n)s day", "%(n)s days", days) % {"n": days}


def papers_words(papers: Iterable[PaperUsed]) -> str:
    """Their numbers."""
    return in_a_list([used.reference for used in papers])
