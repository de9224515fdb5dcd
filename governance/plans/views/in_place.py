"""Changes made on the page of a plan: the script fetches the form of a page, and puts the parts in their places.

Each change has a page of its own, which is what is seen without script. With it the same page is asked for, and of it
the part called ``FORM`` is shown in a dialog.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django_htmx.http import reselect, reswap, retarget

from governance.plans.queries.matrix import Only
from governance.plans.views.one_plan import checked_again, found_plan

PLACE = "#in-place"
"""Where the page of a plan shows a form."""

FORM = "#in-place-form"
"""The part of a page that is shown there: the form with what was refused."""


def is_in_place(request: HttpRequest) -> bool:
    """Whether the script of the page of a plan asks."""
    return bool(request.htmx)  # type: ignore[attr-defined]  # set by the middleware of django-htmx


def changed(request: HttpRequest, plan: int) -> HttpResponse:
    """After a change: the parts of the page with the choice of stops that was sent along; else the page anew."""
    if not is_in_place(request):
        return redirect("plans:plan", plan)
    return checked_again(request, found_plan(plan), Only.asked(request.POST))


def refused(request: HttpRequest, page: HttpResponse) -> HttpResponse:
    """A page whose form was refused: in place its form alone goes back to where it came from.

    Its status is then that of an answer that the script takes.
    """
    if is_in_place(request) and request.method == "POST":
        page.status_code = 200
        return reswap(reselect(retarget(page, PLACE), FORM), "innerHTML")
    return page
