"""Benefits: what was promised against what was given.

Only the same counts against the same: an amount in the currency of the promise, a quantity in its unit, a share of the
material by its deposits. Of what was given in other units nobody can say whether it is enough, so such a promise is
"not measured", never met, until a person closes it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from itertools import accumulate
from typing import Any, Final

from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from accessions.people.changes import Change, changes_of, newest_first
from governance.duties.models import BenefitGiven, BenefitPromise
from governance.duties.queries.deposits import Share, counted, shares, with_count
from governance.papers.models import Paper

_SPECIMENS: Final = frozenset({"specimen", "specimens"})
"""Units in which a deposit is counted."""


class PromiseState(StrEnum):
    """How a promise stands. The words stand in addresses and files: never change one."""

    OPEN = "open"
    OVERDUE = "overdue"
    MET = "met"
    CLOSED = "closed"
    NOT_MEASURED = "not-measured"


STATES: Final = {
    PromiseState.OPEN: pgettext_lazy("promise", "Open"),
    PromiseState.OVERDUE: _("Late"),
    PromiseState.MET: _("Met"),
    PromiseState.CLOSED: _("Closed"),
    PromiseState.NOT_MEASURED: _("Cannot be measured"),
}
"""The states on screens."""

RECEIPT_MISSING: Final = "receipt-missing"
"""How a promise is shown that is met by deposits of which some have no receipt: there is still something to see to."""

STANDINGS: Final[dict[str, Any]] = {
    PromiseState.OPEN.value: STATES[PromiseState.OPEN],
    PromiseState.OVERDUE.value: STATES[PromiseState.OVERDUE],
    RECEIPT_MISSING: _("Met, receipt missing"),
    PromiseState.MET.value: STATES[PromiseState.MET],
    PromiseState.CLOSED.value: STATES[PromiseState.CLOSED],
    PromiseState.NOT_MEASURED.value: STATES[PromiseState.NOT_MEASURED],
}
"""The same with the receipt told, in the order of lists."""


@dataclass(frozen=True)
class PromiseLine:
    """A promise and what was given for it. promised, given, open: in ``unit`` (a currency, what is counted, or "%" of
    the material); None where the promise has no measure, or where it cannot be told. others: entries of what was given
    that the unit does not measure. times: entries in all. is_past: its day is over. without_receipt: deposits that
    count for it and have no receipt yet. met_on: the day on which what counts reached what is
    promised."""

    promise: Any
    promised: Decimal | None
    given: Decimal | None
    open: Decimal | None
    unit: str
    state: PromiseState
    others: int = 0
    times: int = 0
    share: Share | None = None
    is_past: bool = False
    without_receipt: int = 0
    met_on: date | None = None

    @property
    def lacks_receipt(self) -> bool:
        """Met, and not proven by receipts."""
        return self.state == PromiseState.MET and self.without_receipt > 0

    @property
    def standing(self) -> str:
        """The state, or that it is met and a receipt is missing: a key of ``STANDINGS``."""
        return RECEIPT_MISSING if self.lacks_receipt else self.state.value

    @property
    def is_money(self) -> bool:
        return self.promise.amount is not None

    @property
    def is_share(self) -> bool:
        return self.promise.share_percent is not None


_NO_OTHERS: Final = Q(pk__in=())


def promises(
    country: str = "", paper: Paper | int | None = None, *, today: date, others: Q = _NO_OTHERS
) -> list[PromiseLine]:
    """Promises by their day, those without one last: of a country and others, of a paper. Three queries, and those of
    ``deposits.shares`` where some promise a share of the material."""
    rows = BenefitPromise.objects.select_related("paper", "closed_by")
    return promise_lines(list(of_country(rows, country, paper, others)), today)


def of_country(
    rows: QuerySet[Any], country: str, paper: Paper | int | None = None, others: Q = _NO_OTHERS
) -> QuerySet[Any]:
    """Benefits of a country, as they say, or else as the jurisdiction of their paper does, and others that count as of
    it; and of a paper."""
    if country:
        rows = rows.filter(Q(country=country) | Q(country="", paper__jurisdiction__startswith=country) | others)
    return rows if paper is None else rows.filter(paper=paper)


def given(
    country: str = "", paper: Paper | int | None = None, first: date | None = None, last: date | None = None,
    *, others: Q = _NO_OTHERS,
) -> list[BenefitGiven]:  # fmt: skip
    """What was given and not voided, newest first; first, last: on days between them, or lasting into them; others: as
    of ``of_country``."""
    rows = BenefitGiven.objects.filter(voided_at__isnull=True).select_related("paper", "promise", "scan")
    rows = of_country(rows, country, paper, others)
    if first:
        rows = rows.filter(Q(on__gte=first) | Q(until_on__gte=first))
    if last:
        rows = rows.filter(on__lte=last)
    return list(rows.order_by("-on", "-pk"))


# Measuring ------------------------------------------------------------------------------------------------------------


def unit_key(unit: str) -> str:
    """Two units are the same if they differ in capitals and blanks alone.

    >>> unit_key(" Days of  training") == unit_key("days of training")
    True
    """
    return " ".join(unit.split()).casefold()


@dataclass
class _Given:
    """For one promise: by unit how much was given on which days, entries by unit, and deposits without a receipt."""

    steps: dict[str, list[tuple[date, Decimal]]]
    times: dict[str, int]
    without_receipt: int = 0

    @property
    def all_times(self) -> int:
        return sum(self.times.values())

    def sum_of(self, units: Iterable[str]) -> Decimal:
        return sum((number for unit in units for _on, number in self.steps.get(unit, ())), Decimal(0))

    def reached_on(self, promised: Decimal, units: Iterable[str]) -> date | None:
        """The day on which the sum of these units first reached what is promised."""
        steps = sorted(step for unit in units for step in self.steps.get(unit, ()))
        sums = accumulate(number for _on, number in steps)
        return next((on for (on, _number), so_far in zip(steps, sums, strict=True) if so_far >= promised), None)


def promise_lines(rows: Sequence[BenefitPromise], today: date) -> list[PromiseLine]:
    """Promises with what was given for them."""
    sums = _given_for(rows)
    by_share = shares([one for one in rows if one.share_percent is not None])
    return [_line(one, sums[one.pk], by_share.get(one.pk), today) for one in rows]


def _given_for(rows: Iterable[BenefitPromise]) -> Mapping[int, _Given]:
    """By promise what was given in each unit, deposits counted in specimens: two queries."""
    keys = [one.pk for one in rows]
    found: dict[int, _Given] = defaultdict(lambda: _Given(defaultdict(list), defaultdict(int)))
    for row in _sums(keys):
        own = found[row["promise"]]
        unit = row["currency"] or unit_key(row["unit"])
        own.steps[unit].append((row["day"], row["money" if row["currency"] else "number"] or Decimal(0)))
        own.times[unit] += row["n"]
    for one in with_count(counted().filter(promise__in=keys)).order_by():
        own = found[one.promise_id]  # type: ignore[index]  # they are filtered by promise
        count = Decimal(one.specimen_count)  # type: ignore[attr-defined]  # ``with_count`` adds it
        own.steps["specimens"].append((one.on, count))
        own.times["specimens"] += 1
        own.without_receipt += not one.receipt
    return found


def _sums(keys: Sequence[int]) -> QuerySet[BenefitGiven, Any]:
    """What was given, by day. What lasted, such as a course, was given whole on its last day."""
    rows = BenefitGiven.objects.filter(promise__in=keys, voided_at__isnull=True).order_by()
    return rows.values("promise", "currency", "unit", day=Coalesce("until_on", "on")).annotate(
        money=Sum("amount"), number=Sum("quantity"), n=Count("pk")
    )


def _line(promise: BenefitPromise, given_for: _Given, share: Share | None, today: date) -> PromiseLine:
    promised, unit, keys = _measure(promise)
    got: Decimal | None = given_for.sum_of(keys)
    others = given_for.all_times - sum(given_for.times.get(key, 0) for key in keys)
    met_on = given_for.reached_on(promised, keys) if promised is not None else None
    if promise.share_percent is not None:
        met_on = share.reached_on(promise.share_percent) if share else None
        got, others = (share.percent if share and (met_on or not share.unassigned) else None), 0
    got = got if promised is not None else None
    is_past = promise.due_on is not None and promise.due_on < today
    cannot_tell = got is None and (promised is not None or bool(given_for.all_times))
    return PromiseLine(
        promise, promised, got, None if promised is None or got is None else max(promised - got, Decimal(0)), unit,
        _state(promise, is_met=met_on is not None, cannot_tell=cannot_tell or others > 0, is_past=is_past),
        others=others if promised is not None else given_for.all_times, times=given_for.all_times,
        share=share, is_past=is_past, met_on=met_on,
        without_receipt=share.without_receipt if share else given_for.without_receipt,
    )  # fmt: skip


def _measure(promise: BenefitPromise) -> tuple[Decimal | None, str, frozenset[str]]:
    """How much is promised, its unit as shown, and the units that count for it."""
    if promise.share_percent is not None:
        return promise.share_percent, "%", frozenset()
    if promise.amount is not None:
        return promise.amount, promise.currency, frozenset({promise.currency})
    if promise.quantity is not None:
        key = unit_key(promise.unit)
        return promise.quantity, promise.unit, _SPECIMENS if key in _SPECIMENS else frozenset({key})
    return None, "", frozenset()


def _state(promise: BenefitPromise, *, is_met: bool, cannot_tell: bool, is_past: bool) -> PromiseState:
    if promise.closed_at is not None:
        return PromiseState.CLOSED
    if is_met:
        return PromiseState.MET
    if cannot_tell:
        return PromiseState.NOT_MEASURED
    return PromiseState.OVERDUE if is_past else PromiseState.OPEN


# Totals ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Total:
    """Of one currency, or of one unit: promised, given for these promises, still open, and given without a promise.
    Never added across units."""

    unit: str
    is_money: bool
    promised: Decimal
    given: Decimal
    open: Decimal
    beside: Decimal


def totals(lines: Sequence[PromiseLine], beside: QuerySet[BenefitGiven]) -> list[Total]:
    """Currencies first, each alone; then what is counted, each unit alone. Shares are no sums. One query.

    beside: what was given without a promise. What is open of a promise that was closed is owed no longer.
    """
    found: dict[tuple[bool, str], list[Decimal]] = defaultdict(lambda: [Decimal(0)] * 4)
    names: dict[tuple[bool, str], str] = {}
    for line in lines:
        if line.promised is None or line.given is None or line.is_share:
            continue
        key = (not line.is_money, line.unit if line.is_money else unit_key(line.unit))
        names.setdefault(key, line.unit)
        is_owed = line.state != PromiseState.CLOSED
        owed = line.open if is_owed and line.open is not None else Decimal(0)
        found[key] = [a + b for a, b in zip(found[key], (line.promised, line.given, owed, Decimal(0)), strict=True)]
    for row in beside.order_by().values("currency", "unit").annotate(money=Sum("amount"), number=Sum("quantity")):
        key = (not row["currency"], row["currency"] or unit_key(row["unit"]))
        if row["currency"] or row["unit"]:
            names.setdefault(key, row["currency"] or row["unit"])
            found[key] = [*found[key][:3], found[key][3] + (row["money"] or row["number"] or Decimal(0))]
    return [Total(names[key], not key[0], *sums) for key, sums in sorted(found.items())]


def without_promise(country: str = "", paper: Paper | int | None = None, code: str = "") -> QuerySet[BenefitGiven]:
    """What was given that no promise asked for, newest first."""
    rows = BenefitGiven.objects.filter(voided_at__isnull=True, promise__isnull=True).select_related("paper", "scan")
    rows = of_country(rows, country, paper)
    return (rows.filter(code=code) if code else rows).order_by("-on", "-pk")


# One benefit ----------------------------------------------------------------------------------------------------------


def promise_of(pk: int) -> QuerySet[BenefitPromise]:
    """A promise with what its page names."""
    return BenefitPromise.objects.filter(pk=pk).select_related("paper", "closed_by")


def given_of(pk: int) -> QuerySet[BenefitGiven]:
    """What was given, with what its page names."""
    return BenefitGiven.objects.filter(pk=pk).select_related("paper", "promise", "scan", "recorded_by", "voided_by")


def history_of_promise(promise: BenefitPromise) -> list[Change]:
    """Who changed what of a promise, and what was entered for it."""
    return newest_first(
        changes_of(BenefitPromise, id=promise.pk), changes_of(BenefitGiven, called=str(_("gift")), promise=promise.pk)
    )


def history_of_given(row: BenefitGiven) -> list[Change]:
    """Who changed what of an entry."""
    return changes_of(BenefitGiven, id=row.pk)
