"""What became of material: the uses that were made of it, and what was asked for and declined, in order of time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import BooleanField, Case, CharField, Count, Exists, F, OuterRef, Q, QuerySet, Value, When, Window
from django.db.models.functions import ExtractYear, RowNumber, TruncDate

from governance.engine.uses import Answer
from governance.papers.models import Paper
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import MadeUse, Remedy, RequestDecision, UseItem
from governance.usedesk.models import Sequence as Archived
from governance.usedesk.queries.judging import standing_of
from governance.usedesk.queries.material import Material, among
from governance.usedesk.queries.one_use import Reason, is_silence, papers_in, reason_of
from governance.usedesk.queries.shown import Sign
from governance.usedesk.queries.whereabouts import still_out

USE, DECLINED = "use", "declined"
"""The two kinds of entry: what was done, and what was asked for and declined."""

SEQUENCES_SHOWN: Final = 6

_RANKS: Final = {"": -1, "within": 0, "approved": 1, "open": 2, "outside": 3}


@dataclass(frozen=True)
class Narrowed:
    """What the trail is narrowed to. deed: of ``MadeUse.Deed``, or ``DECLINED``. outside: only what was not within the
    terms. voided: also entries that were voided. oldest: oldest first."""

    deed: str = ""
    year: str = ""
    outside: bool = False
    voided: bool = False
    oldest: bool = False


@dataclass(frozen=True)
class Said:
    """One answer of that day, of some of the specimens. standing: within, approved, open, outside, or "" of what was
    declined."""

    sign: Sign
    standing: str
    count: int


@dataclass(frozen=True)
class Read:
    """A paper by which the answer was given, with its clauses. hidden: the line in place of what a reader may not
    read. ``Reason.clause`` and ``number`` are blank then."""

    paper: int | None
    reference: str
    clauses: tuple[Reason, ...]
    hidden: str

    @property
    def numbers(self) -> list[str]:
        return list(dict.fromkeys(one.number for one in self.clauses if one.number))


@dataclass(frozen=True)
class Loan:
    """Of a loan, the specimens of this material: still out, back, and what stays away for good."""

    out: int
    back: int
    away: int


@dataclass(frozen=True)
class Entry:
    """One line of the trail. count: specimens of this material; of many that a publication cites it is these."""

    kind: str
    on: date
    made: Any = None
    decision: Any = None
    count: int = 0
    said: tuple[Said, ...] = ()
    papers: tuple[Read, ...] = ()
    loan: Loan | None = None
    remedies: int = 0
    sequences: tuple[str, ...] = ()
    sequence_count: int = 0

    @property
    def is_declined(self) -> bool:
        return self.kind == DECLINED

    @property
    def is_outside(self) -> bool:
        return any(one.standing == "outside" for one in self.said)

    @property
    def more_sequences(self) -> int:
        return self.sequence_count - len(self.sequences)


def entries(material: Material, narrowed: Narrowed) -> QuerySet[Any, Any]:
    """Kind, day and key of the entries in their order, to be paged."""
    rows = _rows(material, narrowed)
    return rows.order_by("day", "kind", "key") if narrowed.oldest else rows.order_by("-day", "-kind", "-key")


def _rows(material: Material, narrowed: Narrowed) -> QuerySet[Any, Any]:
    made, declined = _made(material, narrowed), _declined(material, narrowed)
    if narrowed.deed == DECLINED:
        return declined
    return made if narrowed.deed or narrowed.outside else made.union(declined, all=True)


def _made(material: Material, narrowed: Narrowed) -> QuerySet[Any, Any]:
    keys = [key for key, outside in material.uses.items() if outside or not narrowed.outside]
    rows = MadeUse.objects.filter(among("pk", keys)).order_by()
    if not narrowed.voided:
        rows = rows.filter(voided_at__isnull=True)
    if narrowed.deed:
        rows = rows.filter(deed=narrowed.deed)
    if narrowed.year:
        rows = rows.filter(on__year=int(narrowed.year))
    return _columns(rows.annotate(day=F("on")), USE)


def _declined(material: Material, narrowed: Narrowed) -> QuerySet[Any, Any]:
    rows = (
        RequestDecision.objects.filter(among("pk", material.declined)).order_by().annotate(day=TruncDate("decided_at"))
    )
    if narrowed.year:
        rows = rows.filter(decided_at__year=int(narrowed.year))
    return _columns(rows, DECLINED)


def _columns(rows: Any, kind: str) -> QuerySet[Any, Any]:
    named = rows.annotate(kind=Value(kind, output_field=CharField()), key=F("pk"))
    columns: QuerySet[Any, Any] = named.values_list("kind", "day", "key")
    return columns


def years_of(material: Material) -> list[int]:
    """Years in which something was done with it or asked for, newest first: two queries."""
    made = MadeUse.objects.filter(among("pk", material.uses)).annotate(year=ExtractYear("on"))
    decided = RequestDecision.objects.filter(among("pk", material.declined))
    declined = decided.annotate(year=ExtractYear("decided_at"))
    return sorted({year for rows in (made, declined) for year in rows.order_by().values_list("year", flat=True)
                   .distinct()}, reverse=True)  # fmt: skip


def read_entries(material: Material, keys: Sequence[tuple[str, date, int]], reader: Any) -> list[Entry]:
    """The entries of a page as one reader may see them: ten queries, whatever the number of specimens."""
    made = [key for kind, _, key in keys if kind == USE]
    declined = [key for kind, _, key in keys if kind == DECLINED]
    page = _Page(material, made, declined, reader)
    return [page.of_use(key, day) if kind == USE else page.of_declined(key, day) for kind, day, key in keys]


class _Page:
    """What the entries of one page say of the material."""

    def __init__(self, material: Material, made: Sequence[int], declined: Sequence[int], reader: Any) -> None:
        self.reader = reader
        items = material.items.filter(use__in=made)
        self.uses = MadeUse.objects.select_related("recipient", "request").in_bulk(made)
        self.decisions = RequestDecision.objects.select_related("request__recipient", "decided_by").in_bulk(declined)
        self.groups = _groups(items)
        self.stays: dict[int, int] = _by_key(material.asked.filter(decision__in=declined), "decision")
        self.papers = _papers_of(self.groups, self.decisions.values())
        self.out = {deed: _by_key(still_out(deed, items), "use") for deed in LOANS}
        self.back = _by_key(items.filter(_came_back()), "use")
        self.remedies = _by_key(Remedy.objects.filter(use__in=made, done_on__isnull=True).order_by(), "use")
        self.sequences, self.sequence_counts = _sequences(items)

    def of_use(self, key: int, day: date) -> Entry:
        made, groups = self.uses[key], self.groups[key]
        count = sum(row["n"] for row in groups)
        return Entry(
            USE, day, made=made, count=count, said=_said(groups),
            papers=self._papers(reason for row in groups for reason in row["reasons"]), loan=self._loan(made, count),
            remedies=self.remedies.get(key, 0), sequences=tuple(self.sequences.get(key, ())),
            sequence_count=self.sequence_counts.get(key, 0),
        )  # fmt: skip

    def of_declined(self, key: int, day: date) -> Entry:
        decision, count = self.decisions[key], self.stays.get(key, 0)
        word = Answer.SILENT if decision.is_silent else Answer(decision.answer)
        return Entry(
            DECLINED, day, decision=decision, count=count, said=(Said(Sign(word), "", count),),
            papers=self._papers(decision.reasons),
        )  # fmt: skip

    def _loan(self, made: MadeUse, count: int) -> Loan | None:
        if made.deed not in LOANS:
            return None
        out, back = self.out[MadeUse.Deed(made.deed)].get(made.pk, 0), self.back.get(made.pk, 0)
        return Loan(out, back, count - out - back)

    def _papers(self, kept: Iterable[Mapping[str, Any]]) -> tuple[Read, ...]:
        found: dict[tuple[int | None, str], dict[Reason, None]] = defaultdict(dict)
        for one in kept:
            reason = reason_of(one, self.papers, self.reader)
            if reason.reference:
                found[reason.paper, reason.reference][reason] = None
        return tuple(_read(paper, reference, list(reasons)) for (paper, reference), reasons in found.items())


def _read(paper: int | None, reference: str, reasons: list[Reason]) -> Read:
    clauses = {(one.clause, one.number): one for one in reasons if one.clause or one.number}
    return Read(paper, reference, tuple(clauses.values()), next((one.hidden for one in reasons if one.hidden), ""))


def _groups(items: QuerySet[UseItem]) -> dict[int, list[dict[str, Any]]]:
    """By use, its specimens of this material with the same answer for the same reasons, strictest first."""
    decided = Case(When(decision__isnull=False, then=Value(True)), default=Value(False), output_field=BooleanField())
    rows = items.annotate(decided=decided).values("use", "answer", "reasons", "decided", "is_outside")
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in rows.annotate(n=Count("pk")):
        found[row["use"]].append(dict(row))
    for groups in found.values():
        groups.sort(key=lambda row: (-_RANKS[_standing(row)], -(row["answer"] or 0), -row["n"]))
    return found


def _standing(row: Mapping[str, Any]) -> str:
    if row["answer"] is None:
        return ""
    return standing_of(row["answer"], is_outside=row["is_outside"], is_approved=row["decided"])


def _said(groups: Iterable[Mapping[str, Any]]) -> tuple[Said, ...]:
    """The answers of that day with how many specimens had each; silence is called silence, whatever the house reads."""
    counts: dict[tuple[Answer, str], int] = defaultdict(int)
    for row in groups:
        if row["answer"] is not None:
            word = Answer.SILENT if is_silence(row["answer"], row["reasons"]) else Answer(row["answer"])
            counts[word, _standing(row)] += row["n"]
    return tuple(Said(Sign(word), standing, n) for (word, standing), n in counts.items())


def _papers_of(groups: Mapping[int, list[dict[str, Any]]], decisions: Iterable[RequestDecision]) -> dict[int, Paper]:
    of_uses = (reason for rows in groups.values() for row in rows for reason in row["reasons"])
    return papers_in([*of_uses, *(reason for decision in decisions for reason in decision.reasons)])


def _by_key(rows: QuerySet[Any], column: str) -> dict[int, int]:
    return dict(rows.values_list(column).annotate(n=Count("pk")))


def _came_back() -> Q:
    """What came back by the loan itself, or home from an onward loan by the first one."""
    home = UseItem.objects.filter(use=OuterRef("use__parent"), specimen=OuterRef("specimen"), returned__isnull=False)
    return Q(returned__isnull=False) | Q(Exists(home))


def _sequences(items: QuerySet[UseItem]) -> tuple[dict[int, list[str]], dict[int, int]]:
    """By use, the first accession numbers of sequences, and how many there are."""
    rows = Archived.objects.filter(item__in=items.values("pk")).order_by()
    place = Window(RowNumber(), partition_by=F("item__use"), order_by=(F("accession_number").asc(), F("pk").asc()))
    first = rows.annotate(place=place).filter(place__lte=SEQUENCES_SHOWN).order_by("place")
    found: dict[int, list[str]] = defaultdict(list)
    for use, number in first.values_list("item__use", "accession_number"):
        found[use].append(number)
    return found, _by_key(rows, "item__use")
