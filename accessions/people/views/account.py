"""Signing in and out, and one's own account."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people import actions
from accessions.people.access import Verb, deeds_by_role, deeds_of, person_of, requires
from accessions.people.entry_forms import posted
from accessions.people.forms import LanguageForm, OwnPasswordForm, SignInForm, ThemeForm
from accessions.people.models import Role

KEPT_FOR_S = 365 * 24 * 60 * 60
"""Seconds for which a browser keeps the appearance and the language."""


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password; then back to the page that was asked for."""
    if request.user.is_authenticated:
        return redirect(_safe_next(request, request.GET.get("next", "")))
    form = SignInForm(posted(request), initial={"next": request.GET.get("next", "")})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            actions.sign_in(request, username=given["username"], password=given["password"])
        except actions.SignInRefusedError as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(_safe_next(request, given["next"]))
    return render(request, "people/sign_in.html", {"form": form}, status=form.status)


def _safe_next(request: HttpRequest, address: str) -> str:
    """The address if it is one of ours, else the first page: a link must not send people to another site."""
    if url_has_allowed_host_and_scheme(address, {request.get_host()}, require_https=request.is_secure()):
        return address
    return resolve_url(settings.LOGIN_REDIRECT_URL)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session. Whoever is signed out already lands in the same place."""
    logout(request)
    messages.success(request, _("You are signed out."))
    return redirect("people:sign-in")


@requires(Verb.READ)
def account(request: HttpRequest) -> HttpResponse:
    """Who somebody is to the register, and what they may do."""
    role = person_of(request).role
    return render(request, "people/account.html", {
        "deeds": deeds_of(role),
        "theme_form": ThemeForm(initial={"theme": request.COOKIES.get("theme") or "light"}),
        "language_form": LanguageForm(initial={"language": get_language(), "next": request.path}),
    })  # fmt: skip


@sensitive_post_parameters()
@requires(Verb.READ)
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """One's own new password."""
    form = OwnPasswordForm(posted(request), person=person_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            person = actions.change_own_password(
                by=person_of(request), why="own new password", password=form.cleaned_data["password"]
            )
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            update_session_auth_hash(request, person)
            messages.success(request, _("Your password is changed. On other devices you are signed out."))
            return redirect("people:account")
    return render(request, "people/password.html", {"form": form}, status=form.status)


@requires(Verb.READ)
@require_POST
def theme(request: HttpRequest) -> HttpResponse:
    """Light, dark, or as the device is set: kept in a cookie of this browser."""
    form = ThemeForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Choose light, dark, or as the device is set."))
        return redirect("people:account")
    response = redirect("people:account")
    response.set_cookie(
        "theme", form.cleaned_data["theme"], max_age=KEPT_FOR_S, secure=settings.SESSION_COOKIE_SECURE,
        httponly=True, samesite="Lax",
    )  # fmt: skip
    messages.success(request, _("The appearance is changed on this device."))
    return response


@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """The language of the pages: kept in a cookie of this browser, so that it holds on the sign-in page, too."""
    form = LanguageForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Choose one of the languages that are offered."))
        return redirect("people:account" if request.user.is_authenticated else "people:sign-in")
    chosen = form.cleaned_data["language"]
    response = redirect(_safe_next(request, form.cleaned_data["next"]))
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME, chosen, max_age=KEPT_FOR_S, secure=settings.SESSION_COOKIE_SECURE,
        httponly=True, samesite="Lax",
    )  # fmt: skip
    with override(chosen):
        messages.success(request, _("The pages are in English now, on this device."))
    return response


@require_GET
@requires(Verb.READ)
def roles(request: HttpRequest) -> HttpResponse:
    """Who may what: every deed by every role, with one's own marked."""
    context = {"deeds": deeds_by_role(), "roles": list(Role)}
    return render(request, "people/roles.html", context)
