"""The first steps: the page, steps left out and taken up again, the panel of Today put away and shown again."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_POST

from accessions.people.access import Verb, person_of, requires
from governance.guide.actions.steps import skip_step, take_up_step
from governance.guide.models import Step
from governance.guide.queries.leading import HIDDEN, leading

_HIDDEN_AGE_S = 365 * 24 * 60 * 60


@require_GET
@requires(Verb.READ)
def steps(request: HttpRequest) -> HttpResponse:
    """All first steps of this person with how far each is."""
    is_hidden = request.COOKIES.get(HIDDEN) == "hidden"
    return render(request, "guide/steps.html", {"leading": leading(person_of(request)), "is_hidden": is_hidden})


@require_POST
@requires(Verb.EDIT_SHEETS)
def skip(request: HttpRequest, first_step: str) -> HttpResponse:
    """Leave a step out."""
    found = _step(first_step)
    if skip_step(found, by=person_of(request), why=gettext_noop("left out")):
        messages.success(
            request, _("Left out: %(step)s. It can be taken up again at any time.") % {"step": found.label}
        )
    return redirect("guide:steps")


@require_POST
@requires(Verb.EDIT_SHEETS)
def take_up(request: HttpRequest, first_step: str) -> HttpResponse:
    """Take a step up again."""
    found = _step(first_step)
    if take_up_step(found, by=person_of(request), why=gettext_noop("taken up again")):
        messages.success(request, _("Taken up again: %(step)s.") % {"step": found.label})
    return redirect("guide:steps")


@require_POST
@requires(Verb.READ)
def panel(request: HttpRequest) -> HttpResponse:
    """Put the panel on Today away, or show it again: kept in a cookie of this browser."""
    is_hidden = request.POST.get("panel") == "hidden"
    response = redirect("verdicts:today" if is_hidden else "guide:steps")
    response.set_cookie(
        HIDDEN, "hidden" if is_hidden else "shown", max_age=_HIDDEN_AGE_S, secure=settings.SESSION_COOKIE_SECURE,
        httponly=True, samesite="Lax",
    )  # fmt: skip
    said = (
        _("The first steps are put away on this device. They stand under your account.")
        if is_hidden
        else _("The first steps stand on Today again, as long as any is open.")
    )
    messages.success(request, said)
    return response


def _step(name: str) -> Step:
    if name not in Step.values:
        raise Http404(name)
    return Step(name)
