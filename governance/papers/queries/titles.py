"""Title and custody as the legal file shows it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from accessions.material.models import Accession
from accessions.people.access import is_open_to
from governance.papers.models import Paper, PaperKind, TitleRecord

_MOST_NUMBERS = 500


@dataclass(frozen=True)
class ShownTitle:
    """One record. right_words: who held the right to give, or that nobody has recorded it."""

    title: TitleRecord
    right_words: str
    is_right_known: bool
    is_scan_open: bool


def titles_of(accession: Accession, reader: Any) -> list[ShownTitle]:
    """The records of an accession and its parts, by day: one query."""
    titles = TitleRecord.objects.filter(accession=accession).select_related("part", "paper", "scan")
    return [_shown(title, reader) for title in titles]


def _shown(title: TitleRecord, reader: Any) -> ShownTitle:
    return ShownTitle(
        title,
        title.right_held_by or _("not known: nobody has recorded who held the right to give"),
        bool(title.right_held_by),
        title.scan is not None and is_open_to(reader, title.scan.open_to),
    )


def paper_numbers() -> list[tuple[str, str]]:
    """Numbers and kinds of papers, for a list to choose from."""
    return with_kind_words(Paper.objects.order_by("reference").values_list("reference", "kind")[:_MOST_NUMBERS])


def with_kind_words(numbers: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """The kind as people read it, in their language."""
    words = dict(PaperKind.choices)
    return [(number, str(words.get(kind, kind))) for number, kind in numbers]
