"""The page of the search, and what it suggests while somebody types."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.http import urlencode
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.paging import paged
from governance.scans.queries.searching import unread
from governance.search.asked import Asked
from governance.search.queries.kinds import Kind
from governance.search.queries.searching import Results, kinds, search, specimen_at_once
from governance.search.queries.suggesting import suggestions


@require_GET
@requires(Verb.READ)
def search_page(request: HttpRequest) -> HttpResponse:
    """What was found, by kind; a whole number leads to what has it at once, unless ``all`` is asked for."""
    asked = Asked.of(request.GET.get("q", ""))
    if of_kind := next((one for one in kinds() if one.key == request.GET.get("kind")), None):
        return _of_kind(request, asked, of_kind)
    goes_straight = "all" not in request.GET
    if goes_straight and (key := specimen_at_once(asked, request.get_host())):
        return redirect("verdicts:specimen", pk=key)
    results = search(asked, request.user)
    if goes_straight and results.straight:
        _say_what_else(request, results)
        return redirect(results.straight.address)
    context = {"asked": asked, "results": results, "kinds": kinds(), "unread": unread(request.user)}
    return render(request, "search/search.html", context)


def _say_what_else(request: HttpRequest, results: Results) -> None:
    others = results.count - 1
    if not others:
        return
    words = ngettext("%(n)s other thing was found by that.", "%(n)s other things were found by that.", others)
    address = f"{reverse('search:search')}?{urlencode({'q': results.asked.text, 'all': '1'})}"
    told = words % {"n": f"{intcomma(others)}{'+' if results.is_more else ''}"}
    messages.info(request, format_html('<a href="{}">{}</a>', address, told))


def _of_kind(request: HttpRequest, asked: Asked, kind: Kind) -> HttpResponse:
    """All of one kind, page by page."""
    matches = kind.find(asked, request.user) if not asked.is_blank else None
    context = paged(request, matches.rows if matches else [])
    hits = matches.show(context["page"].object_list) if matches else []
    context |= {"asked": asked, "kind": kind, "matches": matches, "hits": hits}
    return render(request, "search/kind.html", context)


@require_GET
@requires(Verb.READ)
def suggest(request: HttpRequest) -> HttpResponse:
    """What the box at the head of the page offers while somebody types: pairs of what to type, and what it is."""
    return JsonResponse({"options": suggestions(Asked.of(request.GET.get("q", "")))})
