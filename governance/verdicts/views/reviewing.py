"""A second person looks at a decision beside a verdict."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.verdicts.actions.overrides import OverrideError
from governance.verdicts.actions.reviewing import agree, refuse
from governance.verdicts.forms.reviewing import ReviewForm
from governance.verdicts.models import Override
from governance.verdicts.queries.waiting_decisions import reviewed

_ROWS = ("specimen__standing__ruling", "decided_by", "withdrawn_by", "reviewed_by")


@require_http_methods(["GET", "POST"])
@requires(Verb.REVIEW_DECISIONS)
def override_review(request: HttpRequest, pk: int) -> HttpResponse:
    """Agree to it with a note, or refuse it with a reason."""
    override = get_object_or_404(Override.objects.select_related(*_ROWS), pk=pk)
    form = ReviewForm(posted(request))
    if form.is_valid() and _reviewed(request, override, form):
        return redirect("verdicts:specimen", pk=override.specimen_id)
    context = {"form": form, "one": reviewed(override), "override": override,
               "is_own": override.decided_by_id == request.user.pk}  # fmt: skip
    return render(request, "verdicts/override_review.html", context, status=form.status)


def _reviewed(request: HttpRequest, override: Override, form: ReviewForm) -> bool:
    """Whether it was written; a mistake goes into the form."""
    words = form.cleaned_data["words"]
    try:
        if form.cleaned_data["answer"] == ReviewForm.AGREE:
            agree(override=override, note=words, by=request.user)
            messages.success(request, _("You agreed: the decision counts now."))
        else:
            refuse(override=override, reason=words, by=request.user)
            messages.success(request, _("You refused: the decision is withdrawn, the computed verdict counts."))
    except OverrideError as problem:
        form.add_error(None, str(problem))
        return False
    return True
