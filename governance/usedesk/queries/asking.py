"""What a provider is asked: for which uses and specimens, of whom, and what stands already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from accessions.material.models import Specimen
from governance.engine.tables import NONE
from governance.engine.uses import Answer, Finding, Use, version_on
from governance.papers.models import Paper, PaperVersion, UseTerm
from governance.papers.queries.terms import engine_terms
from governance.usedesk.models import ProviderQuestion, RequestDecision, UseRequest
from governance.usedesk.queries.answering import DeskAnswer


@dataclass(frozen=True)
class ToAsk:
    """A paper that bears on a request. uses: those for which it asks or is silent. ids: of the specimens in question;
    all under the paper where it does not ask. whom: as the paper says, else who gave it."""

    paper: Paper
    uses: tuple[Use, ...]
    ids: tuple[int, ...]
    whom: str
    reply_days: int | None


def to_ask(desk: DeskAnswer, paper: Paper) -> ToAsk | None:
    """What would be asked; None where the paper bears on nothing in the request."""
    row = next((row for row, key in enumerate(desk.keys) if key == paper.pk), None)
    if row is None:
        return None
    of_case = [[f for f in case.findings if f.paper == row] for case in desk.answers.cases]
    asking = [any(map(_asks, found)) for found in of_case]
    uses = {f.use for found in of_case for f in found if _asks(f)}
    wanted = asking if any(asking) else [bool(found) for found in of_case]
    ids = tuple(pk for pk, case in zip(desk.ids, desk.answers.case.tolist(), strict=True) if wanted[case])
    if not ids:
        return None
    finding = next(f for found in of_case for f in found)
    reading = desk.reading(finding) if finding.version != NONE else None
    whom = (reading.ask_whom if reading else "") or paper.issuer
    return ToAsk(paper, tuple(u for u in Use if u in uses), ids, whom, reading.reply_days if reading else None)


def _asks(finding: Finding) -> bool:
    return finding.answer == Answer.ASK_FIRST or (finding.is_silent and finding.code != "not-heard")


def clauses_on(question: ProviderQuestion) -> list[UseTerm]:
    """The clauses of the version of the day of the request on the uses that are asked about."""
    version = _version(question)
    if version is None:
        return []
    uses = [int(use) for use in Use if question.uses >> use & 1]
    return list(UseTerm.objects.filter(version=version, use__in=uses).exclude(clause="").order_by("use"))


def _version(question: ProviderQuestion) -> PaperVersion | None:
    terms = engine_terms([question.paper_id])
    number = version_on(terms.papers[0], question.request.asked_on.toordinal())
    return None if number == NONE else PaperVersion.objects.get(pk=terms.versions[0][number])


def numbers_of(ids: Sequence[int]) -> list[str]:
    """Catalogue numbers of specimens, in their order; nameless ones are left out."""
    found = dict(Specimen.objects.filter(pk__in=ids).values_list("pk", "catalog_number"))
    return [found[pk] for pk in ids if found.get(pk)]


def rests_on_paper(request: UseRequest, paper: Paper) -> list[RequestDecision]:
    """Decisions that stand and name the paper among their reasons."""
    rows = RequestDecision.objects.filter(request=request, withdrawn_at__isnull=True)
    return [one for one in rows if any(reason.get("paper") == paper.pk for reason in one.reasons)]


def earlier_questions(request: UseRequest, paper: Paper) -> list[Any]:
    """What was asked of this provider for this request."""
    return list(ProviderQuestion.objects.filter(request=request, paper=paper))
