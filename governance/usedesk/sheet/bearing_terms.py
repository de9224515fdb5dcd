"""What the papers of a sheet say, read once for all groups, and only what the person who makes it may read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any

from governance.engine.tables import NONE
from governance.engine.uses import Finding, RecipientKind, Said, Use
from governance.papers.models import Paper, PaperVersion, TermsReading, UseTerm
from governance.papers.restriction import opens
from governance.usedesk.models import ProviderQuestion, UseRequest
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.sheet.contents import Agreement, Clause, PaperTerms

Bound = tuple[int, int | None]
"""Key of a paper, and of its version; no version where none is known to bind. Negative: a deposit without a paper."""

Key = frozenset[Bound]


def bound_by(finding: Finding, desk: DeskAnswer) -> Bound:
    """The paper and the version that a finding is of."""
    paper = desk.keys[finding.paper]
    if paper < 0 or finding.version == NONE:
        return paper, None
    return paper, desk.version_keys[finding.paper][finding.version]


class TermsReader:
    """Papers, versions and clauses of some keys: five queries, however many groups there are."""

    def __init__(
        self, bound: Iterable[Bound], desk: DeskAnswer | None, request: UseRequest | None, reader: Any
    ) -> None:
        wanted = set(bound)
        versions = {version for _paper, version in wanted if version is not None}
        self._papers = Paper.objects.in_bulk([paper for paper, _version in wanted if paper > 0])
        self._open = {pk for pk, paper in self._papers.items() if opens(paper, reader)}
        self._versions = PaperVersion.objects.in_bulk(list(versions))
        self._readings = {row.version_id: row for row in TermsReading.objects.filter(version__in=versions)}
        self._clauses = _clauses(versions)
        self._agreements = _agreements(request)
        self._names = dict(zip(desk.keys, desk.references, strict=True)) if desk else {}

    def papers(self, key: Key) -> tuple[PaperTerms, ...]:
        """The papers of a group, by reference."""
        found = [self._terms(paper, version) for paper, version in key]
        return tuple(sorted(found, key=lambda one: (one.reference, one.since or date.min)))

    def _terms(self, key: int, version: int | None) -> PaperTerms:
        paper = self._papers.get(key)
        if paper is None:
            return PaperTerms(key, self._names.get(key, ""))
        if key not in self._open:
            return PaperTerms(key, paper.reference, paper.kind, is_readable=False)
        reading = self._readings.get(version) if version is not None else None
        since = self._versions[version].in_force_from if version in self._versions else None
        return PaperTerms(
            key, paper.reference, paper.kind, issuer=paper.issuer, language=paper.language, since=since,
            clauses=self._clauses.get(version or 0, {}), agreements=tuple(self._agreements.get(key, ())),
            **_of_reading(reading),
        )  # fmt: skip


def _of_reading(reading: TermsReading | None) -> dict[str, Any]:
    if reading is None:
        return {}
    return {
        "acknowledgement": reading.acknowledgement, "ownership": reading.ownership,
        "ownership_clause": reading.ownership_clause, "ownership_page": reading.ownership_page,
    }  # fmt: skip


def _clauses(versions: set[int]) -> dict[int, dict[Use, Clause]]:
    found: dict[int, dict[Use, Clause]] = defaultdict(dict)
    for term in UseTerm.objects.filter(version__in=versions):
        found[term.version_id][Use(term.use)] = Clause(
            Use(term.use), Said(term.said), term.clause, term.clause_number, term.page, tuple(_conditions(term)),
            term.duties, term.other_condition,
        )  # fmt: skip
    return found


def _conditions(term: UseTerm) -> Iterable[tuple[str, object]]:
    """In the order of the columns; a word each of the files of words."""
    if term.recipients:
        yield "only_to", tuple(kind.code for kind in RecipientKind if term.recipients >> kind & 1)
    if term.only_countries:
        yield "only_in", tuple(term.only_countries.split())
    if term.not_countries:
        yield "not_in", tuple(term.not_countries.split())
    if term.non_commercial_only:
        yield "non_commercial", None
    if term.identification_only:
        yield "identification", None
    if term.most_specimens is not None:
        yield "at_most", term.most_specimens
    if term.amount:
        yield "amount", term.amount
    if term.parts:
        yield "parts", term.parts
    if term.not_before is not None:
        yield "not_before", term.not_before


def _agreements(request: UseRequest | None) -> dict[int, list[Agreement]]:
    found: dict[int, list[Agreement]] = defaultdict(list)
    rows = (
        ProviderQuestion.objects.filter(request=request, reply="agreed").order_by("replied_on", "pk") if request else ()
    )
    for row in rows:
        uses = frozenset(use for use in Use if row.uses >> use & 1)
        if row.replied_on is not None:
            found[row.paper_id].append(Agreement(uses, row.asked_of, row.replied_on, row.reply_words))
    return found
