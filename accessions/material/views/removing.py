"""A specimen that was entered by mistake, removed from the register after a question."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.material.actions.removing import RemovalError, remove_specimen
from accessions.material.forms.removing import RemovalForm
from accessions.material.models import Specimen
from accessions.material.queries.removing import goes_along, in_the_way
from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted


@require_http_methods(["GET", "POST"])
@requires(Verb.REMOVE_SPECIMENS)
def specimen_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes with it, and a reason; or all that stands in the way at once."""
    specimen = get_object_or_404(Specimen.objects.select_related("accession", "name"), pk=pk)
    form = RemovalForm(posted(request))
    found, refused = in_the_way([pk]), ""
    if request.method == "POST" and not found and form.is_valid():
        try:
            removed = remove_specimen(specimen, by=request.user, why=form.cleaned_data["why"])
        except RemovalError as error:
            found, refused = list(error.in_the_way), str(error)
        else:
            words = _("%(specimen)s was removed from the register. What is counted with it is judged again.")
            messages.success(request, words % {"specimen": removed})
            return redirect("material:accession", removed.accession_id)
    context = {
        "specimen": specimen, "form": form, "reasons": found, "refused": refused,
        "along": [] if found else goes_along([pk]),
    }  # fmt: skip
    is_refused = request.method == "POST" and bool(found or refused)
    return render(request, "material/specimen_remove.html", context, status=409 if is_refused else form.status)
