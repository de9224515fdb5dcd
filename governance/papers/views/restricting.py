"""The page on which a paper is closed to some roles, or opened again."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from governance.papers.actions.restricting import restrict
from governance.papers.forms.restricting import REASONS, RestrictForm
from governance.papers.models import Paper
from governance.papers.restriction import for_readers, is_restricted, roles_in_a_list


@require_http_methods(["GET", "POST"])
@requires(Verb.RESTRICT)
@for_readers
def paper_restrict(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the roles that may read what is in the paper."""
    paper = get_object_or_404(Paper, pk=pk)
    form = RestrictForm(request.POST if request.method == "POST" else None, paper=paper)
    if request.method == "POST" and form.is_valid():
        try:
            paper = restrict(paper=paper, roles=form.cleaned_data["roles"], why=form.cleaned_data["why"],
                             by=request.user)  # fmt: skip
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _said(paper))
            return redirect("papers:paper", pk)
    context = {"form": form, "paper": paper, "reasons": REASONS}
    return render(request, "papers/paper_restrict.html", context, status=form.status)


def _said(paper: Paper) -> str:
    if not is_restricted(paper):
        return _("%(paper)s is open to everybody who may sign in.") % {"paper": paper}
    words = _("What is in %(paper)s is open to %(roles)s; that it exists and what it covers, everybody sees.")
    return words % {"paper": paper, "roles": roles_in_a_list(paper.restricted_to)}
