"""The list of scans: narrowed, ordered, with what nobody filed first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Prefetch, Q, QuerySet, Value, When

from accessions.people.access import role_bits
from governance.scans.models import FiledScan, Filing, Scan, ScanPage
from governance.scans.queries.one_scan import STANDING_MARKS

TYPES: Final[Mapping[str, Q]] = {
    "pdf": Q(media_type="application/pdf"),
    "image": Q(media_type__startswith="image/"),
    "mail": Q(media_type__in=["message/rfc822", "application/vnd.ms-outlook"]),
    "document": Q(media_type="application/vnd.openxmlformats-officedocument.wordprocessingml.document"),
    "text": Q(media_type="text/plain"),
}
"""Kinds of files by which a list is narrowed."""

SORTS: Final = ("received", "name", "pages", "size")
_COLUMNS: Final = {"received": "pk", "name": "original_name", "pages": "page_count", "size": "size_bytes"}


@dataclass(frozen=True)
class WantedScans:
    """What a list is narrowed to; blank: not at all."""

    text: str = ""
    type: str = ""
    mark: str = ""
    text_state: str = ""
    sort: str = "-received"

    @property
    def is_narrowed(self) -> bool:
        return bool(self.text or self.type or self.mark or self.text_state)


def scan_rows(wanted: WantedScans, user: Any) -> QuerySet[Scan]:
    """The scans that fit, in order; ``is_open`` says whether the person may open it.

    A list that is narrowed holds only what is open to the person: it would else tell names by asking for them.
    """
    rows = _with_openness(Scan.objects.all(), user)
    if wanted.is_narrowed:
        rows = _narrowed(rows.filter(open_bits__gt=0), wanted)  # type: ignore[misc]  # annotated above
    key = wanted.sort.removeprefix("-")
    column = F(_COLUMNS.get(key, "pk"))
    ordered = column.desc(nulls_last=True) if wanted.sort.startswith("-") else column.asc(nulls_last=True)
    # What is closed to the person stands last where the order would tell something of it.
    first = [] if key == "received" else [_closed_last()]
    return rows.order_by(*first, ordered, "-pk")


def unfiled_of(user: Any) -> QuerySet[Scan]:
    """What this person dropped and nobody filed: it needs a place. Newest first."""
    return _with_openness(unfiled(), user).filter(received_by=user).order_by("-pk")


def unfiled() -> QuerySet[Scan]:
    """Scans that stand in no file, of an accession, of a site or of a paper, and that no other room keeps."""
    nowhere = [
        ~Exists(kind.objects.filter(scan=OuterRef("pk"), taken_off_at__isnull=True))  # type: ignore[attr-defined]
        for kind in kinds_of_filing()
    ]
    kept = [~Exists(kind.objects.filter(scan=OuterRef("pk"))) for kind in _other_places()]
    return Scan.objects.filter(*nowhere, *kept)


def _other_places() -> list[Any]:
    """Models of rooms above that keep a scan without filing it: they say so themselves (``keeps_scans``)."""
    related = [relation.related_model for relation in Scan._meta.related_objects]
    return [model for model in related if getattr(model, "keeps_scans", False)]


def kinds_of_filing() -> list[type[FiledScan]]:
    """The models of filings, also those of rooms above: they are known by the relation that they have to a scan."""
    related = [relation.related_model for relation in Scan._meta.related_objects]
    return [model for model in related if isinstance(model, type) and issubclass(model, FiledScan)]


def with_what_lists_show(rows: QuerySet[Scan]) -> QuerySet[Scan]:
    """Marks, places and printed page numbers, three queries for a page of the list."""
    standing = Filing.objects.filter(taken_off_at__isnull=True).select_related("accession", "site").order_by("pk")
    printed = ScanPage.objects.filter(printed_page__isnull=False).only(
        "scan_id", "number", "printed_page", "printed_of"
    )
    return rows.select_related("received_by").prefetch_related(
        STANDING_MARKS, Prefetch("filings", standing, to_attr="standing_filings"), Prefetch("pages", printed)
    )


def scans_named(typed: str) -> QuerySet[Scan]:
    """Scans by their number or their whole name."""
    named = Q(original_name__iexact=typed)
    if typed.isascii() and typed.isdecimal() and len(typed) < 10:
        named |= Q(pk=int(typed))
    return Scan.objects.filter(named).order_by("-pk")


def _with_openness(rows: QuerySet[Scan], user: Any) -> QuerySet[Scan]:
    bits = F("restricted_to").bitand(F("papers_restricted_to")).bitand(role_bits([user.role]))  # type: ignore[arg-type]
    return rows.annotate(open_bits=bits)


def _closed_last() -> Any:
    return Case(When(open_bits__gt=0, then=Value(0)), default=Value(1), output_field=IntegerField())


def _narrowed(rows: QuerySet[Scan], wanted: WantedScans) -> QuerySet[Scan]:
    for word in wanted.text.split():
        rows = rows.filter(Q(original_name__icontains=word) | Q(sha256__startswith=word.lower()))
    if wanted.type:
        rows = rows.filter(TYPES[wanted.type])
    if wanted.text_state:
        rows = rows.filter(text_state=wanted.text_state)
    if wanted.mark:
        rows = rows.filter(marks__kind=wanted.mark, marks__withdrawn_at__isnull=True)  # each stands once at most
    return rows
