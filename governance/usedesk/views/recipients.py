"""Recipients: all of them, one, entered and corrected."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.papers.countries import countries_known
from governance.usedesk.actions import recipients as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms.recipients import RecipientFilterForm, RecipientForm
from governance.usedesk.models import Recipient
from governance.usedesk.queries.listing import Wanted, line_of, use_requests
from governance.usedesk.queries.recipients import recipients
from governance.usedesk.views.requests import refuse


@require_GET
@requires(Verb.READ)
def recipient_list(request: HttpRequest) -> HttpResponse:
    """All recipients, narrowed and ordered as asked."""
    form = RecipientFilterForm(request.GET)
    told = form.told()
    context = {"form": form, "told": told, "all_recipients": Recipient.objects.count()}
    return render(request, "usedesk/recipients.html", context | paged(request, recipients(**told)))


@require_GET
@requires(Verb.READ)
def recipient(request: HttpRequest, pk: int) -> HttpResponse:
    """One recipient with what it asked for."""
    found = get_object_or_404(Recipient.objects.select_related("agent"), pk=pk)
    today = timezone.localdate()
    pages = paged(request, use_requests(Wanted(recipient=str(pk)), today))
    context = {
        "found": found, "changes": changes_of(Recipient, id=pk),
        "lines": [line_of(one, today) for one in pages["page"].object_list],
    }  # fmt: skip
    return render(request, "usedesk/recipient.html", context | pages)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def recipient_new(request: HttpRequest) -> HttpResponse:
    """Enter a recipient."""
    form = RecipientForm(posted(request))
    if form.is_valid():
        try:
            made = actions.add_recipient(values=form.values(), by=person_of(request), why=form.why)
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _("%(name)s is on file.") % {"name": made.name})
            return redirect("usedesk:recipient", made.pk)
    context = {"form": form, "countries": countries_known()}
    return render(request, "usedesk/recipient_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def recipient_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a recipient."""
    found = get_object_or_404(Recipient, pk=pk)
    form = RecipientForm(posted(request), instance=found)
    if form.is_valid():
        try:
            changed = actions.edit_recipient(recipient=found, values=form.values(), by=person_of(request), why=form.why)
        except (ValidationError, DeskError) as problem:
            refuse(form, problem)
        else:
            messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
            return redirect("usedesk:recipient", pk)
    context = {"form": form, "found": get_object_or_404(Recipient, pk=pk), "countries": countries_known()}
    return render(request, "usedesk/recipient_form.html", context, status=form.status)
