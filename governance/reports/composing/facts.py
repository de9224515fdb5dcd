"""What the first page says: who reports to whom, by which agreements, for which time. ``FACTS`` lists every key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from governance.papers.models import PaperKind
from governance.reports.composing.codes import WITHHELD
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.papers import Papers
from governance.reports.composing.scope import Scope, iso
from governance.reports.contents import ColumnType, Fact, Figure
from governance.usedesk.models import DeskRules
from governance.verdicts.models import CountrySheet

FACTS: Final = (
    "country", "authority", "institution", "provider", "agreement", "paper", "period_from", "period_to", "author",
    "made_on", "specimens",
)  # fmt: skip

AGREEMENTS: Final = frozenset(
    {
        PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.MUTUALLY_AGREED_TERMS, PaperKind.ACCESS_PERMIT,
        PaperKind.CERTIFICATE_OF_COMPLIANCE, PaperKind.MATERIAL_TRANSFER_AGREEMENT, PaperKind.COMMUNITY_CONSENT,
    }
)  # fmt: skip
"""Kinds of papers that two sides agree upon (Nagoya Protocol, Art. 6 and 7), and agreements of transfer."""

_MOST: Final = 12


def facts_of(scope: Scope, papers: Papers, disclosing: Disclosing, figures: Sequence[Figure]) -> list[Fact]:
    """The facts, those that are not known left out."""
    return [one for one in _facts(scope, papers, disclosing, figures) if one.value not in (None, "")]


def _facts(scope: Scope, papers: Papers, disclosing: Disclosing, figures: Sequence[Figure]) -> Iterator[Fact]:
    report, day = scope.report, ColumnType.DAY
    agreed = [
        paper for key, paper in papers.known.items()
        if paper.kind in AGREEMENTS and key not in disclosing.closed and key in papers.of_provider
    ]  # fmt: skip
    yield Fact("country", scope.country, ColumnType.COUNTRY)
    yield Fact("authority", _authority(scope.country))
    yield Fact("provider", _listed(disclosing.issuer(paper) for paper in agreed))
    yield Fact("institution", DeskRules.objects.values_list("institution", flat=True).first() or "")
    yield Fact("agreement", _listed(disclosing.masked(paper.reference) or "" for paper in agreed))
    if report.paper is not None:
        yield Fact("paper", disclosing.masked(report.paper.reference))
    yield Fact("period_from", iso(scope.period.first), day)
    yield Fact("period_to", iso(scope.period.last), day)
    yield Fact("author", scope.reader.shown_name)
    yield Fact("made_on", scope.today.isoformat(), day)
    total = next((int(one.value) for one in figures if one.key == "specimens"), None)
    yield Fact("specimens", total, ColumnType.NUMBER)


def _authority(country: str) -> str:
    return CountrySheet.objects.filter(country=country).values_list("authority", flat=True).first() or ""


def _listed(texts: Iterator[str]) -> str:
    """Different texts, as many as the first page holds."""
    different = [text for text in dict.fromkeys(texts) if text and text != WITHHELD]
    more = [f"+ {len(different) - _MOST}"] if len(different) > _MOST else []
    return ", ".join([*different[:_MOST], *more])
