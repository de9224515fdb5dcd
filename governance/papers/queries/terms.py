"""The terms of use that papers keep: as the engine takes them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final, TypeVar

from governance.engine.tables import fold
from governance.engine.uses import Ended, Ownership, PaperTerms, RecipientKind, Said, Term, Use, VersionTerms
from governance.papers.lifetimes import in_order, last_decision
from governance.papers.models import Paper, PaperStatus, PaperVersion, TermsReading, UseTerm
from governance.papers.statuses import ENDS

FROM_THE_START: Final = date.min.toordinal()
"""First day of a paper that was never given: it holds on no day, as in ``lifetimes``."""


@dataclass(frozen=True)
class TermsOnFile:
    """The terms of some papers. keys: of the papers, ascending, row by row. versions: keys of the versions, by row of
    the paper and row of the version."""

    papers: tuple[PaperTerms, ...] = ()
    keys: tuple[int, ...] = ()
    versions: tuple[tuple[int, ...], ...] = ()

    @cached_property
    def row_of(self) -> Mapping[int, int]:
        """By key of a paper, its row."""
        return {key: row for row, key in enumerate(self.keys)}


def engine_terms(papers: Collection[int], uses: Collection[Use] | None = None) -> TermsOnFile:
    """The terms of papers by their keys; keys of no paper are passed over. Four queries.

    A use that has no term was not read. duties: there is something that must be done, or a condition that only a person
    can check: duties, another condition, an amount, words of acknowledgement.

    uses: only the terms on these, for whoever asks of no other; None: all.
    """
    rows = list(Paper.objects.filter(pk__in=papers).order_by("pk").values_list("pk", "reference", "kind"))
    keys = [key for key, _, _ in rows]
    turns = _by_paper(PaperStatus.objects.filter(paper__in=keys).order_by("from_on", "pk"))
    versions = _by_paper(PaperVersion.objects.filter(paper__in=keys).order_by("pk").select_related("terms_reading"))
    terms: dict[int, dict[Use, UseTerm]] = defaultdict(dict)
    on_uses = UseTerm.objects.all() if uses is None else UseTerm.objects.filter(use__in=[int(use) for use in uses])
    for term in on_uses.filter(version__paper__in=keys):
        terms[term.version_id][Use(term.use)] = term
    ordered = [in_order(versions[key]) for key in keys]
    return TermsOnFile(
        papers=tuple(
            PaperTerms(
                reference, kind, tuple(_version_terms(version, terms[version.pk]) for version in mine),
                _ended(turns[key]), _suspensions(turns[key]),
            )
            for (key, reference, kind), mine in zip(rows, ordered, strict=True)
        ),
        keys=tuple(keys),
        versions=tuple(tuple(version.pk for version in mine) for mine in ordered),
    )  # fmt: skip


Row = TypeVar("Row", PaperStatus, PaperVersion)


def _by_paper(rows: Iterable[Row]) -> Mapping[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[row.paper_id].append(row)
    return found


def _ended(turns: Sequence[PaperStatus]) -> tuple[Ended, int] | None:
    """As ``lifetimes`` has it: a paper whose last decision is no grant was never given; else what ended it."""
    decision = last_decision(turns)
    if decision is not None and decision.state != PaperStatus.State.GRANTED:
        return Ended[decision.state.upper()], FROM_THE_START
    ended = next((turn for turn in turns if turn.state in ENDS), None)
    return (Ended[ended.state.upper()], ended.from_on.toordinal()) if ended else None


def _suspensions(turns: Sequence[PaperStatus]) -> tuple[tuple[int, int | None], ...]:
    pauses = [turn for turn in turns if turn.state == PaperStatus.State.SUSPENDED]
    return tuple((turn.from_on.toordinal(), turn.to_on.toordinal() if turn.to_on else None) for turn in pauses)


def _version_terms(version: PaperVersion, terms: Mapping[Use, UseTerm]) -> VersionTerms:
    reading: TermsReading | None = getattr(version, "terms_reading", None)
    acknowledgement = reading.acknowledgement if reading else ""
    return VersionTerms(
        from_day=version.in_force_from.toordinal() if version.in_force_from else None,
        terms={use: engine_term(term, acknowledgement) for use, term in terms.items()},
        ownership=Ownership(reading.ownership) if reading else Ownership.NOT_SAID,
    )


def engine_term(term: UseTerm, acknowledgement: str = "") -> Term:
    """One clause as the engine takes it. acknowledgement: words that the version wants in print, whatever the use."""
    return Term(
        said=Said(term.said),
        clause=term.clause,
        page=term.page,
        recipients=frozenset(kind for kind in RecipientKind if term.recipients >> kind & 1),
        only_countries=frozenset(term.only_countries.split()),
        not_countries=frozenset(term.not_countries.split()),
        non_commercial_only=term.non_commercial_only,
        identification_only=term.identification_only,
        most_specimens=term.most_specimens,
        parts=frozenset(fold(part) for part in term.parts.split(",") if part.strip()),
        not_before_day=term.not_before.toordinal() if term.not_before else None,
        duties=bool(term.duties or term.other_condition or term.amount or acknowledgement),
        otherwise=Said(term.otherwise),
    )
