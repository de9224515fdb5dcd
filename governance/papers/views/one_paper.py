"""One paper."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.queries.one_paper import paper_page


@require_GET
@requires(Verb.READ)
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """What the paper allows, what it is linked to, and how that stands."""
    today = timezone.localdate()
    page = paper_page(pk, today, request.user)
    if page is None:
        raise Http404(_("There is no such paper."))
    template = "papers/paper.html" if page.is_readable else "papers/paper_closed.html"
    return render(request, template, {"page": page, "paper": page.paper, "today": today})
