"""One layer at one stop: what each way of taking and each group came to, and what would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.db.models import F, Q
from django.utils.translation import gettext as _

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperVersion
from governance.plans.judging import Answer, PaperUsed
from governance.plans.models import Application, FieldPlan
from governance.plans.planned_rows import PlannedRow
from governance.plans.queries.candidates import candidates
from governance.plans.queries.check import CheckedCell, PlanCheck, needed_on
from governance.plans.queries.plan_words import period_words
from governance.plans.queries.settle_words import settle_words
from governance.verdicts.cells import Cell
from governance.verdicts.queries.layer_cards import ShownFinding
from governance.verdicts.shown_days import short_day
from governance.verdicts.spoken import spoken

Versions = dict[int, list[PaperVersion]]


@dataclass(frozen=True)
class CellFinding:
    """One reason with what would settle it."""

    shown: ShownFinding
    settle: str


@dataclass(frozen=True)
class UsedPaper:
    """A paper behind an answer, with the versions that were tested."""

    paper: Paper
    versions: str

    @property
    def reference(self) -> str:
        return self.paper.reference


@dataclass(frozen=True)
class AnswerGroup:
    """Rows of the plan that came to the same answer."""

    layer: int
    answer: Answer
    rows: tuple[PlannedRow, ...]
    papers: tuple[UsedPaper, ...]
    findings: tuple[CellFinding, ...]

    @cached_property
    def cell(self) -> Cell:
        return Cell(self.answer.verdict, self.answer.layer)

    @property
    def ways(self) -> str:
        """In which ways, of which groups: "hand net, kick net; Trichoptera, Unio crassus"."""
        methods = dict.fromkeys(row.method or _("no method") for row in self.rows)
        names = dict.fromkeys(row.name or _("no group named") for row in self.rows)
        return f"{', '.join(methods)}; {', '.join(names)}"

    @property
    def days(self) -> list[str]:
        """The days of the rows, each stretch once."""
        return list(dict.fromkeys(period_words(row.first_on, row.last_on) for row in self.rows))


def answer_groups(cell: CheckedCell) -> list[AnswerGroup]:
    """The answers of a cell, worst first, those that say the same together."""
    together: dict[tuple[Verdict, tuple[PaperUsed, ...], tuple[str, ...]], list[Answer]] = {}
    for answer in cell.answers:
        key = (answer.verdict, answer.papers, tuple(text for _finding, text in answer.findings))
        together.setdefault(key, []).append(answer)
    versions = _versions({used.pk for answer in cell.answers for used in answer.papers})
    return [_group(cell, answers, versions) for answers in together.values()]


def _day_compared(cell: CheckedCell, row: PlannedRow) -> str:
    """The days that were held against the papers: of the row, or of the way home for its layers."""
    if cell.layer < Layer.EXPORT:
        return period_words(row.first_on, row.last_on)
    day = needed_on(cell)
    return short_day(day) if day else ""


def _group(cell: CheckedCell, answers: Sequence[Answer], versions: Versions) -> AnswerGroup:
    first = answers[0]
    tested = [version for used in first.papers for version in _tested(used, versions)]
    day = _day_compared(cell, first.row)
    findings = [
        CellFinding(
            ShownFinding(finding, spoken(text), _edge(finding.code, tested), day if finding.unit == "days" else ""),
            _settle(finding.code, [answer.row for answer in answers]),
        )
        for finding, text in first.findings
    ]
    papers = [
        UsedPaper(versions[used.pk][0].paper, _numbers(used, versions))
        if versions.get(used.pk)
        else UsedPaper(Paper(pk=used.pk, reference=used.reference), _("not read yet"))
        for used in first.papers
    ]
    return AnswerGroup(int(first.layer), first, tuple(a.row for a in answers), tuple(papers), tuple(findings))


def _settle(code: str, rows: Sequence[PlannedRow]) -> str:
    """What would settle it; where a limit is open since a number is missing, of which groups."""
    missing = dict.fromkeys(row.name or _("what is taken") for row in rows if not row.expected.strip())
    if code == "cap-possible" and missing:
        return _("say how many of %(groups)s are expected at this stop.") % {"groups": ", ".join(missing)}
    return settle_words(code)


def _versions(papers: set[int]) -> Versions:
    """By paper its versions, the first in force first."""
    found: Versions = {}
    rows = PaperVersion.objects.filter(paper__in=papers).select_related("paper")
    for version in rows.order_by("paper", F("in_force_from").asc(nulls_first=True)):
        found.setdefault(version.paper_id, []).append(version)
    return found


def _tested(used: PaperUsed, versions: Versions) -> list[PaperVersion]:
    starts = set(used.versions)
    return [one for one in versions.get(used.pk, []) if _start(one) in starts]


def _start(version: PaperVersion) -> int | None:
    return version.in_force_from.toordinal() if version.in_force_from else None


def _numbers(used: PaperUsed, versions: Versions) -> str:
    """ "v2, 1 Mar – 17 Jun 2027": number and days of each version that was tested."""
    starts = set(used.versions)
    return ", ".join(
        f"v{number}, {_in_force(one)}"
        for number, one in enumerate(versions.get(used.pk, []), start=1)
        if _start(one) in starts
    )


def _in_force(version: PaperVersion) -> str:
    first, last = version.in_force_from, version.in_force_to
    if first and last:
        return period_words(first, last)
    if last:
        return _("until %(day)s") % {"day": short_day(last)}
    return _("from %(day)s, open") % {"day": short_day(first)} if first else _("without dates")


def _edge(code: str, versions: Sequence[PaperVersion]) -> str:
    """The day at the edge of the gauge."""
    ends = [one.in_force_to for one in versions if one.in_force_to] if code == "after-end" else []
    starts = [one.in_force_from for one in versions if one.in_force_from] if code == "before-start" else []
    day: date | None = max(ends, default=None) or min(starts, default=None)
    return short_day(day) if day else ""


def candidate_papers(check: PlanCheck, stop: int, layer: Layer) -> list[UsedPaper]:
    """Papers on file that would make the cell covered if they were linked, as the engine answers."""
    found = candidates(check).get((stop, layer), ())
    versions = _versions({used.pk for used in found})
    return [UsedPaper(versions[used.pk][0].paper, _numbers(used, versions)) for used in found if versions.get(used.pk)]


def applications_for(plan: FieldPlan, stop: int, layer: Layer) -> list[Application]:
    """What is asked for, for the layer at the stop or at all stops."""
    rows = plan.applications.filter(layer=int(layer))
    return list(rows.filter(Q(all_stops=True) | Q(application_stops__stop=stop)).distinct())
