"""What a page of a specimen shows of each layer: verdict, papers and versions, day tested, findings, decisions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from django.utils.translation import gettext as _

from governance.engine.explain import fill
from governance.engine.tables import Finding, Layer, Verdict
from governance.papers.measures import quantity
from governance.papers.models import Paper, PaperVersion
from governance.verdicts.cells import Cell
from governance.verdicts.gauges import Gauge, gauge_of
from governance.verdicts.models import LayerDecision, Outcome, OutcomeFinding, Override
from governance.verdicts.queries.tested_days import TestedDay
from governance.verdicts.settling import TEST_NAMES, Advice, Test, advice_of, is_remark, record_page, says_no
from governance.verdicts.shown_days import short_day
from governance.verdicts.spoken import spoken, spoken_words

_SIGNED = frozenset({"area-edge", "excluded-area", "exclusion-edge"})
_COUNTS_DAYS = frozenset({"straddles", "date-vague"})


@dataclass(frozen=True)
class PaperUsed:
    """A paper of an outcome, and the versions of it that were tested, as ``v2`` or ``v1, v2``; "" for an unread one."""

    paper: Paper
    versions: Sequence[PaperVersion]
    numbers: str

    @property
    def reference(self) -> str:
        return self.paper.reference


@dataclass(frozen=True)
class ShownFinding:
    """One reason in words. sentence: complete. edge, day: for the gauge."""

    finding: Finding
    sentence: str
    edge: str = ""
    day: str = ""

    @property
    def code(self) -> str:
        return self.finding.code

    @property
    def advice(self) -> Advice:
        return advice_of(self.code)

    @property
    def record_page(self) -> str:
        """Name of the page on which a better record would settle it, "" for none."""
        return record_page(self.code)

    @property
    def is_remark(self) -> bool:
        return is_remark(self.code)

    @cached_property
    def measure(self) -> str:
        """The number with its unit, "" where the finding has none."""
        value, against = self.finding.measure, self.finding.against
        if value is None:
            return ""
        if self.code in _COUNTS_DAYS and against is not None:
            return _("%(inside)d of %(days)d") % {"inside": round(value), "days": round(against)}
        return quantity(abs(value), self.finding.unit)

    @property
    def caption(self) -> str:
        """Below the measure: side of the edge, radius, what was counted."""
        words = str(self.advice.caption)
        value, against = self.finding.measure, self.finding.against
        if value is not None and self.code in _SIGNED:
            words = _("inside the edge") if value < 0 else _("outside the edge")
        if self.finding.unit == "m" and against and self.code != "at-sea":
            words += f", ±{quantity(against, 'm')}"
        if self.finding.unit == "individuals" and against is not None:
            words += _(", limit %(limit)d") % {"limit": round(against)}
        return words

    @cached_property
    def gauge(self) -> Gauge:
        return gauge_of(self.finding, edge=self.edge, specimen=self.day)


@dataclass(frozen=True)
class TestAnswer:
    """The answer of one test of the nearest paper: ``yes``, ``no``, ``unk`` (classes of the stylesheet) in words.

    style ``none``: the paper sets no limit to it.
    """

    style: str
    text: str

    __test__ = False


@dataclass
class LayerCard:
    """A layer of a specimen. outcome: what was computed. override: a person's decision that counts beside it.
    waiting: one that waits for a second person, and changes nothing.
    decision: that the layer needs no paper, for the accession or the part.
    """

    layer: Layer
    outcome: Outcome
    papers: Sequence[PaperUsed]
    findings: Sequence[ShownFinding]
    day: TestedDay
    override: Override | None = None
    waiting: Override | None = None
    decision: LayerDecision | None = None
    others: int = 0
    limits: frozenset[Test] = field(default_factory=frozenset)

    @property
    def computed(self) -> Cell:
        return Cell(Verdict(self.outcome.verdict), self.layer)

    @property
    def cell(self) -> Cell:
        """The verdict that counts: the decided one, while the computed one is as it was when a person decided."""
        if self.override is None or self.computed_then is not None:
            return self.computed
        return Cell(Verdict(self.override.decided), self.layer)

    @property
    def computed_then(self) -> Cell | None:
        """The computed verdict on the day of the decision, where it is another one by now."""
        if self.override is None or self.override.computed == self.outcome.verdict:
            return None
        return Cell(Verdict(self.override.computed), self.layer)

    @property
    def said(self) -> Cell | None:
        """The verdict that a person decided, whether or not it counts yet."""
        decision = self.override or self.waiting
        return Cell(Verdict(decision.decided), self.layer) if decision else None

    @property
    def code(self) -> str:
        """The word of the layer in addresses."""
        return self.layer.code

    @property
    def reasons(self) -> list[ShownFinding]:
        """Findings that need a look; remarks are no reason."""
        return [finding for finding in self.findings if finding.code and not finding.is_remark]

    @property
    def remarks(self) -> list[ShownFinding]:
        return [finding for finding in self.findings if finding.is_remark]

    @property
    def first(self) -> ShownFinding | None:
        return self.findings[0] if self.findings else None

    @property
    def is_unread(self) -> bool:
        return any(finding.code == "paper-unread" for finding in self.findings)

    def answers(self) -> list[TestAnswer] | None:
        """The answers of the seven tests; None where no test of a paper was made.

        The findings of an outcome are all answers that are not yes on the paper that came nearest (the contract,
        section 7), so a test without a finding said yes, or the paper sets no limit to it.
        """
        if not self.papers or self.is_unread or self.outcome.verdict == Verdict.NOT_REQUIRED:
            return None
        return [self._answer(test) for test in Test if test is not Test.PAPER]

    def _answer(self, test: Test) -> TestAnswer:
        found = next((f for f in self.findings if f.code and f.advice.test is test), None)
        if found is None:
            return TestAnswer("yes", _("yes")) if test in self.limits else TestAnswer("none", "")
        if found.is_remark and self.outcome.verdict == Verdict.COVERED:
            return TestAnswer("yes", _("yes, %(remark)s") % {"remark": found.advice.caption})
        word = _("no") if says_no(found.code) else _("cannot tell")
        style = "no" if says_no(found.code) else "unk"
        return TestAnswer(style, f"{word}, {found.measure}" if found.measure else word)


TESTS = [TEST_NAMES[test] for test in Test if test is not Test.PAPER]
"""Heads of the columns of ``LayerCard.answers``."""


def shown_finding(
    row: OutcomeFinding, words: Mapping[str, str], day: TestedDay, versions: Sequence[PaperVersion]
) -> ShownFinding:
    """A stored finding in words; words: what stands for the braces of its sentence."""
    finding = Finding(row.code, row.measure, row.against, row.unit)
    sentence = fill(spoken(row.sentence), spoken_words(dict(words)))
    return ShownFinding(finding, sentence, _edge_words(row.code, versions), day.short)


def _edge_words(code: str, versions: Sequence[PaperVersion]) -> str:
    """The day at the edge of a version, for the gauge."""
    ends = [v.in_force_to for v in versions if v.in_force_to] if code == "after-end" else []
    starts = [v.in_force_from for v in versions if v.in_force_from] if code == "before-start" else []
    day: date | None = max(ends, default=None) or min(starts, default=None)
    return short_day(day) if day else ""


def limits_of(versions: Sequence[PaperVersion], layer: Layer) -> frozenset[Test]:
    """The tests to which any of the versions sets a limit. Dates always are one.

    So is the place, since the issuer's jurisdiction stands in for none; but not on import, CITES and transfer, where a
    paper that lists no place sets no limit (the contract, section 4).
    """
    found = {Test.DATES} | ({Test.AREA} if layer <= Layer.EXPORT else set())
    for version in versions:
        words = {word.subject for word in version.versionwords.all()}
        found |= {Test.AREA} if version.versionplaces.all() else set()
        found |= {Test.TAXA} if _listed(version.versiontaxons.all()) else set()
        found |= {Test.METHODS} if "methods" in words else set()
        found |= {Test.KIND} if words & {"sexes", "life_stages"} else set()
        found |= {Test.PEOPLE} if version.versionpersons.all() else set()
        found |= {Test.COUNT} if version.versioncaps.all() else set()
    return frozenset(found)


def _listed(taxa: object) -> bool:
    """Whether the taxa set a limit: ``*`` alone does not."""
    return any(taxon.name != "*" for taxon in taxa)  # type: ignore[attr-defined]
