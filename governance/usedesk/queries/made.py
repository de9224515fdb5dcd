"""Uses that were made, for their list and its files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Count, Exists, F, IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, ExtractYear
from django.utils.translation import gettext_lazy as _

from governance.engine.uses import Answer
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import DeskRules, MadeUse, Recipient, Remedy, UseItem
from governance.usedesk.queries.whereabouts import still_out

SORTS: Final = {
    "on": "on", "number": "reference", "deed": "deed", "recipient": "recipient__name", "due": "due_on",
    "specimens": "item_count",
}  # fmt: skip
"""Columns by which the list is ordered, each both ways."""

SHOWS: Final = {
    "": _("All that stand"),
    "overdue": _("Overdue loans"),
    "out": _("Loans still out"),
    "outside": _("Not within the terms as known"),
    "open": _("Not shown to be within the terms"),
    "remedies": _("With an open remedy"),
    "voided": _("Voided"),
}
"""What the list may be narrowed to."""


@dataclass(frozen=True)
class Wanted:
    """What the list is narrowed to; blank is all. show: of ``SHOWS``."""

    q: str = ""
    show: str = ""
    deed: str = ""
    recipient: str = ""
    country: str = ""
    year: str = ""
    sort: str = "-on"


@dataclass(frozen=True)
class Line:
    """One entry in the list. open: specimens of which it is not shown that the terms allowed it."""

    made: Any
    today: date
    grace: int

    @property
    def overdue_days(self) -> int:
        return overdue_days(self.made.due_on, self.made.out_count, self.today, self.grace)


def overdue_days(due_on: date | None, out: int, today: date, grace: int) -> int:
    """Days since a loan of which something is still out was due; 0 if it is not late, or within the days of grace."""
    if not out or due_on is None or due_on >= today - timedelta(grace):
        return 0
    return (today - due_on).days


def uses(wanted: Wanted, today: date) -> QuerySet[MadeUse]:
    """Entries with ``item_count``, ``out_count``, ``open_count`` and ``remedy_count``: one query."""
    items = UseItem.objects.filter(use=OuterRef("pk"))
    rows = MadeUse.objects.select_related("recipient", "request").annotate(
        item_count=counted(items), out_count=Coalesce(_out_count(), 0),
        open_count=counted(items.filter(NOT_SHOWN)), remedy_count=counted(_open_remedies()),
    )  # fmt: skip
    return _ordered(_narrowed(rows, wanted, today), wanted.sort)


NOT_SHOWN: Final = Q(
    answer__in=[int(Answer.SILENT), int(Answer.NOT_KNOWN)], decision__isnull=True, is_outside=False
)  # fmt: skip
"""Items of which the terms do not say that the use was allowed, nor that it was not."""


def counted(rows: QuerySet[Any], by: str = "use") -> Coalesce:
    """How many rows there are for each entry, as a column of it."""
    found = rows.order_by().values(by).annotate(n=Count("pk")).values("n")
    return Coalesce(Subquery(found, output_field=IntegerField()), 0)


def _out_count() -> Any:
    """Of a loan, what is still out; of an onward loan the same by its own rule."""
    onward, lent = (
        counted(still_out(deed).filter(use=OuterRef("pk"))) for deed in (MadeUse.Deed.ONWARD_LOAN, MadeUse.Deed.LOAN)
    )
    return onward + lent


def _open_remedies() -> QuerySet[Remedy]:
    return Remedy.objects.filter(use=OuterRef("pk"), done_on__isnull=True)


def _narrowed(rows: QuerySet[MadeUse], wanted: Wanted, today: date) -> QuerySet[MadeUse]:
    for word in wanted.q.split():
        own = Q(reference__icontains=word) | Q(title__icontains=word) | Q(doi__icontains=word)
        named = Q(citation__icontains=word) | Q(recipient__name__icontains=word) | Q(request__reference__icontains=word)
        number = Exists(UseItem.objects.filter(use=OuterRef("pk"), specimen__catalog_number__iexact=word))
        rows = rows.filter(own | named | Q(number))
    if wanted.deed:
        rows = rows.filter(deed=wanted.deed)
    if wanted.recipient:
        rows = rows.filter(recipient=int(wanted.recipient))
    if wanted.country:
        rows = rows.filter(recipient__country=wanted.country)
    if wanted.year:
        rows = rows.filter(on__year=int(wanted.year))
    return _shown(rows, wanted.show, today)


def _shown(rows: QuerySet[MadeUse], show: str, today: date) -> QuerySet[MadeUse]:
    if show == "voided":
        return rows.filter(voided_at__isnull=False)
    rows = rows.filter(voided_at__isnull=True)
    if show == "outside":
        return rows.filter(is_outside=True)
    counted_as: dict[str, dict[str, Any]] = {  # columns that ``uses`` adds
        "open": {"open_count__gt": 0}, "remedies": {"remedy_count__gt": 0}, "out": {"out_count__gt": 0},
        "overdue": {"out_count__gt": 0},
    }  # fmt: skip
    rows = rows.filter(**counted_as[show]) if show in counted_as else rows
    return rows.filter(due_on__lt=today - timedelta(grace_days())) if show == "overdue" else rows


def _ordered(rows: QuerySet[MadeUse], sort: str) -> QuerySet[MadeUse]:
    column = F(SORTS.get(sort.removeprefix("-"), "on"))
    return rows.order_by(column.desc(nulls_last=True) if sort.startswith("-") else column.asc(nulls_last=True), "-pk")


def grace_days() -> int:
    """Days after the due day before a loan is shown as overdue."""
    return DeskRules.objects.values_list("overdue_grace_days", flat=True).first() or 0


def lines(found: list[MadeUse], today: date) -> list[Line]:
    """Entries of ``uses`` as lines: one query for the rules."""
    grace = grace_days()
    return [Line(made, today, grace) for made in found]


def overdue(today: date) -> QuerySet[MadeUse]:
    """Loans of which something is out after its day, longest overdue first."""
    late = uses(Wanted(show="overdue"), today)
    return late.order_by("due_on", "pk")


@dataclass(frozen=True)
class Counts:
    """How many entries stand; of them how many are late, not within the terms, or have an open remedy."""

    all: int
    overdue: int
    outside: int
    remedies: int


def counts(today: date) -> Counts:
    """The numbers that the list starts with: three queries."""
    stands = MadeUse.objects.filter(voided_at__isnull=True)
    found = stands.aggregate(all=Count("pk"), outside=Count("pk", filter=Q(is_outside=True)))
    late = stands.filter(_is_out(), deed__in=LOANS, due_on__lt=today - timedelta(grace_days())).count()
    remedies = Remedy.objects.filter(done_on__isnull=True, use__voided_at__isnull=True).count()
    return Counts(found["all"], late, found["outside"], remedies)


def _is_out() -> Q:
    lent, onward = (
        Exists(still_out(deed).filter(use=OuterRef("pk"))) for deed in (MadeUse.Deed.LOAN, MadeUse.Deed.ONWARD_LOAN)
    )
    return Q(lent) | Q(onward)


def recipients_of_uses() -> list[tuple[int, str]]:
    """Recipients that some entry names."""
    rows = Recipient.objects.filter(Exists(MadeUse.objects.filter(recipient=OuterRef("pk"))))
    return list(rows.values_list("pk", "name"))


def countries_of_uses() -> list[str]:
    """Countries of those recipients."""
    rows = Recipient.objects.filter(Exists(MadeUse.objects.filter(recipient=OuterRef("pk")))).exclude(country="")
    return list(rows.order_by("country").values_list("country", flat=True).distinct())


def years_of_uses() -> list[int]:
    """Years in which a use was made, newest first."""
    rows = MadeUse.objects.annotate(year=ExtractYear("on")).order_by("-year").values_list("year", flat=True)
    return list(rows.distinct())


HEADER: Final = (
    "number", "deed", "use", "title", "on", "until", "due", "recipient", "country", "request", "specimens", "still out",
    "days overdue", "answer of the day", "within the terms", "open remedies", "DOI", "citation",
    "source acknowledged", "voided because",
)  # fmt: skip


def file_rows(wanted: Wanted, today: date) -> Iterator[tuple[Any, ...]]:
    """The rows of the file of the list."""
    for line in lines(list(uses(replace(wanted), today)), today):
        made = line.made
        yield (
            str(made), str(made.get_deed_display()), str(made.get_use_display() or ""), made.title, made.on,
            made.until_on, made.due_on, made.recipient.name if made.recipient else "",
            made.recipient.country if made.recipient else "", made.request.reference if made.request else "",
            made.item_count, made.out_count if made.deed in LOANS else "", line.overdue_days or "",
            str(made.get_answer_display() or ""), standing_words(made), made.remedy_count, made.doi, made.citation,
            made.acknowledged, made.voided_why,
        )  # fmt: skip


def standing_words(made: Any) -> str:
    """How an entry stands towards the terms of its day, for files."""
    if made.is_outside:
        return str(SHOWS["outside"])
    if made.open_count:
        return str(SHOWS["open"])
    return "" if made.answer is None else str(_("Within the terms, or approved"))
