"""The search over the words of all scans."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.paging import paged
from governance.scans.forms.searching import WordsForm
from governance.scans.queries.searching import PAGES_OF_ONE, PAGES_SHOWN, scan_hits, scans_with, unread


@require_GET
@requires(Verb.READ)
def search(request: HttpRequest) -> HttpResponse:
    """Pages that hold the words, by scan; each opens with the words marked."""
    form = WordsForm(request.GET)
    text, wanted, scan = form.asked()
    context = paged(request, scans_with(wanted, request.user, scan))
    found = scan_hits(list(context["page"].object_list), wanted, PAGES_SHOWN if scan is None else PAGES_OF_ONE)
    context |= {
        "form": form, "text": text, "wanted": wanted, "found": found, "one_scan": scan,
        "keys": [hits.scan.pk for hits in found], "unread": unread(request.user),
    }  # fmt: skip
    return render(request, "scans/search.html", context)
