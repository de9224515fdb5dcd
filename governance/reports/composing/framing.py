"""What every report of this room has around its tables: its face, its parts, what people wrote."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from governance.papers.models import Paper
from governance.reports.composing.declared import parts_of, texts_of
from governance.reports.composing.scope import Scope
from governance.reports.contents import Composed, Contents, Disclosure, Fact, Figure, MapData, Note, TableData


def paper_of(scope: Scope) -> Paper:
    """The paper that a report is about, with its issuer, turns, versions and what these say: six queries.

    Raises:
        ValueError: it is about none.
    """
    key = scope.report.paper_id
    if key is None:
        raise ValueError(f"report {scope.report.reference} is about no paper")
    rows = Paper.objects.select_related("issuer_agent")
    return rows.prefetch_related("statuses", "versions__use_terms", "versions__versiontaxons").get(pk=key)


def framed(
    scope: Scope, subject: str, disclosure: Disclosure, tables: Sequence[TableData], *, facts: Sequence[Fact],
    figures: Sequence[Figure], notes: Sequence[Note], map_data: MapData | None = None,
) -> Composed:  # fmt: skip
    """The report whole. Notes of parts that were left out are left out with them."""
    report, parts = scope.report, parts_of(scope.report)
    contents = Contents(
        kind=report.kind, reference=report.reference, subject=subject, country=scope.country,
        made_on=scope.today.isoformat(), period_from=_day(scope.period.first), period_to=_day(scope.period.last),
        disclosure=disclosure, parts=parts, facts=tuple(facts), figures=tuple(figures),
        notes=tuple(note for note in notes if note.part in parts), texts=texts_of(report),
        map=map_data if "map" in parts else None, papers=tuple(sorted(scope.told)),
    )  # fmt: skip
    return Composed(contents, {one.key: one for one in tables})


def source_of(text: str, instead: str = "") -> str:
    """A source as a report names it: that nobody looked it up yet is no part of its name.

    Args:
        instead: what is said of it in the text, where no column says that it is to be confirmed.
    """
    return text.removesuffix(_UNREAD) + instead if text.endswith(_UNREAD) else text


_UNREAD: Final = "; from memory"


def _day(day: object) -> str | None:
    return None if day is None else str(day)


def kept_back(**counted: int) -> tuple[Note, ...]:
    """Notes of the part "disclosure" of what stayed out ("kept_" and the word), each with how many there are; none of
    nothing."""
    return tuple(Note(f"kept_{key}", "disclosure", {"n": number}) for key, number in sorted(counted.items()) if number)
