"""What a paper that is being written would cover: asked by the forms of the papers room, nothing is saved."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.forms.linking import LinkForm
from governance.papers.forms.sheet import PaperSheet, TermsSheet, distribute
from governance.papers.models import Paper, PaperVersion
from governance.papers.restriction import for_readers
from governance.verdicts.actions.paper_preview import preview

_REFUSED = 422


@require_POST
@requires(Verb.REGISTER_PAPERS)
def new_paper(request: HttpRequest) -> HttpResponse:
    """Of a paper that is not registered yet."""
    sheet, links = PaperSheet(request.POST.copy(), request.FILES), LinkForm(request.POST)
    fine = all([sheet.is_valid(), links.is_valid()])

    def change() -> Paper:
        return actions.register(
            data=sheet.object(), targets=links.cleaned_data["targets"], by=request.user, why=_("preview")
        )

    def refuse(problems: FileProblems) -> None:
        sheet.refuse(problems)

    return _answer(request, change if fine else None, refuse, [*sheet.forms, links])


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version(request: HttpRequest, pk: int, version_pk: int | None = None) -> HttpResponse:
    """Of a new version of a paper, or of the correction of one."""
    paper = get_object_or_404(Paper, pk=pk)
    standing = get_object_or_404(PaperVersion, pk=version_pk, paper=pk) if version_pk else None
    terms = TermsSheet(request.POST.copy(), request.FILES)

    def change() -> Paper:
        if standing is None:
            return actions.add_version(paper=paper, data=terms.object(), by=request.user, why=_("preview"))
        return actions.amend_version(
            paper=paper, start=standing.in_force_from, data=terms.object(), by=request.user, why=_("preview")
        )

    def refuse(problems: FileProblems) -> None:
        distribute(problems.problems, None, terms, 0)

    return _answer(request, change if terms.is_valid() else None, refuse, terms.forms)


def _answer(
    request: HttpRequest, change: Callable[[], Paper] | None, refuse: Callable[[FileProblems], None],
    all_forms: list[object],
) -> HttpResponse:  # fmt: skip
    found = None
    if change is not None:
        try:
            found = preview(change)
        except FileProblems as problems:
            refuse(problems)
    is_part = request.headers.get("X-Part") == "1"
    template = "verdicts/_paper_preview.html" if is_part else "verdicts/paper_preview.html"
    return render(request, template, {"found": found, "all_forms": all_forms}, status=200 if found else _REFUSED)
