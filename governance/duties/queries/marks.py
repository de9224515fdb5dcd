"""Whether the duties are older than the register: a mark over the newest entries of all that they rest on."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from django.db import connection
from django.db.models import Q
from django.utils import timezone

from accessions.material.models import Specimen
from governance.duties.models import DutyRule

_FEW: Final = (
    "papers_historicalpaper", "papers_historicalpaperversion", "papers_historicalpaperstatus",
    "papers_historicalcondition", "papers_historicaltitlerecord", "duties_historicaldutyrule",
    "duties_historicaldutyhouse", "duties_historicalbenefitpromise", "duties_historicalbenefitgiven",
    "duties_historicaldeposit", "plans_historicalfieldplan", "plans_historicalstop", "plans_historicalstoptrap",
    "plans_historicalplannotice",
)  # fmt: skip
"""Each change of these leaves a row in its history; so does a removal. They are counted as well: of two changes at once
the one with the higher number may be kept first, and the newest number would not tell that the other came."""

_MANY: Final = (
    "material_historicalaccession", "material_historicalpart", "material_historicalsamplingevent",
    "material_historicalspecimen", "material_historicalpoolmember", "sites_historicalsite",
    "usedesk_historicalmadeuse", "usedesk_historicaluseitem",
)  # fmt: skip
"""Likewise, but too many to be counted after each change: two such changes at once are seen with the next one, or by
the run of the day."""

_DATED: Final = ("papers_paperlink", "plans_planpaper")
"""Links are never deleted: the newest one and the newest end tell of each change."""

_ANY_RULE: Final = (
    "EXISTS (SELECT 1 FROM duties_dutyrun) OR EXISTS (SELECT 1 FROM duties_dutyrule) "
    "OR EXISTS (SELECT 1 FROM papers_condition WHERE report_by <> '' OR notice_days IS NOT NULL) "
    "OR EXISTS (SELECT 1 FROM duties_benefitpromise WHERE due_on IS NOT NULL)"
)
_NEWEST_RUN: Final = "(SELECT mark FROM duties_dutyrun ORDER BY id DESC LIMIT 1)"
_STATE: Final = ", ".join(
    [f"(SELECT MAX(history_id) FROM {table})" for table in (*_FEW, *_MANY)]
    + [f"(SELECT COUNT(*) FROM {table})" for table in _FEW]
    + [f"(SELECT MAX({column}) FROM {table})" for table in _DATED for column in ("id", "unlinked_at")]
)


def mark() -> str:
    """The mark of the register as it stands: SHA-256. It differs after each change that a duty may rest on, and in a
    new year, since the duties of the calendar are known for one year more. One query."""
    return _hashed(_row(f"SELECT {_STATE}"))


def is_behind() -> bool:
    """Whether the duties are to be worked out again; never where nothing asks for any. One query."""
    any_rule, newest, *state = _row(f"SELECT {_ANY_RULE}, {_NEWEST_RUN}, {_STATE}")
    return bool(any_rule) and newest != _hashed(state)


MUCH: Final = 20_000
"""Specimens of which the days and uses are looked through while a person waits for the page."""


def rests_on_much() -> bool:
    """Whether some duty rests on days of taking or on uses, in a register so large that it takes seconds. At most two
    queries."""
    newest = Specimen.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    if newest <= MUCH:
        return False
    counted = ["after-collection", "after-last-field-day", "before-leaving", "after-publication", "after-use"]
    rules = DutyRule.objects.filter(ended_at__isnull=True, paper__isnull=False)
    return rules.filter(Q(when__in=counted) | Q(if_nothing=False)).exists()


def last_known_day(today: date) -> date:
    """Duties of the calendar are made for days up to this one: the end of next year."""
    return date(min(today.year + 1, date.max.year), 12, 31)


def _row(sql: str) -> Sequence[Any]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        found: Sequence[Any] = cursor.fetchone()
    return found


def _hashed(state: Sequence[Any]) -> str:
    told = [str(last_known_day(timezone.localdate())), *map(str, state)]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()
