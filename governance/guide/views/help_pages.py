"""The help pages: what the codes, layers, verdicts and answers mean, with worked examples."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from accessions.people.access import Verb, requires
from governance.engine.tables import Layer, Verdict
from governance.engine.uses import Answer
from governance.guide.help.finding_texts import FINDINGS
from governance.guide.queries.help_pages import answer_page, finding_page, layer_page, of_code, topics, verdict_page


@require_safe
@requires(Verb.READ)
def index(request: HttpRequest) -> HttpResponse:
    """Everything that is explained, narrowed to words if some are asked for."""
    words = request.GET.get("q", "").strip()[:200]
    groups = topics(words)
    count = sum(len(group.topics) for group in groups)
    return render(request, "guide/help.html", {"groups": groups, "words": words, "count": count})


@require_safe
@requires(Verb.READ)
def finding(request: HttpRequest, finding: str) -> HttpResponse:
    """One finding code."""
    if finding not in FINDINGS:
        raise Http404(f"no finding has the code {finding}")
    return render(request, "guide/help_finding.html", {"page": finding_page(finding)})


@require_safe
@requires(Verb.READ)
def layer(request: HttpRequest, layer: str) -> HttpResponse:
    """One of the nine layers."""
    return render(request, "guide/help_layer.html", {"page": layer_page(_known(Layer, layer))})


@require_safe
@requires(Verb.READ)
def verdict(request: HttpRequest, verdict: str) -> HttpResponse:
    """One of the six verdicts."""
    return render(request, "guide/help_verdict.html", {"page": verdict_page(_known(Verdict, verdict))})


@require_safe
@requires(Verb.READ)
def answer(request: HttpRequest, answer: str) -> HttpResponse:
    """One of the answers of the use desk."""
    return render(request, "guide/help_answer.html", {"page": answer_page(_known(Answer, answer))})


def _known(words: Any, code: str) -> Any:
    found = of_code(words, code)
    if found is None:
        raise Http404(f"there is no page on {code}")
    return found
