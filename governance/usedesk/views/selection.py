"""A selection of the list of specimens, asked about at the desk: choose a request or begin one, look, put it in."""

from __future__ import annotations

import hashlib
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.paging import paged
from governance.usedesk.actions.basket import MOST_AT_ONCE, add_items
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import UseRequest
from governance.usedesk.queries.basket import in_basket, requests_that_take
from governance.usedesk.views.basket import added_words
from governance.verdicts.forms.selections import Selection


@require_GET
@requires(Verb.TAKE_REQUESTS)
def desk_selection(request: HttpRequest) -> HttpResponse:
    """Which request the chosen specimens are for. The address is that of the list, or what its ticked rows send."""
    address = request.GET.urlencode()
    keys = chosen(request.GET).keys()
    context = paged(request, requests_that_take(request.GET.get("request_q", "")))
    context |= {
        "count": len(keys), "too_many": MOST_AT_ONCE if len(keys) > MOST_AT_ONCE else 0, "selection": address,
        "back": _way_back(request.GET), "new": f"{reverse('usedesk:request-new')}?{_carried(address)}",
        "words": request.GET.get("request_q", ""),
        "kept": [(name, value) for name, values in _list_of(request.GET).lists() for value in values],
    }  # fmt: skip
    return render(request, "usedesk/basket_selection.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def request_take(request: HttpRequest, pk: int) -> HttpResponse:
    """How many would be put in, and the deed. If the list has changed since it was seen, it is shown anew."""
    found = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    keys = chosen(request.GET).keys()
    seen = hashlib.sha256(" ".join(map(str, sorted(keys))).encode()).hexdigest()[:32]
    if request.method == "POST" and request.POST.get("seen") == seen:
        try:
            added = add_items(
                request=found, specimens=keys, by=request.user, why=gettext_noop("from the list of specimens")
            )
        except DeskError as error:
            messages.error(request, str(error))
        else:
            messages.success(request, added_words(added, found))
            return redirect("usedesk:request-items", pk)
    too_many = MOST_AT_ONCE if len(keys) > MOST_AT_ONCE else 0
    known = 0 if too_many else len(in_basket(found, keys))
    context: dict[str, Any] = {
        "found": found, "count": len(keys), "known": known, "new": len(keys) - known, "seen": seen,
        "too_many": too_many, "has_changed": request.method == "POST" and request.POST.get("seen") != seen,
        "takes": found.closed_at is None and found.answered_at is None, "back": _way_back(request.GET),
        "others": f"{reverse('usedesk:desk-selection')}?{request.GET.urlencode()}",
    }  # fmt: skip
    return render(request, "usedesk/basket_take.html", context)


def chosen(asked: QueryDict) -> Selection:
    """Ticked rows carry the list in ``of``; without it the address itself is the list, and all of it is meant."""
    if "of" in asked:
        return Selection.asked(asked)
    whole = QueryDict(mutable=True)
    whole.update({"of": _list_of(asked).urlencode(), "all": "1"})
    return Selection.asked(whole)


def _list_of(asked: QueryDict) -> QueryDict:
    """The address of the list, without what this page adds of its own."""
    own = asked.copy()
    for name in ("request_q", "page", "size"):
        own.pop(name, None)
    return own


def _way_back(asked: QueryDict) -> str:
    return f"{reverse('verdicts:specimens')}?{asked.get('of') or _list_of(asked).urlencode()}"


def _carried(address: str) -> str:
    carried = QueryDict(mutable=True)
    carried["selection"] = address
    return carried.urlencode()
