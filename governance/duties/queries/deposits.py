"""Deposits in the country of origin: which there are, and which share of the material of a paper they are.

The share is deposited / (deposited + elsewhere + held here), in records of specimens on which the paper bears; a lot is
one record. Elsewhere is what was given, kept by others or returned for good and is no deposit that counts. What is
there no longer (used up, disposed of) is none of these; it is told beside the share. What was never entered here counts
as its deposit says.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_DOWN, Decimal
from typing import Any, Final

from django.db.models import Count, F, IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from accessions.people.changes import Change, changes_of
from governance.duties.models import BenefitPromise, Deposit
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import Paper
from governance.usedesk.deeds import FOR_GOOD, Deed
from governance.usedesk.models import MadeUse, UseItem
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.whereabouts import gone

DEEDS: Final = (Deed.RETURN, Deed.GIFT, Deed.EXCHANGE)
"""Entries of uses that may be a deposit in the country."""

_TO_OTHERS: Final = FOR_GOOD - {Deed.DISPOSAL}
"""Deeds after which others have the material for good."""

SORTS: Final = {
    "on": "on", "country": "country", "depository": "depository", "paper": "paper__reference",
    "specimens": "specimen_count", "receipt": "receipt_on",
}  # fmt: skip


@dataclass(frozen=True)
class DepositLine:
    """A deposit. count: records of specimens. is_counted: it was not voided, and neither was its entry of uses."""

    deposit: Any
    count: int

    @property
    def is_counted(self) -> bool:
        return counts(self.deposit)

    @property
    def accession(self) -> Any:
        return self.deposit.accession

    @property
    def receipt(self) -> str:
        """The number of the receipt; "": none yet."""
        return str(self.deposit.receipt)


def counts(deposit: Deposit) -> bool:
    """Whether a deposit counts: it was not voided, and neither was its entry of uses."""
    return deposit.voided_at is None and (deposit.use is None or deposit.use.voided_at is None)


def counted() -> QuerySet[Deposit]:
    """Deposits that count."""
    return Deposit.objects.filter(Q(use__isnull=True) | Q(use__voided_at__isnull=True), voided_at__isnull=True)


def with_count(rows: QuerySet[Deposit]) -> QuerySet[Deposit]:
    """The rows with ``specimen_count`` and all that a line names: one query."""
    items = UseItem.objects.filter(use=OuterRef("use")).order_by().values("use").annotate(n=Count("pk")).values("n")
    number = Coalesce(F("specimens"), Subquery(items, output_field=IntegerField()), 0)
    return rows.select_related("paper", "promise", "accession", "use", "scan").annotate(specimen_count=number)


def deposits(
    country: str = "", paper: Paper | int | None = None, first: date | None = None, last: date | None = None
) -> list[DepositLine]:
    """Deposits that count, newest first: of a country, of a paper, made from one day to another. One query."""
    rows = narrowed(with_count(counted()), country=country, paper=paper)
    if first:
        rows = rows.filter(on__gte=first)
    if last:
        rows = rows.filter(on__lte=last)
    return lines(rows.order_by("-on", "-pk"))


def narrowed(rows: QuerySet[Deposit], *, country: str = "", paper: Paper | int | None = None) -> QuerySet[Deposit]:
    """The rows of a country and of a paper; blank: of any."""
    if country:
        rows = rows.filter(country=country)
    return rows if paper is None else rows.filter(paper=paper)


def lines(rows: Iterable[Any]) -> list[DepositLine]:
    """Rows of ``with_count`` as lines."""
    return [DepositLine(one, one.specimen_count) for one in rows]


def deposit_page(pk: int) -> QuerySet[Deposit]:
    """One deposit with what its page names."""
    rows = with_count(Deposit.objects.filter(pk=pk))
    return rows.select_related("paper", "promise", "accession", "use__recipient", "scan", "recorded_by", "voided_by")


def history_of(deposit: Deposit) -> list[Change]:
    """Who changed what of a deposit."""
    return changes_of(Deposit, id=deposit.pk)


def uses_to_deposit(query: str = "", own: int | None = None) -> QuerySet[MadeUse]:
    """Entries of uses that may be a deposit and are none that stands, newest first; own: also this one."""
    free = MadeUse.objects.filter(deed__in=DEEDS, voided_at__isnull=True)
    is_free = Q(deposit__isnull=True) | Q(deposit__voided_at__isnull=False)
    rows = free.filter(is_free | Q(pk=own) if own else is_free).select_related("recipient")
    for word in query.split():
        rows = rows.filter(Q(reference__icontains=word) | Q(title__icontains=word) | Q(recipient__name__icontains=word))
    return rows.annotate(item_count=Count("items")).order_by("-on", "-pk")


# Shares ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Share:
    """Which share of the material of a paper is deposited, in records of specimens. by_use, by_hand: deposited by
    entries of uses, and what was never entered here. gone: what is there no longer. without_receipt: deposits for which
    there is no receipt yet. elsewhere: what went to others for good. steps: by day, how many were deposited by then.
    unassigned: deposits that name no promise, where the paper promises several shares: nobody can tell for which."""

    by_use: int
    by_hand: int
    held: int
    gone: int
    without_receipt: int
    elsewhere: int = 0
    steps: tuple[tuple[date, int], ...] = ()
    unassigned: int = 0

    @property
    def deposited(self) -> int:
        return self.by_use + self.by_hand

    @property
    def base(self) -> int:
        """What the share is of."""
        return self.deposited + self.elsewhere + self.held

    @property
    def percent(self) -> Decimal | None:
        """Rounded down, so that no share looks reached before it is; None where there is no material."""
        if not self.base:
            return None
        return (Decimal(100 * self.deposited) / self.base).quantize(Decimal("0.01"), ROUND_DOWN)

    def reaches(self, percent: Decimal) -> bool:
        """Whether at least so much is deposited.

        >>> Share(1, 0, 1, 0, 0).reaches(Decimal(50)), Share(1, 0, 2, 0, 0).reaches(Decimal("33.34"))
        (True, False)
        """
        return bool(self.base) and 100 * self.deposited >= percent * self.base

    def reached_on(self, percent: Decimal) -> date | None:
        """The day of the deposit with which it was so much, of the material as it is known today."""
        return next((on for on, deposited in self.steps if self.base and 100 * deposited >= percent * self.base), None)


def share_of(paper: Paper) -> Share:
    """The share of all deposits of a paper."""
    return shares_of_papers([paper.pk])[paper.pk]


def shares_of_papers(papers: Collection[int]) -> dict[int, Share]:
    """The same for several papers at once."""
    material = _Material(papers)
    return {paper: material.share(paper, material.rows.get(paper, [])) for paper in papers}


def shares(promises: Sequence[BenefitPromise]) -> dict[int, Share]:
    """By key of the promise, the share that answers it: deposits that name it, and those of its paper that name none,
    where they can be for no other promise of a share.

    Promises without a paper have no share: nobody can tell of which material. Deposits in another country than the
    promised one do not count.
    """
    found = {}
    papers = {one.paper_id for one in promises if one.paper_id is not None}
    material, rivals = _Material(papers), _promised_shares(papers)
    for one in promises:
        if one.paper_id is not None:
            named, free = material.answering(one)
            own = [row for row in free if _is_for_one(row, rivals[one.paper_id])]
            share = material.share(one.paper_id, [*named, *own])
            found[one.pk] = replace(share, unassigned=len(free) - len(own))
    return found


def _promised_shares(papers: Collection[int]) -> Mapping[int, list[str]]:
    """By paper, the country of each share that it promises, "" where it says none: one query."""
    found: dict[int, list[str]] = defaultdict(list)
    rows = BenefitPromise.objects.filter(paper__in=papers, share_percent__isnull=False)
    for paper, country in rows.values_list("paper", "country") if papers else ():
        found[paper].append(country)
    return found


def _is_for_one(row: Deposit, countries: Sequence[str]) -> bool:
    return sum(country in ("", row.country) for country in countries) == 1


class _Material:
    """What papers bear on, and what of it is gone or deposited."""

    def __init__(self, papers: Collection[int]) -> None:
        self.under = specimens_under(papers)
        left = list(gone().values_list("specimen", "use__deed")) if papers else []
        self.gone = {specimen for specimen, _deed in left}
        self.elsewhere = {specimen for specimen, deed in left if deed in _TO_OTHERS}
        self.rows: dict[int, list[Deposit]] = defaultdict(list)
        for row in counted().filter(paper__in=papers).select_related("use").order_by() if papers else ():
            self.rows[row.paper_id].append(row)  # type: ignore[index]  # they are filtered by paper
        self.items = _items([row.use_id for rows in self.rows.values() for row in rows if row.use_id])

    def answering(self, promise: BenefitPromise) -> tuple[list[Deposit], list[Deposit]]:
        """Deposits that name the promise, and those that name none."""
        rows = [row for row in self.rows.get(promise.paper_id or 0, []) if promise.country in ("", row.country)]
        return [row for row in rows if row.promise_id == promise.pk], [row for row in rows if row.promise_id is None]

    def share(self, paper: int, rows: Sequence[Deposit]) -> Share:
        under = self.under[paper]
        given = set().union(*(self.items.get(row.use_id or 0, set()) for row in rows)) & under
        away = (under & self.gone) - given
        others = away & self.elsewhere
        counted_here = {row.pk for row in rows}
        by_hand_elsewhere = sum(row.specimens or 0 for row in self.rows.get(paper, ()) if row.pk not in counted_here)
        return Share(
            by_use=len(given), by_hand=sum(row.specimens or 0 for row in rows),
            held=len(under) - len(away) - len(given), gone=len(away) - len(others),
            without_receipt=sum(not row.receipt for row in rows), elsewhere=len(others) + by_hand_elsewhere,
            steps=self._steps(under, rows),
        )  # fmt: skip

    def _steps(self, under: frozenset[int], rows: Sequence[Deposit]) -> tuple[tuple[date, int], ...]:
        """By day, how many were deposited by then."""
        given: set[int] = set()
        by_hand, steps = 0, []
        for row in sorted(rows, key=lambda row: (row.on, row.pk)):
            given |= self.items.get(row.use_id or 0, set()) & under
            by_hand += row.specimens or 0
            steps.append((row.on, len(given) + by_hand))
        return tuple(steps)


def _items(uses: Sequence[int]) -> dict[int, set[int]]:
    """By use, the keys of its specimens: one query."""
    found: dict[int, set[int]] = defaultdict(set)
    sql = "SELECT use_id, specimen_id FROM usedesk_useitem WHERE use_id {keys}"
    for use, specimen in rows_by_keys(sql, uses) if uses else ():
        found[use].add(specimen)
    return found
