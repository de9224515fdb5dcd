"""Sequences of a use: their accession numbers, many at once."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.usedesk.actions import sequences as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms.sequences import FORM_ONLY, SequenceRemoveForm, SequencesForm
from governance.usedesk.models import Sequence
from governance.usedesk.queries.one_use import use_of


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def sequences(request: HttpRequest, pk: int) -> HttpResponse:
    """Record accession numbers from a pasted table; those that are recorded stand below."""
    made = get_object_or_404(use_of(pk))
    form = SequencesForm(posted(request), made=made)
    if form.is_valid():
        try:
            n = actions.add_sequences(made, form.numbers, by=person_of(request), why=gettext_noop("sequences recorded"))
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            words = ngettext("%(n)d new accession number.", "%(n)d new accession numbers.", n) % {"n": n}
            messages.success(request, f"{words} {FORM_ONLY}")
            return redirect("usedesk:sequences", pk)
    rows = (
        Sequence.objects.filter(item__use=made)
        .select_related("item__specimen")
        .order_by("item__specimen__catalog_number", "accession_number")
    )
    context = paged(request, rows) | {"form": form, "made": made}
    return render(request, "usedesk/sequences.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_USES)
def sequence_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an accession number away that was recorded by mistake."""
    found = get_object_or_404(Sequence.objects.select_related("item__use", "item__specimen"), pk=pk)
    form = SequenceRemoveForm(posted(request))
    made = found.item.use
    if form.is_valid():
        try:
            actions.remove_sequence(found, by=person_of(request), why=form.cleaned_data["why"])
        except DeskError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The accession number was removed; the history keeps it."))
            return redirect("usedesk:sequences", made.pk)
    context = {"form": form, "made": made, "sequence": found}
    return render(request, "usedesk/sequence_remove.html", context, status=form.status)
