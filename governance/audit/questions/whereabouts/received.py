"""Who has received material, and on what agreement."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.people.access import is_open_to
from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, Group, Missing, QueriedRows, Question, Row
from governance.audit.questions.addresses import recipient_link, request_link, scan_link, use_link
from governance.audit.questions.material_asked import ACCESSION, COUNTRY, PAPER, SPECIMEN, material_asked
from governance.audit.questions.telling import counted, sentences
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.reports.composing.uses import MOVES
from governance.scans.models import Scan
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.material import Material, among
from governance.usedesk.queries.one_use import STANDINGS, papers_in
from governance.usedesk.queries.trail import USE, Entry, read_entries

_COLUMNS: Final = (
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
    Column("recipient", gettext_lazy("Recipient")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("what", gettext_lazy("What was done")),
    Column("entry", gettext_lazy("Entry")),
    Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("request", gettext_lazy("Request")),
    Column("papers", gettext_lazy("Papers that decided")),
    Column("clauses", gettext_lazy("Clauses")),
    Column("answer", gettext_lazy("Answer of that day")),
    Column("standing", gettext_lazy("Towards the terms of that day")),
    Column("agreement", gettext_lazy("Agreement on file")),
    Column("out", gettext_lazy("Still out"), ColumnKind.NUMBER),
)

_RECEIVED: Final = ngettext_lazy(
    "%(n)s recipient is on record for material %(words)s, in %(entries)s.",
    "%(n)s recipients are on record for material %(words)s, in %(entries)s.", "count",
)  # fmt: skip
_RECEIVED_ALL: Final = ngettext_lazy(
    "%(n)s recipient is on record, in %(entries)s.", "%(n)s recipients are on record, in %(entries)s.", "count"
)
_ENTRIES: Final = ngettext_lazy("%(n)s entry", "%(n)s entries", "count")
_OUTSIDE: Final = ngettext_lazy(
    "%(n)s entry was not within the terms of its day as known.",
    "%(n)s entries were not within the terms of their day as known.", "count",
)  # fmt: skip
_NOBODY: Final = ngettext_lazy(
    "%(n)s entry by which material went out names no recipient.",
    "%(n)s entries by which material went out name no recipient.", "count",
)  # fmt: skip
_NO_REQUEST: Final = ngettext_lazy(
    "%(n)s entry names no request: on what it was agreed is told by its papers alone.",
    "%(n)s entries name no request: on what they were agreed is told by their papers alone.", "count",
)  # fmt: skip
_KEPT: Final = ngettext_lazy(
    "The clauses of %(n)s paper are for its readers.", "The clauses of %(n)s papers are for their readers.", "count"
)


def answer(asked: Asked) -> Answer:
    """Entries by which somebody received material or did something with it, the newest first."""
    told = material_asked(asked)
    entries = _entries(told.material)
    recipients = entries.filter(recipient__isnull=False).order_by().values("recipient").distinct().count()
    count = entries.count()
    return Answer(
        sentence=_sentence(told.words, recipients, count, told.material, entries),
        columns=_COLUMNS,
        rows=QueriedRows(entries, lambda found: _rows(found, told.material, asked.reader), count),
        missing=tuple(_missing(entries)),
        kept_back=tuple(_kept_back(told.material, entries, asked.reader)),
        notes=(
            _("Papers and answer are those of the day of the entry, as they were recorded then. Of an entry the "
              "specimens of this material are counted, with what was taken from them."),
        ),
    )  # fmt: skip


def _entries(material: Material) -> QuerySet[MadeUse]:
    rows = MadeUse.objects.filter(among("pk", material.uses), voided_at__isnull=True)
    return rows.filter(Q(recipient__isnull=False) | Q(deed__in=MOVES)).order_by("-on", "-pk")


def _rows(found: Sequence[Any], material: Material, reader: Any) -> list[Row]:
    """Of a slice: eleven queries."""
    scans = Scan.objects.in_bulk({made.scan_id for made in found if made.scan_id})
    read = read_entries(material, [(USE, made.on, made.pk) for made in found], reader)
    return [_row(one, scans, reader) for one in read]


def _row(entry: Entry, scans: Mapping[int, Scan], reader: Any) -> Row:
    made = entry.made
    recipient = made.recipient
    return Row(
        f"use:{made.pk}",
        (
            entry.on, recipient_link(recipient) if recipient else None, recipient.country if recipient else "",
            str(made.get_deed_display()), use_link(made), entry.count,
            request_link(made.request) if made.request else None, ", ".join(one.reference for one in entry.papers),
            _clauses(entry), ", ".join(dict.fromkeys(str(one.sign.word) for one in entry.said)),
            ", ".join(dict.fromkeys(str(STANDINGS[one.standing]) for one in entry.said if one.standing)),
            _agreement(scans.get(made.scan_id), reader), entry.loan.out if entry.loan else None,
        ),
    )  # fmt: skip


def _clauses(entry: Entry) -> str:
    """Numbers of clauses by paper, or the line that stands in their place."""
    told = ((one.reference, one.hidden or ", ".join(one.numbers)) for one in entry.papers)
    return "; ".join(f"{reference}: {words}" for reference, words in told if words)


def _agreement(scan: Scan | None, reader: Any) -> Cell:
    return scan_link(scan) if scan is not None and is_open_to(reader, scan.open_to) else None


def _sentence(words: str, recipients: int, count: int, material: Material, entries: QuerySet[MadeUse]) -> str:
    if not count:
        nobody = _("Nobody is on record who received material %(words)s.") % {"words": words}
        return nobody if words else _("Nobody is on record who received material.")
    told = counted(_ENTRIES, count)
    shown = set(entries.order_by().values_list("pk", flat=True))
    outside = sum(1 for key, number in material.uses.items() if number and key in shown)
    first = counted(_RECEIVED if words else _RECEIVED_ALL, recipients, words=words, entries=told)
    return sentences(first, counted(_OUTSIDE, outside) if outside else "")


def _missing(entries: QuerySet[MadeUse]) -> Iterator[Missing]:
    nobody = entries.filter(recipient__isnull=True).count()
    if nobody:
        yield Missing(counted(_NOBODY, nobody), nobody)
    without = entries.filter(request__isnull=True).count()
    if without:
        yield Missing(counted(_NO_REQUEST, without), without)


def _kept_back(material: Material, entries: QuerySet[MadeUse], reader: Any) -> Iterator[str]:
    items = material.items.filter(use__in=entries.order_by().values("pk"))
    reasons = (one for found in items.values_list("reasons", flat=True).distinct() for one in found)
    papers: Mapping[int, Paper] = papers_in(reasons)
    closed = sum(1 for paper in papers.values() if not is_readable(paper, reader))
    if closed:
        yield counted(_KEPT, closed)


QUESTION: Final = Question(
    "who-received", Group.WHEREABOUTS, gettext_lazy("Who has received any of it, and on what agreement?"),
    gettext_lazy("Entries by which material went to somebody, with the request, the papers and clauses that decided, "
                 "and the agreement on file."), answer, (COUNTRY, PAPER, ACCESSION, SPECIMEN),
)  # fmt: skip
