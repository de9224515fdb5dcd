"""People who sign in: for administrators."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from accessions.people import actions, queries
from accessions.people.access import Verb, deeds_of, person_of, requires, roles_in_words
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from accessions.people.forms import (
    NewPersonForm,
    PasswordForm,
    PeopleFilterForm,
    PersonForm,
    ReasonForm,
    RoleForm,
)
from accessions.people.models import User
from accessions.people.paging import paged


@requires(Verb.MANAGE_PEOPLE)
def people(request: HttpRequest) -> HttpResponse:
    """Everybody who may sign in, by role and state."""
    form = PeopleFilterForm(request.GET)
    chosen = form.cleaned_data if form.is_valid() else {}
    found = queries.people(role=chosen.get("role", ""), state=chosen.get("state", ""), order=chosen.get("sort", ""))
    return render(request, "people/people.html", {
        "form": form,
        "counts": queries.people_counts(),
        **paged(request, found),
    })  # fmt: skip


@sensitive_post_parameters("password", "again")
@requires(Verb.MANAGE_PEOPLE)
@require_http_methods(["GET", "HEAD", "POST"])
def person_new(request: HttpRequest) -> HttpResponse:
    """Let somebody in."""
    form = NewPersonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        given = {name: value for name, value in form.cleaned_data.items() if name != "again"}
        try:
            made = actions.add_person(by=person_of(request), why="let in", **given)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(
                request,
                _("%(name)s may sign in. Hand over the first password in person, and ask for a new one soon.")
                % {"name": made.shown_name},
            )
            return redirect("people:person", pk=made.pk)
    context = {"form": form, "roles": roles_in_words()}
    return render(request, "people/person_new.html", context, status=form.status)


@requires(Verb.MANAGE_PEOPLE)
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person: role, state, and what was changed about them."""
    return render(request, "people/person.html", _about(_person(pk)))


def _person(pk: int) -> User:
    return get_object_or_404(User.objects.select_related("agent"), pk=pk)


def _about(shown: User, **forms: Any) -> dict[str, Any]:
    """What the page of a person shows; a form with mistakes comes in place of the empty one."""
    return {
        "person": shown,
        "deeds": deeds_of(shown.role),
        "role_form": RoleForm(initial={"role": shown.role}),
        "password_form": PasswordForm(),
        "changes": changes_of(User, called=_("account"), id=shown.pk),
        **forms,
    }


@requires(Verb.MANAGE_PEOPLE)
@require_http_methods(["GET", "HEAD", "POST"])
def person_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, e-mail address, and the agent as which somebody is recorded."""
    shown = _person(pk)
    form = PersonForm(posted(request), initial=_present(shown))
    if request.method == "POST" and form.is_valid():
        try:
            actions.edit_person(shown, by=person_of(request), why="", **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("%(name)s: the changes are saved.") % {"name": shown.shown_name})
            return redirect("people:person", pk=pk)
    return render(request, "people/person_edit.html", {"person": _person(pk), "form": form}, status=form.status)


def _present(shown: User) -> dict[str, Any]:
    return {
        "first_name": shown.first_name,
        "last_name": shown.last_name,
        "email": shown.email,
        "agent": shown.agent.name if shown.agent else "",
    }


@requires(Verb.MANAGE_PEOPLE)
@require_POST
def person_role(request: HttpRequest, pk: int) -> HttpResponse:
    """Another role."""
    shown = _person(pk)
    form = RoleForm(request.POST)
    if form.is_valid():
        try:
            actions.change_role(shown, by=person_of(request), **form.cleaned_data)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            words = _("%(name)s is now %(role)s.")
            messages.success(request, words % {"name": shown.shown_name, "role": shown.get_role_display()})
            return redirect("people:person", pk=pk)
    return render(request, "people/person.html", _about(_person(pk), role_form=form), status=422)


@sensitive_post_parameters("password", "again")
@requires(Verb.MANAGE_PEOPLE)
@require_POST
def person_password(request: HttpRequest, pk: int) -> HttpResponse:
    """A new password, given by an administrator."""
    shown = _person(pk)
    form = PasswordForm(request.POST)
    if form.is_valid():
        try:
            actions.set_password(
                shown, by=person_of(request), why="new password given", password=form.cleaned_data["password"]
            )
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            _keep_session(request, shown)
            messages.success(
                request,
                _("%(name)s has a new password and is signed out everywhere. Hand it over in person.")
                % {"name": shown.shown_name},
            )
            return redirect("people:person", pk=pk)
    return render(request, "people/person.html", _about(_person(pk), password_form=form), status=422)


def _keep_session(request: HttpRequest, shown: User) -> None:
    """An administrator who gave themself a password stays signed in here."""
    if shown == request.user:
        update_session_auth_hash(request, shown)


@requires(Verb.MANAGE_PEOPLE)
@require_http_methods(["GET", "HEAD", "POST"])
def person_deactivate(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then end a person's access."""
    shown = _person(pk)
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            actions.deactivate(shown, by=person_of(request), why=form.cleaned_data["why"])
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("%(name)s may no longer sign in.") % {"name": shown.shown_name})
            return redirect("people:person", pk=pk)
    return render(request, "people/person_deactivate.html", {"person": shown, "form": form}, status=form.status)


@requires(Verb.MANAGE_PEOPLE)
@require_POST
def person_reactivate(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a person in again."""
    shown = actions.reactivate(_person(pk), by=person_of(request), why="let in again")
    messages.success(
        request,
        _("%(name)s may sign in again, as %(role)s.") % {"name": shown.shown_name, "role": shown.get_role_display()},
    )
    return redirect("people:person", pk=pk)
