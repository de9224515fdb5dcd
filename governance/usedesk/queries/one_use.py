"""One use that was made: its specimens with the answer of that day, what came back, the clauses then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import BooleanField, Case, Count, Exists, OuterRef, Q, QuerySet, Value, When
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.changes import Change, changes_of, newest_first
from governance.engine.uses import Answer
from governance.papers.models import Paper
from governance.papers.restriction import opens, restricted_words
from governance.usedesk.deeds import LOANS, Deed
from governance.usedesk.models import LoanReturn, MadeUse, Remedy, UseItem
from governance.usedesk.models import Sequence as Archived
from governance.usedesk.queries.judging import standing_of
from governance.usedesk.queries.made import NOT_SHOWN
from governance.usedesk.queries.whereabouts import gone_of, still_out

STANDINGS = {
    "within": gettext_lazy("Within the terms of that day"),
    "approved": gettext_lazy("Approved by a decision"),
    "open": gettext_lazy("Not shown to be within the terms"),
    "outside": gettext_lazy("Not within the terms as known"),
}
"""How a specimen of a use stands towards the terms of its day."""

STATES = {
    "out": gettext_lazy("Out"), "back": gettext_lazy("Back"), "kept": gettext_lazy("No longer here"),
    "lost": gettext_lazy("Lost"), "used-up": gettext_lazy("Used up"), "lent-on": gettext_lazy("Lent on"),
}  # fmt: skip
"""Where a specimen of a loan is."""

_AT_ONCE = 1_000


@dataclass(frozen=True)
class Reason:
    """One reason of that day as a reader may see it. hidden: the line in place of words not open to them."""

    answer: int
    sentence: str
    paper: int | None
    reference: str
    clause: str = ""
    page: int | None = None
    number: str = ""
    hidden: str = ""


@dataclass(frozen=True)
class Group:
    """Specimens with the same answer for the same reasons. standing: within, approved, open, outside."""

    answer: Answer
    is_silent: bool
    standing: str
    count: int
    reasons: tuple[Reason, ...]

    @property
    def word(self) -> Answer:
        """As screens call it: silence stays silence, however the house reads it."""
        return Answer.SILENT if self.is_silent else self.answer


@dataclass(frozen=True)
class ItemRow:
    """One specimen. state: "out", "back", "kept", "lost", "used-up", "lent-on", or "" where none of these is asked."""

    item: Any
    standing: str
    state: str = ""
    state_on: date | None = None
    by: Any = None


def use_of(pk: int) -> QuerySet[MadeUse]:
    """The entry with what its page names."""
    return MadeUse.objects.filter(pk=pk).select_related(
        "recipient", "request", "parent", "scan", "recorded_by", "voided_by"
    )


def items_of(made: MadeUse, q: str = "", show: str = "") -> QuerySet[UseItem]:
    """The specimens, by number. show: "out" or "back" of a loan; "outside" or "open" of any."""
    rows = made.items.select_related("specimen__name", "specimen__accession", "returned", "product", "decision")
    for word in q.split():
        rows = rows.filter(Q(specimen__catalog_number__icontains=word) | Q(specimen__name__shown__icontains=word))
    if show == "out":
        rows = still_out(made.deed, rows)
    elif show == "back":
        rows = rows.filter(returned__isnull=False)
    elif show == "outside":
        rows = rows.filter(is_outside=True)
    elif show == "open":
        rows = rows.filter(NOT_SHOWN)
    return rows.order_by("specimen__catalog_number", "pk").prefetch_related("sequences")


def item_rows(made: MadeUse, items: Sequence[Any]) -> list[ItemRow]:
    """The specimens of one page with where they are: two queries."""
    if made.deed not in LOANS:
        return [ItemRow(item, _standing(item)) for item in items]
    keys = [item.specimen_id for item in items]
    left, onward, home = gone_of(keys), _lent_on(made, keys), _home(made, keys)
    return [
        _of_loan(item, item.returned or home.get(key), left.get(key), onward.get(key))
        for key, item in zip(keys, items, strict=True)
    ]


def _standing(item: Any) -> str:
    if item.answer is None:
        return ""
    return standing_of(item.answer, is_outside=item.is_outside, is_approved=item.decision_id is not None)


def _lent_on(made: MadeUse, keys: Sequence[int]) -> dict[int, UseItem]:
    rows = still_out(MadeUse.Deed.ONWARD_LOAN).filter(use__parent=made, specimen__in=keys)
    return {item.specimen_id: item for item in rows.select_related("use__recipient")}


_STATES: Mapping[str, str] = {Deed.LOSS: "lost", Deed.SAMPLING: "used-up", Deed.EXTRACTION: "used-up"}


def _home(made: MadeUse, keys: Sequence[int]) -> dict[int, LoanReturn]:
    """Of an onward loan: what came back to the house itself, and so from the second borrower, too."""
    if made.parent_id is None:
        return {}
    rows = UseItem.objects.filter(use=made.parent_id, specimen__in=keys, returned__isnull=False)
    return {item.specimen_id: item.returned for item in rows.select_related("returned") if item.returned}


def _of_loan(item: Any, back: LoanReturn | None, left: UseItem | None, onward: UseItem | None) -> ItemRow:
    if back is not None:
        return ItemRow(item, _standing(item), "back", back.on)
    if left is not None:
        return ItemRow(item, _standing(item), _STATES.get(left.use.deed, "kept"), left.use.on, left.use)
    if onward is not None:
        return ItemRow(item, _standing(item), "lent-on", onward.use.on, onward.use)
    return ItemRow(item, _standing(item), "out")


@dataclass(frozen=True)
class LoanCounts:
    """Of a loan: all, still out, back, and what stays away for good."""

    all: int
    out: int
    back: int

    @property
    def away(self) -> int:
        return self.all - self.out - self.back


def loan_counts(made: MadeUse) -> LoanCounts | None:
    """None of an entry that is no loan."""
    if made.deed not in LOANS:
        return None
    at_home = UseItem.objects.filter(use=made.parent_id, specimen=OuterRef("specimen"), returned__isnull=False)
    came = Q(returned__isnull=False) | Q(Exists(at_home))
    found = made.items.aggregate(all=Count("pk"), back=Count("pk", filter=came))
    return LoanCounts(found["all"], still_out(made.deed).filter(use=made).count(), found["back"])


def groups_of(made: MadeUse, reader: Any) -> list[Group]:
    """The answers of that day, strictest first, with their reasons: two queries, whatever the number of specimens.

    The words of a paper are there for its readers alone; that it decided, and how, for all.
    """
    decided = Case(When(decision__isnull=False, then=Value(True)), default=Value(False), output_field=BooleanField())
    rows = list(
        made.items.filter(answer__isnull=False).order_by().annotate(decided=decided)
        .values("answer", "reasons", "decided", "is_outside").annotate(n=Count("pk"))
    )  # fmt: skip
    papers = papers_in(reason for row in rows for reason in row["reasons"])
    groups = [_group(row, papers, reader) for row in rows]
    return sorted(groups, key=lambda group: (-_RANKS[group.standing], -group.answer, -group.count))


_RANKS = {"within": 0, "approved": 1, "open": 2, "outside": 3}


def papers_in(reasons: Iterable[Mapping[str, Any]]) -> dict[int, Paper]:
    """The papers that kept reasons name, by key: one query."""
    keys = {reason["paper"] for reason in reasons if reason.get("paper")}
    return Paper.objects.only("pk", "reference", "restricted_to").in_bulk(keys)


def _group(row: Mapping[str, Any], papers: Mapping[int, Paper], reader: Any) -> Group:
    answer = Answer(row["answer"])
    reasons = tuple(reason_of(one, papers, reader) for one in row["reasons"])
    standing = standing_of(answer, is_outside=row["is_outside"], is_approved=row["decided"])
    return Group(answer, is_silence(answer, row["reasons"]), standing, row["n"], reasons)


def is_silence(answer: int, reasons: Iterable[Mapping[str, Any]]) -> bool:
    """Whether silence alone decided."""
    deciding = [one for one in reasons if one.get("answer") == int(answer)]
    return bool(deciding) and all(one.get("is_silent") for one in deciding)


def reason_of(one: Mapping[str, Any], papers: Mapping[int, Paper], reader: Any) -> Reason:
    """A kept reason as one reader may see it."""
    answer, sentence, reference = one.get("answer", 0), one.get("sentence", ""), one.get("reference", "")
    paper = papers.get(one.get("paper") or 0)
    if one.get("paper") and paper is None:
        return Reason(answer, sentence, None, reference, hidden=_("The paper is no longer on file."))
    if paper is not None and not opens(paper, reader):
        return Reason(answer, sentence, paper.pk, reference, hidden=restricted_words(paper.restricted_to))
    return Reason(
        answer, sentence, paper.pk if paper else None, reference, one.get("clause", ""), one.get("page"),
        one.get("clause_number", ""),
    )  # fmt: skip


def children_of(made: MadeUse) -> QuerySet[MadeUse]:
    """What came from a loan: lent on, kept, sampled, lost."""
    return made.followed_by.select_related("recipient").annotate(item_count=Count("items")).order_by("on", "pk")


def history_of(made: MadeUse, reader: Any) -> list[Change]:
    """Changes of the entry, its returns and its remedies; those of a paper not open to the reader stay out."""
    hidden = [remedy.pk for remedy, words in remedies_of(made, reader) if words]
    of_remedies = [
        change for pk in made.remedies.exclude(pk__in=hidden).values_list("pk", flat=True)
        for change in changes_of(Remedy, id=pk)
    ]  # fmt: skip
    of_entry = changes_of(MadeUse, _("Entry"), id=made.pk)
    return newest_first(of_entry, changes_of(LoanReturn, use_id=made.pk), of_remedies)


def remedies_of(made: MadeUse, reader: Any) -> list[tuple[Remedy, str]]:
    """The remedies, open ones first; beside each the line that stands in place of its words, "" where they are open."""
    rows = list(made.remedies.select_related("paper", "opened_by", "done_by").order_by("done_on", "opened_at", "pk"))
    rows.sort(key=lambda remedy: remedy.done_on is not None)
    return [(remedy, hidden_words(remedy, reader)) for remedy in rows]


def hidden_words(remedy: Remedy, reader: Any) -> str:
    """The line in place of the words of a remedy under a paper that is not open to the reader; "" where it is."""
    paper = remedy.paper
    return "" if paper is None or opens(paper, reader) else restricted_words(paper.restricted_to)


ITEM_HEADER = (
    "catalogue number", "name", "accession", "answer of the day", "within the terms", "approved by decision", "reasons",
    "taken", "left", "nothing left", "made", "where it is", "since", "sequences",
)  # fmt: skip


def items_file(made: MadeUse, q: str, show: str) -> tuple[tuple[str, ...], Iterator[tuple[Any, ...]]]:
    """Head and rows of the file of the specimens. Reasons are the sentences that stand open to everybody."""
    return ITEM_HEADER, _item_lines(made, items_of(made, q, show))


def _item_lines(made: MadeUse, items: QuerySet[UseItem]) -> Iterator[tuple[Any, ...]]:
    found = list(items)
    for first in range(0, len(found), _AT_ONCE):
        for row in item_rows(made, found[first : first + _AT_ONCE]):
            item = row.item
            yield (
                item.specimen.catalog_number, item.specimen.name.shown, item.specimen.accession.number,
                str(item.get_answer_display() or ""), str(STANDINGS.get(row.standing, "")),
                "yes" if item.decision_id else "", " ".join(one.get("sentence", "") for one in item.reasons),
                item.amount, item.left, "yes" if item.is_used_up else "",
                item.product.catalog_number if item.product else "", str(STATES.get(row.state, "")), row.state_on,
                " | ".join(one.accession_number for one in item.sequences.all()),
            )  # fmt: skip


def returns_of(made: MadeUse) -> QuerySet[LoanReturn]:
    """What came back, with how much."""
    return made.returns.select_related("recorded_by").annotate(item_count=Count("items"))


def sequences_of(made: MadeUse) -> int:
    """How many accession numbers the entry has."""
    return Archived.objects.filter(item__use=made).count()
