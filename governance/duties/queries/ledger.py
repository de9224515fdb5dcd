"""The ledger of benefits as one reader may see it: narrowed, ordered, counted, and as the rows of files.

Under a paper that is not open to the reader a promise shows that it is there, its kind, its day and how it stands; its
words and its numbers are for readers of the paper, and no total holds them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.duties.models import BenefitGiven, BenefitPromise, Deposit
from governance.duties.queries.annex import code_words
from governance.duties.queries.benefits import (
    RECEIPT_MISSING,
    STANDINGS,
    PromiseLine,
    PromiseState,
    Total,
    of_country,
    promise_lines,
    totals,
    without_promise,
)
from governance.duties.queries.deposits import SORTS as DEPOSIT_SORTS
from governance.duties.queries.deposits import Share, counted, lines, narrowed, with_count
from governance.papers.countries import country_name
from governance.papers.models import Paper
from governance.papers.restriction import opens, readable, restricted_words

_AHEAD: Final = date.max
SORTS: Final[dict[str, Callable[[PromiseLine], Any]]] = {
    "due": lambda line: line.promise.due_on or _AHEAD,
    "paper": lambda line: line.promise.paper.reference if line.promise.paper else "~",
    "code": lambda line: line.promise.code,
    "state": lambda line: list(STANDINGS).index(line.standing),
    "country": lambda line: country_of(line.promise) or "~",
}
"""Columns by which the promises are ordered, each both ways."""

GIVEN_SORTS: Final = {"on": "on", "code": "code", "paper": "paper__reference", "country": "country"}

GIVEN_SHOWS: Final = {
    "": gettext_lazy("All that stands"), "beside": gettext_lazy("Without a promise"),
    "voided": gettext_lazy("Voided"),
}  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """What the ledger is narrowed to; blank is all. state: of ``STANDINGS``; show: of ``GIVEN_SHOWS``."""

    q: str = ""
    country: str = ""
    paper: Paper | None = None
    state: str = ""
    code: str = ""
    show: str = ""
    sort: str = ""


@dataclass(frozen=True)
class Shown:
    """A row as the reader may see it. hidden: the line in place of words that are not open to them."""

    line: Any
    hidden: str = ""


@dataclass(frozen=True)
class Ledger:
    """promises: those that were asked for. counts: by standing, whatever was asked for. hidden: how many of them are
    in no total because their paper is not open to the reader."""

    promises: list[Shown]
    counts: Counter[str]
    totals: list[Total]
    beside: list[Shown]
    beside_count: int
    hidden: int

    @property
    def count(self) -> int:
        return sum(self.counts.values())

    @property
    def unmeasured(self) -> int:
        return self.counts[PromiseState.NOT_MEASURED]

    @property
    def receipts_missing(self) -> int:
        return self.counts[RECEIPT_MISSING]


BESIDE_SHOWN: Final = 10


def hidden_line(row: Any, reader: Any) -> str:
    """The line in place of what the reader may not read; "" where they may."""
    paper = row.paper
    return "" if paper is None or opens(paper, reader) else restricted_words(paper.restricted_to)


def country_of(row: Any) -> str:
    """The country of a benefit: its own, or else that of its paper."""
    return row.country or (row.paper.jurisdiction[:2] if row.paper else "")


def ledger(wanted: Wanted, reader: Any, today: date) -> Ledger:
    """Promises against what was given. Six queries, and those of shares where some promise a share."""
    rows = of_country(BenefitPromise.objects.select_related("paper"), wanted.country, wanted.paper)
    if wanted.code:
        rows = rows.filter(code=wanted.code)
    rows = _with_words(rows, wanted.q, reader, ("what", "beneficiary", "clause", "note"))
    every = promise_lines(list(rows), today)
    found = [line for line in every if not wanted.state or line.standing == wanted.state]
    shown = [Shown(line, hidden_line(line.promise, reader)) for line in _ordered(found, wanted.sort)]
    beside = _with_words(
        without_promise(wanted.country, wanted.paper, wanted.code), wanted.q, reader, ("what", "beneficiary", "note")
    )  # fmt: skip
    open_to = _open_to(beside, reader)
    return Ledger(
        shown, Counter(line.standing for line in every),
        totals([one.line for one in shown if not one.hidden], open_to),
        [Shown(row, hidden_line(row, reader)) for row in beside[:BESIDE_SHOWN]], beside.count(),
        sum(bool(one.hidden) for one in shown),
    )  # fmt: skip


def _open_to(rows: QuerySet[Any], reader: Any) -> QuerySet[Any]:
    """Rows of no paper, and of papers that are open to the reader."""
    return rows.filter(Q(paper__isnull=True) | Q(paper__in=readable(Paper.objects.all(), reader).values("pk")))


def _with_words(rows: QuerySet[Any], words: str, reader: Any, columns: Sequence[str]) -> QuerySet[Any]:
    """Rows in which each word stands: in the number of the paper, or in words that the reader may see."""
    for word in words.split():
        own = Q()
        for column in columns:
            own |= Q(**{f"{column}__icontains": word})
        seen = Q(pk__in=_open_to(rows.model._default_manager.filter(own), reader).values("pk"))
        rows = rows.filter(Q(paper__reference__icontains=word) | seen)
    return rows


def _ordered(found: list[PromiseLine], sort: str) -> list[PromiseLine]:
    name = sort.removeprefix("-")
    key = SORTS.get(name, SORTS["due"])
    return sorted(found, key=lambda line: (key(line), line.promise.pk), reverse=sort.startswith("-") and name in SORTS)


def countries_of_benefits() -> list[str]:
    """Countries that some benefit or deposit is of: three queries."""
    found: set[str] = set()
    for model in (BenefitPromise, BenefitGiven):
        pairs = model._default_manager.order_by().values_list("country", "paper__jurisdiction").distinct()
        found.update(own or (of_paper or "")[:2] for own, of_paper in pairs)
    found.update(Deposit.objects.order_by().values_list("country", flat=True).distinct())
    return sorted(found - {""}, key=country_name)


# Lists of what was given and of deposits ------------------------------------------------------------------------------


def given_rows(wanted: Wanted, reader: Any) -> QuerySet[BenefitGiven]:
    """What was given, narrowed and ordered, to be paged."""
    rows = BenefitGiven.objects.select_related("paper", "promise", "scan")
    rows = rows.filter(voided_at__isnull=wanted.show != "voided")
    if wanted.show == "beside":
        rows = rows.filter(promise__isnull=True)
    rows = of_country(rows, wanted.country, wanted.paper)
    if wanted.code:
        rows = rows.filter(code=wanted.code)
    rows = _with_words(rows, wanted.q, reader, ("what", "beneficiary", "evidence", "note"))
    return _by_column(rows, wanted.sort, GIVEN_SORTS)


def deposit_rows(wanted: Wanted, reader: Any) -> QuerySet[Deposit]:
    """Deposits, narrowed and ordered, to be paged. show: "voided" also holds those whose entry of uses was voided."""
    rows = with_count(Deposit.objects.all())
    standing = counted().values("pk")
    rows = rows.exclude(pk__in=standing) if wanted.show == "voided" else rows.filter(pk__in=standing)
    if wanted.show == "receipt":
        rows = rows.filter(receipt="")
    rows = narrowed(rows, country=wanted.country, paper=wanted.paper)
    rows = _with_words(rows, wanted.q, reader, ("depository", "what", "receipt", "note"))
    return _by_column(rows, wanted.sort, DEPOSIT_SORTS)


def _by_column(rows: QuerySet[Any], sort: str, sorts: dict[str, str]) -> QuerySet[Any]:
    name = sort.removeprefix("-")
    column = F(sorts.get(name, "on"))
    is_down = sort.startswith("-") or name not in sorts
    return rows.order_by(column.desc(nulls_last=True) if is_down else column.asc(nulls_last=True), "-pk")


def shown(rows: Sequence[Any], reader: Any) -> list[Shown]:
    """Rows of one page as the reader may see them."""
    return [Shown(row, hidden_line(row, reader)) for row in rows]


def shown_deposits(rows: Sequence[Any], reader: Any) -> list[Shown]:
    """Deposits of one page as the reader may see them."""
    return [Shown(line, hidden_line(line.deposit, reader)) for line in lines(rows)]


# Files ----------------------------------------------------------------------------------------------------------------

PROMISE_HEADER: Final = (
    "paper", "country", "code", "kind of benefit", "what", "for whom", "promised", "given", "open", "unit", "by",
    "state", "entries", "entries in other units", "basis of the share", "clause", "clause number", "page",
    "closed because",
)  # fmt: skip
GIVEN_HEADER: Final = (
    "on", "until", "code", "kind of benefit", "what", "for whom", "country", "amount", "currency", "quantity",
    "of what", "paper", "promise", "evidence", "note", "voided because",
)  # fmt: skip
DEPOSIT_HEADER: Final = (
    "on", "country", "where", "specimens", "what", "accession", "entry of uses", "paper", "receipt", "receipt of",
    "note", "voided because",
)  # fmt: skip


def promise_file(wanted: Wanted, reader: Any, today: date) -> Iterator[tuple[Any, ...]]:
    """The ledger as rows."""
    for one in ledger(wanted, reader, today).promises:
        line, promise = one.line, one.line.promise
        words = promise.paper.reference if promise.paper else ""
        face = (words, country_of(promise), promise.code, code_words(promise.code))
        state = str(STANDINGS[line.standing])
        if one.hidden:
            yield (*face, one.hidden, "", None, None, None, "", promise.due_on, state, "", "", "", "", "", "", "")
            continue
        yield (
            *face, promise.what, promise.beneficiary, *map(number, (line.promised, line.given, line.open)), line.unit,
            promise.due_on, state, line.times, line.others, basis(line.share) if line.share else "", promise.clause,
            promise.clause_number, promise.page, promise.closed_why,
        )  # fmt: skip


def given_file(wanted: Wanted, reader: Any) -> Iterator[tuple[Any, ...]]:
    """What was given, as rows."""
    for one in shown(list(given_rows(wanted, reader)), reader):
        row = one.line
        face = (row.on, row.until_on, row.code, code_words(row.code))
        paper = row.paper.reference if row.paper else ""
        if one.hidden:
            yield (*face, one.hidden, "", country_of(row), None, "", None, "", paper, "", "", "", "")
            continue
        yield (
            *face, row.what, row.beneficiary, country_of(row), number(row.amount), row.currency, number(row.quantity),
            row.unit, paper, row.promise.what if row.promise else "", row.evidence, row.note, row.voided_why,
        )  # fmt: skip


def deposit_file(wanted: Wanted, reader: Any) -> Iterator[tuple[Any, ...]]:
    """Deposits as rows."""
    for one in shown_deposits(list(deposit_rows(wanted, reader)), reader):
        row, line = one.line.deposit, one.line
        paper = row.paper.reference if row.paper else ""
        face = (row.on, row.country, one.hidden or row.depository, line.count)
        named = (str(row.accession or ""), str(row.use or ""), paper)
        if one.hidden:
            yield (*face, "", *named, "", None, "", "")
            continue
        yield (*face, row.what, *named, row.receipt, row.receipt_on, row.note, row.voided_why)


def number(value: Decimal | None) -> float | int | None:
    """A number as a cell of a workbook holds it: at most 14 figures, which a float keeps."""
    if value is None:
        return None
    return int(value) if value == value.to_integral_value() else float(value)


def basis(share: Share) -> str:
    """What a share is of, written out."""
    told = {"n": intcomma(share.deposited), "base": intcomma(share.base), "held": intcomma(share.held),
            "hand": intcomma(share.by_hand), "gone": intcomma(share.gone),
            "else": intcomma(share.elsewhere)}  # fmt: skip
    if not share.base:
        return _("The paper bears on no material here, and nothing is deposited: no share can be told.")
    words = [_("%(n)s of %(base)s records of specimens that the paper bears on: %(n)s deposited, %(held)s held here.")]
    if share.by_hand:
        words.append(_("Of those deposited, %(hand)s were never entered here."))
    if share.elsewhere:
        words.append(_("%(else)s went elsewhere for good and are no deposit that counts here."))
    if share.gone:
        words.append(_("%(gone)s that are gone otherwise are not counted."))
    text = " ".join(words) % told
    if share.unassigned:
        n = share.unassigned
        more = ngettext(
            "%(n)d deposit names no promise, and several promise a share: say on the deposit for which it is.",
            "%(n)d deposits name no promise, and several promise a share: say on each for which it is.", n,
        ) % {"n": n}  # fmt: skip
        text = f"{text} {more}"
    if share.without_receipt:
        n = share.without_receipt
        more = ngettext("%(n)d deposit has no receipt yet.", "%(n)d deposits have no receipt yet.", n) % {"n": n}
        text = f"{text} {more}"
    return text
