"""Codes that were read into a request, as the scan page, its answers to the reader and its files show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Specimen
from accessions.people.models import User
from governance.usedesk.models import RequestItem, ScanLine, UseRequest
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.resolving import specimens_of
from governance.usedesk.queries.scan_signs import Sign, signs_of

Outcome = ScanLine.Outcome

LAST_LINES: Final = 20
MOST_OPEN: Final = 200
"""Lines that still want a person, of which so many are listed; the file has all."""

OPEN: Final = (Outcome.UNKNOWN, Outcome.SEVERAL)

SENTENCES: Final = {
    Outcome.ADDED: _("In the basket now."),
    Outcome.ALREADY_IN: _("Was in the basket already."),
    Outcome.UNKNOWN: _("No specimen has this number."),
    Outcome.SEVERAL: _("Several specimens may be meant. Choose one."),
    Outcome.TAKEN_OUT: _("Taken out again."),
}


@dataclass(frozen=True)
class ShownLine:
    """One line. sign: the answer of the desk for this specimen, None where nothing is to be answered.

    stays: the line was taken out again, and its specimen is in the basket by another one.
    """

    line: ScanLine
    sign: Sign | None = None
    choices: Sequence[Specimen] = ()
    stays: bool = False

    @property
    def specimen(self) -> Specimen | None:
        return self.line.specimen

    @property
    def number(self) -> str:
        """The number of the specimen where it is known, else what was read."""
        return str(self.line.specimen) if self.line.specimen_id else self.line.code

    @property
    def name(self) -> str:
        return self.line.specimen.name.shown if self.line.specimen else ""

    @property
    def name_is_italic(self) -> bool:
        return self.line.specimen is not None and self.line.specimen.name.is_italic

    @property
    def sentence(self) -> Any:
        if self.line.outcome == Outcome.TAKEN_OUT and self.stays:
            return _("Set aside; it is in the basket still.")
        if self.line.outcome == Outcome.TAKEN_OUT and not self.line.specimen_id:
            return _("Set aside.")
        return SENTENCES[Outcome(self.line.outcome)]

    @property
    def said(self) -> str:
        """The line in one breath: for the ear, and for the region that is read out."""
        parts = [self.number, self.name, str(self.sign.word) if self.sign and self.is_in else "", str(self.sentence)]
        return ". ".join(part.rstrip(".") for part in parts if part) + "."

    @property
    def is_in(self) -> bool:
        return self.line.outcome in (Outcome.ADDED, Outcome.ALREADY_IN)

    @property
    def is_open(self) -> bool:
        return self.line.outcome in OPEN

    @property
    def icon(self) -> str:
        """The drawing of the line, of the sprite."""
        if self.sign and self.is_in:
            return self.sign.icon
        return {Outcome.TAKEN_OUT: "i-x", Outcome.ADDED: "i-check", Outcome.ALREADY_IN: "i-check"}.get(
            Outcome(self.line.outcome), "i-search"
        )

    @property
    def tone(self) -> str:
        """Which sound tells it: go, wait, found (not answered), again, unknown, out."""
        if self.line.outcome == Outcome.ADDED:
            return self.sign.tone if self.sign else "found"
        return {Outcome.ALREADY_IN: "again", Outcome.TAKEN_OUT: "out"}.get(Outcome(self.line.outcome), "unknown")


def last_lines(request: UseRequest, count: int = LAST_LINES) -> list[ScanLine]:
    """The newest lines, the newest first. One query."""
    return list(_shown(ScanLine.objects.filter(request=request)).order_by("-pk")[:count])


def open_lines(request: UseRequest) -> list[ScanLine]:
    """Lines that still want a person, the newest first. One query."""
    return list(_shown(ScanLine.objects.filter(request=request, outcome__in=OPEN)).order_by("-pk")[:MOST_OPEN])


def lines_of_list(request: UseRequest, token: str) -> QuerySet[ScanLine]:
    """The lines of one list that was pasted or sent, in its order."""
    return _shown(ScanLine.objects.filter(request=request, key__startswith=f"{token}-")).order_by("pk")


def _shown(lines: QuerySet[ScanLine]) -> QuerySet[ScanLine]:
    return lines.select_related("specimen__name", "read_by")


def shown(request: UseRequest, lines: Sequence[ScanLine], house: str = "") -> list[ShownLine]:
    """Lines with the answers for their specimens, and with what there is to choose from."""
    signs = signs_of(request, {line.specimen_id for line in lines if line.specimen_id and line.outcome in _ANSWERED})
    choices = _choices([line for line in lines if line.outcome == Outcome.SEVERAL], house)
    inside = _inside(request, [line.specimen_id for line in lines if line.outcome == Outcome.TAKEN_OUT])
    return [
        ShownLine(line, signs.get(line.specimen_id or 0), choices.get(line.pk, ()), line.specimen_id in inside)
        for line in lines
    ]


def _inside(request: UseRequest, specimens: Sequence[int | None]) -> set[int | None]:
    """Which of some specimens are in the basket. No query where there are none."""
    asked = {pk for pk in specimens if pk is not None}
    if not asked:
        return set()
    items = RequestItem.objects.filter(request=request, specimen__in=asked)
    return set(items.values_list("specimen_id", flat=True))


_ANSWERED: Final = (Outcome.ADDED, Outcome.ALREADY_IN)


def _choices(lines: Sequence[ScanLine], house: str) -> Mapping[int, Sequence[Specimen]]:
    """The specimens that a code may mean. No query where no line has several."""
    if not lines:
        return {}
    found = specimens_of([read_code(line.code, house) for line in lines])
    keys = {key for some in found for key in some}
    specimens = Specimen.objects.select_related("name", "accession").in_bulk(keys)
    return {line.pk: [specimens[key] for key in keys] for line, keys in zip(lines, found, strict=True)}


def outcome_counts(lines: QuerySet[ScanLine]) -> Mapping[str, int]:
    """How many lines came to what. One query."""
    counted: Mapping[str, int] = lines.order_by().aggregate(
        all=Count("pk"), **{outcome.name.lower(): Count("pk", filter=Q(outcome=outcome)) for outcome in Outcome}
    )
    return counted


def tally(request: UseRequest) -> Mapping[str, int]:
    """basket: specimens in it; open: lines that still want a person. Two queries."""
    waiting = ScanLine.objects.filter(request=request, outcome__in=OPEN).count()
    return {"basket": request.items.count(), "open": waiting}


def last_of(request: UseRequest, person: User) -> ScanLine | None:
    """The last line that a person read and that still counts. One query."""
    lines = ScanLine.objects.filter(request=request, read_by=person).exclude(outcome=Outcome.TAKEN_OUT)
    return lines.order_by("-pk").first()


def export_lines(request: UseRequest, *, only_open: bool = False) -> QuerySet[ScanLine]:
    """Lines in the order in which they were read, for a file. only_open: those that still want a person."""
    lines = ScanLine.objects.filter(request=request)
    return _shown(lines.filter(outcome__in=OPEN) if only_open else lines).order_by("pk")


@dataclass(frozen=True)
class ListReport:
    """What came of a list. unknown, several: the lines that want a person, so many of them as are listed."""

    token: str
    counts: Mapping[str, int]
    unknown: Sequence[ShownLine]
    several: Sequence[ShownLine]


def list_report(request: UseRequest, token: str, house: str = "") -> ListReport:
    """The report of a list, by the token of its lines. Few queries, however long the list is."""
    lines = lines_of_list(request, token)
    unknown = list(lines.filter(outcome=Outcome.UNKNOWN)[:MOST_OPEN])
    several = list(lines.filter(outcome=Outcome.SEVERAL)[:MOST_OPEN])
    return ListReport(
        token, outcome_counts(lines), [ShownLine(line) for line in unknown], shown(request, several, house)
    )
