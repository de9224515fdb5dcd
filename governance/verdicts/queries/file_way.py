"""The way for the material of an accession: what to ask of whoever gave it, and how it stands to cut-off days.

Nothing here decides. Days that are not known are counted apart, and neither count as before nor as after.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.urls import NoReverseMatch, reverse
from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession
from governance.engine.tables import Layer
from governance.jurisdictions import CutOff, cut_offs_of
from governance.verdicts.queries.file_material import WHOLE, Lot, RowKey
from governance.verdicts.queries.legal_file import FileRow, LegalFile

GIVEN = frozenset(
    {Accession.Kind.GIFT, Accession.Kind.BEQUEST, Accession.Kind.EXCHANGE, Accession.Kind.PURCHASE,
     Accession.Kind.TRANSFER, Accession.Kind.DEPOSIT}
)  # fmt: skip
"""Kinds of accessions that somebody gave, sold or lent, who can be asked."""


@dataclass
class Split:
    """Specimens before a day, from that day on, and those of which it cannot be told."""

    before: int = 0
    since: int = 0
    cannot_tell: int = 0

    @property
    def all(self) -> int:
        return self.before + self.since + self.cannot_tell


@dataclass(frozen=True)
class LegacyLine:
    """One cut-off day against one row of the file. decide: address of the decision form, filled; "" where the day
    is only a hint, or not all were taken before it."""

    cut_off: CutOff
    row: FileRow
    split: Split
    words: str
    decide: str
    reason: str


@dataclass(frozen=True)
class Way:
    """What the panel tells. ask: what to ask of whoever gave it. is_found: found in the collection, origin unknown."""

    accession: Accession
    ask: tuple[str, ...]
    is_found: bool
    is_unknown: bool
    legacy: tuple[LegacyLine, ...]
    undated: int

    @property
    def has_anything(self) -> bool:
        return bool(self.ask or self.is_found or self.is_unknown or self.legacy or self.undated)


def way_of(file: LegalFile) -> Way:
    """No query: from the file that was read."""
    kind = file.accession.kind
    return Way(
        accession=file.accession,
        ask=_asked_of_giver(kind) if kind in GIVEN else (),
        is_found=kind == Accession.Kind.FOUND,
        is_unknown=kind == Accession.Kind.UNKNOWN,
        legacy=tuple(_legacy(file)),
        undated=file.whole.material.undated,
    )


def _asked_of_giver(kind: str) -> tuple[str, ...]:
    asked = [
        _("Copies of the permits and consents under which it was collected, and of the export papers."),
        _("Who collected it, when and where, and from whom the giver had it."),
        _("Who held the right to give it, and how that is known."),
    ]
    more = {
        Accession.Kind.PURCHASE: _("The invoice, with the seller’s own statement of where it comes from."),
        Accession.Kind.BEQUEST: _("The part of the will that names it, and who settles the estate."),
        Accession.Kind.EXCHANGE: _("What was given for it, and the terms of both sides."),
        Accession.Kind.DEPOSIT: _("The terms of the deposit: title stays with the owner."),
        Accession.Kind.GIFT: _("A deed of gift, signed by both."),
        Accession.Kind.TRANSFER: _("The deed of transfer, with the terms that came with the material."),
    }
    return (str(more[Accession.Kind(kind)]), *map(str, asked))


def splits(lots: Iterable[Lot], rows: Iterable[RowKey]) -> Mapping[tuple[RowKey, str], tuple[CutOff, Split]]:
    """How the specimens of each row stand to each cut-off day of their country, by the code of the cut-off."""
    wanted = set(rows)
    found: dict[tuple[RowKey, str], tuple[CutOff, Split]] = {}
    for (part, country, first, last), number in _spans(lots).items():
        here = {WHOLE, RowKey("part", part) if part else RowKey("rest")} & wanted
        for cut_off in cut_offs_of(country):
            for row in here:
                _cut_off, split = found.setdefault((row, cut_off.code), (cut_off, Split()))
                _count(split, first, last, cut_off.day, number)
    return found


_Span = tuple[int | None, str, date | None, date | None]


def _spans(lots: Iterable[Lot]) -> Counter[_Span]:
    """Specimens by part, country, first and last day: far fewer than lots."""
    counted: Counter[_Span] = Counter()
    for lot in lots:
        counted[lot.part, lot.country, lot.first_on, lot.last_on] += lot.specimens
    return counted


def _count(split: Split, first: date | None, last: date | None, day: date, number: int) -> None:
    if last is not None and last < day:
        split.before += number
    elif first is not None and first >= day:
        split.since += number
    else:
        split.cannot_tell += number


def _legacy(file: LegalFile) -> Iterable[LegacyLine]:
    """For each row the earliest day before which any of its material was taken, and the day of its country."""
    rows = {row.key: row for row in ((*file.narrow,) or (file.whole,))}
    by_row: dict[RowKey, list[tuple[CutOff, Split]]] = defaultdict(list)
    for (key, _code), (cut_off, split) in splits(file.lots, rows).items():
        if split.before:
            by_row[key].append((cut_off, split))
    for key, row in rows.items():
        for cut_off, split in sorted(by_row[key], key=lambda pair: (pair[0].layer, pair[0].day, pair[0].code)):
            yield _line(file, row, cut_off, split)


def _line(file: LegalFile, row: FileRow, cut_off: CutOff, split: Split) -> LegacyLine:
    reason = _reason(row, cut_off, split)
    is_whole = split.before == row.material.specimens
    may_propose = cut_off.decides and is_whole and row.key.kind != "rest"
    decide = _decide_address(file, row, cut_off, reason) if may_propose else ""
    return LegacyLine(cut_off, row, split, _words(row, cut_off, split), decide, reason)


def _words(row: FileRow, cut_off: CutOff, split: Split) -> str:
    number = {
        "n": _counted(split.before), "of": _counted(row.material.specimens), "where": _where(row),
        "day": date_format(cut_off.day, "j F Y"), "what": cut_off.what,
    }  # fmt: skip
    if split.before == row.material.specimens:
        return ngettext(
            "The one specimen%(where)s was collected before %(day)s (%(what)s).",
            "All %(n)s specimens%(where)s were collected before %(day)s (%(what)s).", split.before,
        ) % number  # fmt: skip
    return ngettext(
        "%(n)s of %(of)s specimens%(where)s was collected before %(day)s (%(what)s).",
        "%(n)s of %(of)s specimens%(where)s were collected before %(day)s (%(what)s).", split.before,
    ) % number  # fmt: skip


def _where(row: FileRow) -> str:
    if row.part is not None:
        return _(" of part %(letter)s") % {"letter": row.part.letter}
    return _(" in no part") if row.key.kind == "rest" else ""


def _reason(row: FileRow, cut_off: CutOff, split: Split) -> str:
    return _("%(said)s Older law of the country: not looked at.") % {"said": _words(row, cut_off, split)}


def _decide_address(file: LegalFile, row: FileRow, cut_off: CutOff, reason: str) -> str:
    query: dict[str, str | int] = {"reason": reason, "evidence": cut_off.source}
    if row.part is not None:
        query = {"part": row.part.pk, **query}
    layer = Layer.from_code(cut_off.layer)
    cell = row.cell_of(layer)
    if cell is None or not cell.open or cell.decision is not None:
        return ""
    try:
        address = reverse("verdicts:decision-new", args=[file.accession.pk, layer.code])
    except NoReverseMatch:
        return ""
    return f"{address}?{urlencode(query)}"


def _counted(number: int) -> str:
    return str(number_format(number, force_grouping=True))
