"""What became of material, as the rows of files: one an entry, or one a specimen and entry."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from governance.usedesk.queries.material import Material
from governance.usedesk.queries.one_use import STANDINGS, STATES, item_rows
from governance.usedesk.queries.trail import Entry, Narrowed, entries, read_entries

HEADER: Final = (
    "on", "until", "what", "number", "in words", "by or to", "country", "request", "specimens of this material",
    "answer of the day", "towards the terms of the day", "open remedies", "papers", "clauses", "sequences", "DOI",
    "citation", "due", "still out", "back", "no longer due", "voided because",
)  # fmt: skip

SPECIMEN_HEADER: Final = (
    "catalogue number", "name", "accession", "taken from", "on", "what", "number", "by or to", "country", "request",
    "answer of the day", "towards the terms of the day", "papers", "clauses", "taken", "made", "where it is", "since",
    "sequences", "DOI", "citation", "voided because",
)  # fmt: skip

_AT_ONCE: Final = 500


def entry_rows(material: Material, narrowed: Narrowed, reader: Any) -> Iterator[tuple[Any, ...]]:
    """One row an entry."""
    for entry in _all(material, narrowed, reader):
        made, loan = entry.made, entry.loan
        yield (
            entry.on, made and made.until_on, what_of(entry), str(made) if made else "",
            made.title if made else entry.decision.reason, *_whom(entry), entry.count,
            _answers(entry), _standings(entry), entry.remedies or "", *_papers(entry), _sequences(entry),
            made.doi if made else "", made.citation if made else "", made and made.due_on,
            loan.out if loan else "", loan.back if loan else "", loan.away if loan else "",
            made.voided_why if made else "",
        )  # fmt: skip


def _all(material: Material, narrowed: Narrowed, reader: Any) -> Iterator[Entry]:
    keys = list(entries(material, narrowed))
    for first in range(0, len(keys), _AT_ONCE):
        yield from read_entries(material, keys[first : first + _AT_ONCE], reader)


def what_of(entry: Entry) -> str:
    """What was done, in a word."""
    return _("Asked for and declined") if entry.is_declined else str(entry.made.get_deed_display())


def _whom(entry: Entry) -> tuple[str, str, str]:
    """By or to whom, in which country, by which request."""
    request = entry.decision.request if entry.is_declined else entry.made.request
    recipient = request.recipient if entry.is_declined else entry.made.recipient
    name, country = (recipient.name, recipient.country) if recipient else ("", "")
    return name, country, request.reference if request else ""


def _answers(entry: Entry) -> str:
    return "; ".join(f"{one.sign.word} ({intcomma(one.count)})" for one in entry.said)


def _standings(entry: Entry) -> str:
    return "; ".join(f"{STANDINGS[one.standing]} ({intcomma(one.count)})" for one in entry.said if one.standing)


def _papers(entry: Entry) -> tuple[str, str]:
    """References, and the numbers of clauses that the reader may see."""
    numbers = [f"{one.reference}: {', '.join(one.numbers)}" for one in entry.papers if one.numbers]
    return " | ".join(one.reference for one in entry.papers), " | ".join(numbers)


def _sequences(entry: Entry) -> str:
    more = [f"+{intcomma(entry.more_sequences)}"] if entry.more_sequences else []
    return " | ".join([*entry.sequences, *more])


def specimen_rows(material: Material, narrowed: Narrowed, reader: Any) -> Iterator[tuple[Any, ...]]:
    """One row a specimen and entry: of an entry with thousands as many rows."""
    for entry in _all(material, narrowed, reader):
        yield from _declined_rows(material, entry) if entry.is_declined else _use_rows(material, entry)


def _use_rows(material: Material, entry: Entry) -> Iterator[tuple[Any, ...]]:
    made = entry.made
    rows = material.items.filter(use=made.pk).select_related(
        "specimen__name", "specimen__accession", "specimen__parent", "returned", "product", "decision"
    ).prefetch_related("sequences")  # fmt: skip
    for items in _in_slices(rows):
        for row in item_rows(made, items):
            item = row.item
            yield (
                *_named(item.specimen), entry.on, what_of(entry), str(made), *_whom(entry),
                str(item.get_answer_display() or ""), str(STANDINGS.get(row.standing, "")), *_papers(entry),
                item.amount,
                item.product.catalog_number if item.product else "", str(STATES.get(row.state, "")), row.state_on,
                " | ".join(one.accession_number for one in item.sequences.all()), made.doi, made.citation,
                made.voided_why,
            )  # fmt: skip


def _declined_rows(material: Material, entry: Entry) -> Iterator[tuple[Any, ...]]:
    rows = material.asked.filter(decision=entry.decision.pk)
    for items in _in_slices(rows.select_related("specimen__name", "specimen__accession", "specimen__parent")):
        for item in items:
            yield (
                *_named(item.specimen), entry.on, what_of(entry), "", *_whom(entry), str(entry.said[0].sign.word), "",
                *_papers(entry), "", "", "", None, "", "", "", "",
            )  # fmt: skip


def _named(specimen: Any) -> tuple[str, str, str, str]:
    parent = specimen.parent
    return str(specimen), specimen.name.shown, specimen.accession.number, str(parent) if parent else ""


def _in_slices(rows: QuerySet[Any]) -> Iterator[list[Any]]:
    """The rows in the order of their keys, some at once: a use can be of a million specimens."""
    last = 0
    while found := list(rows.filter(pk__gt=last).order_by("pk")[:_AT_ONCE]):
        yield found
        last = found[-1].pk
