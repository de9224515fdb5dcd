"""The data of a private person: when they may go, and taking them out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.models import Agent
from governance.audit.actions.errors import AuditError
from governance.audit.actions.minimising import minimise
from governance.audit.forms.keeping import ReasonForm
from governance.audit.queries.minimising import person_kept, places_of_name


@require_http_methods(["GET", "POST"])
@requires(Verb.DISPOSE)
def minimise_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Says what names the person and until when; takes the data out after the day, with a reason."""
    agent, today = get_object_or_404(Agent, pk=pk), timezone.localdate()
    form = ReasonForm(posted(request))
    if form.is_valid():
        try:
            made = minimise(agent=agent, why=form.cleaned_data["why"], by=person_of(request), today=today)
        except AuditError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The data were taken out: the record and its history now say “%(name)s”.")
                             % {"name": made.agent.name})  # fmt: skip
            return redirect("people:agent", pk=pk)
    context = {"form": form, "kept": person_kept(agent, today), "agent": agent, "places": places_of_name(agent)}
    return render(request, "audit/minimise.html", context, status=form.status)
