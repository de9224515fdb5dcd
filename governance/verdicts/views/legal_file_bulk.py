"""A paper linked to many accessions: write the numbers, look, then link all at once."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.material.forms.accessions import AccessionFilterForm
from accessions.material.queries.accessions import accessions
from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.papers.forms.rows import is_back
from governance.papers.models import Paper
from governance.papers.queries.titles import paper_numbers
from governance.verdicts.actions.bulk_attaching import Attached, attach_to_accessions
from governance.verdicts.forms.legal_file import MOST_ACCESSIONS, BulkAttachForm
from governance.verdicts.queries.bulk_attaching import bulk_preview
from governance.verdicts.views.changes import Step, show_changes


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def legal_file_bulk(request: HttpRequest) -> HttpResponse:
    """Accessions and paper are chosen, shown with what will happen, then linked; the page of the paper undoes it."""
    form = BulkAttachForm(posted(request), initial=_offered(request.GET))
    preview, has_changed = None, False
    if request.method == "POST" and form.is_valid():
        preview = bulk_preview(form.cleaned_data["paper"], form.cleaned_data["accessions"])
        if request.POST.get("seen") == preview.stamp and not is_back(request):
            return _attach(request, form)
        has_changed = request.POST.get("seen", preview.stamp) != preview.stamp
    context = {"form": form, "preview": preview, "has_changed": has_changed, "papers": paper_numbers()}
    return render(request, "verdicts/legal_file_bulk.html", context, status=form.status)


def _attach(request: HttpRequest, form: BulkAttachForm) -> HttpResponse:
    """Link it to all; with the button ``look`` say first what would change."""
    paper, why = form.cleaned_data["paper"], form.cleaned_data["why"] or _("linked to many accessions at once")

    def save() -> Attached:
        return attach_to_accessions(
            paper=paper, accessions=form.cleaned_data["accessions"], by=request.user, why=why
        )  # fmt: skip

    if "look" in request.POST:
        title = _("Link %(paper)s to many accessions") % {"paper": paper.reference}
        address = reverse("verdicts:legal-file-bulk")
        step = Step(title, _("Link the paper"), address, reverse("material:accessions"), _("Accessions"))
        return show_changes(request, save, step, request.POST)
    messages.success(request, _said(paper, save()))
    return redirect("papers:paper", paper.pk)


def _offered(asked: QueryDict) -> dict[str, str]:
    """The numbers of the list of accessions as it was narrowed, if the page was opened from there."""
    offered = {"paper": asked.get("paper", "")}
    if "list" in asked:
        rows = accessions(AccessionFilterForm(asked).narrowed())
        offered["accessions"] = "\n".join(rows.values_list("number", flat=True)[:MOST_ACCESSIONS])
    return offered


def _said(paper: Paper, done: Attached) -> str:
    words = ngettext(
        "%(paper)s is linked to %(n)d more accession.", "%(paper)s is linked to %(n)d more accessions.", done.made
    ) % {"paper": paper.reference, "n": done.made}
    if done.known:
        words += " " + ngettext("%(n)d was linked already.", "%(n)d were linked already.", done.known) % {
            "n": done.known
        }
    return words + " " + _("Verdicts are worked out anew; to undo it, take the links off here.")
