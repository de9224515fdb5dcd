"""What versions say of the use of material, as pages show it and forms begin with it."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Count

from governance.engine.uses import Said, Use
from governance.papers.lifetimes import in_order
from governance.papers.models import Paper, PaperVersion, TermsReading, UseTerm
from governance.papers.use_columns import terms_value

USES: Final = len(Use)
_TOGETHER: Final = timedelta(seconds=10)
"""Rows of one save are written in this time."""


def terms_object(version: PaperVersion) -> dict[str, Any]:
    """The value of ``terms_of_use`` of a version; empty if nobody read it. Two queries."""
    reading = TermsReading.objects.filter(version=version).first()
    return terms_value(reading, list(UseTerm.objects.filter(version=version))) if reading else {}


def terms_stamp(value: Mapping[str, Any]) -> str:
    """A mark of what a person saw of the terms, by which a later save knows whether it is still so."""
    return hashlib.sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:32]


@dataclass(frozen=True)
class TermGroup:
    """Uses of which a version says the same, in the same words. term: of the first of them."""

    uses: tuple[Use, ...]
    term: UseTerm


@dataclass(frozen=True)
class VersionTermsRead:
    """What a version says, for a page. number: of the version, from 1. unread: uses of which nothing was entered.

    groups: what it says, in the order of uses. silent: uses of which it says nothing, without a word more.
    """

    number: int
    version: PaperVersion
    reading: TermsReading | None = None
    groups: Sequence[TermGroup] = ()
    silent: Sequence[Use] = ()
    unread: Sequence[Use] = ()
    changed_at: datetime | None = None
    changed_by: str = ""
    by_said: Mapping[Said, tuple[Use, ...]] = field(default_factory=dict)

    @property
    def read_count(self) -> int:
        return USES - len(self.unread)

    @property
    def was_changed(self) -> bool:
        """Whether somebody changed something after it was read first."""
        if self.reading is None or self.changed_at is None:
            return False
        return self.changed_at - self.reading.read_at > _TOGETHER

    @property
    def state(self) -> str:
        """``read``, ``partly`` or ``not-read``."""
        return state_of(self.read_count)


def state_of(read: int) -> str:
    """How far the terms of a version were read, by the number of uses that were.

    >>> [state_of(count) for count in (0, 1, 17, 18)]
    ['not-read', 'partly', 'partly', 'read']
    """
    return "not-read" if not read else "read" if read >= USES else "partly"


def binding(ordered: Sequence[PaperVersion], on: date) -> PaperVersion:
    """Of versions in order the one whose terms bind on a day: the last that had started, else the first to come."""
    started = [version for version in ordered if (version.in_force_from or date.min) <= on]
    return started[-1] if started else ordered[0]


def terms_of_versions(versions: Iterable[PaperVersion]) -> list[VersionTermsRead]:
    """Those of the versions of one paper, in their order. Three queries."""
    ordered = in_order(versions)
    keys = [version.pk for version in ordered]
    readings = {r.version_id: r for r in TermsReading.objects.filter(version__in=keys).select_related("read_by")}
    terms: dict[int, list[UseTerm]] = defaultdict(list)
    for term in UseTerm.objects.filter(version__in=keys).order_by("use"):
        terms[term.version_id].append(term)
    changes = _last_changes(keys) if readings else {}
    return [
        _read(number, version, readings.get(version.pk), terms[version.pk], changes.get(version.pk))
        for number, version in enumerate(ordered, 1)
    ]


def _read(
    number: int, version: PaperVersion, reading: TermsReading | None, terms: Sequence[UseTerm],
    change: tuple[datetime, str] | None,
) -> VersionTermsRead:  # fmt: skip
    told = {Use(term.use): term for term in terms}
    by_said: dict[Said, tuple[Use, ...]] = {}
    for use, term in told.items():
        by_said[Said(term.said)] = (*by_said.get(Said(term.said), ()), use)
    plain = [use for use, term in told.items() if _is_plainly_silent(term)]
    return VersionTermsRead(
        number, version, reading, groups=_groups([term for use, term in told.items() if use not in plain]),
        silent=plain, unread=[use for use in Use if use not in told],
        changed_at=change[0] if change else None, changed_by=change[1] if change else "",
        by_said={said: by_said[said] for said in Said if said in by_said},
    )  # fmt: skip


def _is_plainly_silent(term: UseTerm) -> bool:
    return term.said == Said.SILENT and not term.clause


_OWN: Final = ("id", "version_id", "use")
"""Columns in which the same words about two uses differ."""


def _groups(terms: Iterable[UseTerm]) -> list[TermGroup]:
    found: dict[tuple[Any, ...], list[UseTerm]] = {}
    for term in terms:
        key = tuple(getattr(term, f.attname) for f in UseTerm._meta.concrete_fields if f.attname not in _OWN)
        found.setdefault(key, []).append(term)
    return [TermGroup(tuple(Use(one.use) for one in same), same[0]) for same in found.values()]


def _last_changes(versions: Sequence[int]) -> dict[int, tuple[datetime, str]]:
    """By version when and by whom its terms were changed last, from the history."""
    found: dict[int, tuple[datetime, str]] = {}
    for model in (TermsReading, UseTerm):
        rows = model.history.filter(version_id__in=versions).select_related("history_user").order_by("history_date")
        for row in rows:
            at, by = row.history_date, row.history_user.shown_name if row.history_user else ""
            if row.version_id not in found or found[row.version_id][0] <= at:
                found[row.version_id] = (at, by)
    return found


def earlier_with_terms(version: PaperVersion) -> list[tuple[int, PaperVersion]]:
    """Earlier versions of the same paper whose terms were read, newest first, each with its number. One query."""
    ordered = in_order(PaperVersion.objects.filter(paper=version.paper_id).select_related("terms_reading"))
    before = ordered[: next(n for n, one in enumerate(ordered) if one.pk == version.pk)]
    read = [(number, one) for number, one in enumerate(before, 1) if getattr(one, "terms_reading", None) is not None]
    return read[::-1]


def number_of(version: PaperVersion) -> int:
    """From 1, by first day; one query."""
    starts = PaperVersion.objects.filter(paper=version.paper_id).values_list("in_force_from", flat=True)
    return sum(1 for start in starts if (start or date.min) <= (version.in_force_from or date.min))


def read_counts(papers: Iterable[Paper] | None = None) -> dict[int, int]:
    """By version how many uses were read; one query."""
    rows = UseTerm.objects.order_by()
    if papers is not None:
        rows = rows.filter(version__paper__in=papers)
    return dict(rows.values_list("version").annotate(n=Count("pk")))
