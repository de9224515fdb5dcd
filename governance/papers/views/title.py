"""Title and custody of an accession: recorded, changed, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.material.models import Accession
from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.papers.actions.title import add_title, change_title, remove_title
from governance.papers.forms.title import TitleForm, TitleRemoveForm
from governance.papers.models import TitleRecord
from governance.papers.queries.titles import paper_numbers

FILE = "verdicts:legal-file"
"""Where the records are shown: the page that all of these come from and go back to."""


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def title_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Record title."""
    accession = get_object_or_404(Accession.objects.select_related("source"), pk=pk)
    offered = {"kind": accession.kind, "given_by": accession.source.name if accession.source else ""}
    form = TitleForm(posted(request), accession=accession, reader=request.user, initial=offered)
    if request.method == "POST" and form.is_valid():
        try:
            title = add_title(accession=accession, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("Recorded: %(kind)s.") % {"kind": title.get_kind_display()})
            return redirect(FILE, accession.pk)
    context = {"form": form, "accession": accession, "papers": paper_numbers()}
    return render(request, "papers/title_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def title_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a record of title."""
    title = get_object_or_404(TitleRecord.objects.select_related("accession", "paper"), pk=pk)
    form = TitleForm(posted(request), accession=title.accession, reader=request.user, instance=title)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_title(title=title, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("The record was changed.") if changed else _("Nothing was changed."))
            return redirect(FILE, title.accession_id)
    context = {"form": form, "accession": title.accession, "title": title, "papers": paper_numbers()}
    return render(request, "papers/title_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.DECIDE)
def title_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a record away, with a reason."""
    title = get_object_or_404(TitleRecord.objects.select_related("accession", "paper", "part"), pk=pk)
    form = TitleRemoveForm(posted(request))
    if request.method == "POST" and form.is_valid():
        remove_title(title=title, by=request.user, why=form.cleaned_data["why"])
        messages.success(request, _("The record was removed; the history keeps it."))
        return redirect(FILE, title.accession_id)
    context = {"form": form, "accession": title.accession, "title": title}
    return render(request, "papers/title_remove.html", context, status=form.status)
