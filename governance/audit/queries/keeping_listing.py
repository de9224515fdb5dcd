"""The list of papers with their days, narrowed, and as a file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from governance.audit.queries.keeping import STATE_NAMES, Kept, State, kept_papers

HEADERS: Final = (
    "paper", "kind", "rule", "source of the rule", "rule adopted", "from", "kept until", "state", "why not yet",
    "disposed of on",
)  # fmt: skip


@dataclass(frozen=True)
class KeptWanted:
    """ "" asks for all."""

    state: str = ""
    kind: str = ""
    words: str = ""

    def takes(self, kept: Kept) -> bool:
        """Whether a paper is asked for."""
        words = self.words.casefold().split()
        told = f"{kept.paper.reference} {kept.paper.get_kind_display()}".casefold()
        return (
            self.state in ("", kept.state.value)
            and self.kind in ("", kept.rule.kind.value)
            and all(word in told for word in words)
        )


@dataclass(frozen=True)
class KeptPage:
    """rows: those that are asked for. counts: of all papers, by state, in the order of states. soonest: of those that
    are kept until their day, the first of these days."""

    rows: Sequence[Kept]
    counts: Sequence[tuple[str, Any, int]]
    may_go: int
    open: int
    total: int
    soonest: date | None = None


def kept_page(wanted: KeptWanted, today: date) -> KeptPage:
    """Papers that may go first, then by their day, then by reference."""
    every = kept_papers(today)
    counted = Counter(one.state for one in every)
    order = {state: place for place, state in enumerate(State)}
    rows = sorted(
        filter(wanted.takes, every), key=lambda one: (order[one.state], one.until or date.max, one.paper.reference)
    )
    counts = [(state.value, STATE_NAMES[state], counted[state]) for state in State if counted[state]]
    soonest = min((one.until for one in every if one.state is State.UNTIL and one.until), default=None)
    return KeptPage(rows, counts, counted[State.MAY_GO], counted[State.OPEN], len(every), soonest)


def kept_file(wanted: KeptWanted, today: date) -> Iterator[tuple[Any, ...]]:
    """The same as rows of a file."""
    for one in kept_page(wanted, today).rows:
        disposed = timezone.localdate(one.disposal.disposed_at).isoformat() if one.disposal else ""
        yield (
            one.paper.reference, str(one.paper.get_kind_display()), f"{one.rule.kind.label}: {one.rule.words}",
            one.rule.source, _yes(one.rule.is_adopted), _iso(one.since), _iso(one.until), str(one.state_name), one.why,
            disposed,
        )  # fmt: skip


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""


def _yes(is_so: bool) -> str:
    return str(_("yes") if is_so else _("no"))
