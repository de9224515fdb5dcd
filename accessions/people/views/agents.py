"""Agents: the people and organisations that records name."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from accessions.people import actions, queries
from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of, newest_first
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.forms import AgentFilterForm, AgentForm, NameForm
from accessions.people.models import Agent, AgentName
from accessions.people.paging import paged


def _chosen(form: AgentFilterForm) -> QuerySet[Agent]:
    chosen = form.cleaned_data if form.is_valid() else {}
    return queries.agents(text=chosen.get("q", ""), kind=chosen.get("kind", ""), order=chosen.get("sort", ""))


@requires(Verb.READ)
def agents(request: HttpRequest) -> HttpResponse:
    """Everybody whom records name, found by any form of the name."""
    form = AgentFilterForm(request.GET)
    context = {"form": form, "in_all": Agent.objects.count(), **paged(request, _chosen(form))}
    return render(request, "people/agents.html", context)


@requires(Verb.EXPORT)
def agents_export(request: HttpRequest) -> HttpResponseBase:
    """The list as it is filtered, as a file."""
    return csv_answer("agents.csv", queries.AGENT_COLUMNS, queries.agent_rows(_chosen(AgentFilterForm(request.GET))))


@requires(Verb.READ)
def agent(request: HttpRequest, pk: int) -> HttpResponse:
    """One agent: forms of the name, contact, and everything that names them."""
    return _page(request, get_object_or_404(Agent, pk=pk), NameForm())


def _page(request: HttpRequest, shown: Agent, form: NameForm) -> HttpResponse:
    found = queries.mentions(shown, request.user)
    context = {
        "agent": shown,
        "forms": shown.names.order_by("form"),
        "form": form,
        "mentions": found,
        "mention_count": sum(mention.count for mention in found),
        "changes": newest_first(changes_of(Agent, id=shown.pk), changes_of(AgentName, agent_id=shown.pk)),
        "namesakes": queries.namesakes(shown),
    }
    return render(request, "people/agent.html", context, status=form.status)


@requires(Verb.ENTER_FACTS)
@require_http_methods(["GET", "HEAD", "POST"])
def agent_new(request: HttpRequest) -> HttpResponse:
    """Add a person or organisation."""
    form = AgentForm(posted(request), initial={"name": request.GET.get("name", "")})
    if request.method == "POST" and form.is_valid():
        try:
            made = actions.add_agent(by=person_of(request), why="", **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("%(name)s is added.") % {"name": made.name})
            return redirect("people:agent", pk=made.pk)
    return render(request, "people/agent_edit.html", {"form": form}, status=form.status)


@requires(Verb.ENTER_FACTS)
@require_http_methods(["GET", "HEAD", "POST"])
def agent_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an agent."""
    shown = get_object_or_404(Agent, pk=pk)
    form = AgentForm(posted(request), instance=get_object_or_404(Agent, pk=pk))
    if request.method == "POST" and form.is_valid():
        try:
            actions.edit_agent(shown, by=person_of(request), why="", **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("%(name)s: the changes are saved.") % {"name": form.cleaned_data["name"]})
            return redirect("people:agent", pk=pk)
    return render(request, "people/agent_edit.html", {"agent": shown, "form": form}, status=form.status)


@requires(Verb.ENTER_FACTS)
@require_POST
def form_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One more form of the name."""
    shown = get_object_or_404(Agent, pk=pk)
    form = NameForm(request.POST)
    if form.is_valid():
        try:
            added = actions.add_name_form(shown, by=person_of(request), why="", **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("“%(form)s” now finds %(name)s.") % {"form": added.form, "name": shown.name})
            return redirect("people:agent", pk=pk)
    return _page(request, shown, form)


@requires(Verb.ENTER_FACTS)
@require_http_methods(["GET", "HEAD", "POST"])
def form_remove(request: HttpRequest, pk: int, form_pk: int) -> HttpResponse:
    """Ask, then take a form off."""
    form = get_object_or_404(AgentName.objects.select_related("agent"), pk=form_pk, agent=pk)
    if request.method != "POST":
        return render(request, "people/form_remove.html", {"agent": form.agent, "form_of_name": form})
    try:
        actions.remove_name_form(form, by=person_of(request), why="")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        words = _("“%(form)s” no longer finds %(name)s.")
        messages.success(request, words % {"form": form.form, "name": form.agent.name})
    return redirect("people:agent", pk=pk)
