"""A paper linked to many specimens, or a search recorded for their accessions: first a look, then the deed."""

from __future__ import annotations

import hashlib
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from governance.papers.actions.linking import Targets, link
from governance.papers.queries.titles import paper_numbers
from governance.verdicts.actions.searches import record_searches
from governance.verdicts.forms.bulk import PaperChoiceForm, SearchForm
from governance.verdicts.forms.selections import Selection
from governance.verdicts.queries.selected import Holding, holdings_of, linked_already

MOST_LINKED = 20_000
"""Specimens that one link names; for more there are accessions, parts, sites and events."""


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def specimens_link(request: HttpRequest) -> HttpResponse:
    """Choose the paper, see what will be linked, link it."""
    data = request.POST if request.method == "POST" else request.GET
    chosen = _Chosen(Selection.asked(data))
    form = PaperChoiceForm(data if "paper" in data else None)
    if chosen.is_workable(MOST_LINKED) and form.is_valid():
        if request.method == "POST" and data.get("seen") == chosen.stamp:
            return _link(request, chosen, form)
        chosen.has_changed = request.method == "POST"
        return render(request, "verdicts/specimens/link_confirm.html", _confirmation(chosen, form))
    papers = paper_numbers()
    return render(request, "verdicts/specimens/link.html", chosen.context | {"form": form, "papers": papers})


def _link(request: HttpRequest, chosen: _Chosen, form: PaperChoiceForm) -> HttpResponse:
    paper = form.cleaned_data["paper"]
    why = form.cleaned_data["why"] or _("linked from the list of specimens")
    made = link(paper=paper, targets=Targets(specimens=chosen.keys), by=request.user, why=why)
    messages.success(request, ngettext(
        "%(paper)s now speaks for %(n)d more specimen.", "%(paper)s now speaks for %(n)d more specimens.", made
    ) % {"paper": paper.reference, "n": made})  # fmt: skip
    return redirect(chosen.way_back)


def _confirmation(chosen: _Chosen, form: PaperChoiceForm) -> dict[str, Any]:
    paper = form.cleaned_data["paper"]
    known = linked_already(paper, chosen.keys)
    return chosen.context | {
        "form": form, "paper": paper, "known": known, "new": len(chosen.keys) - known, "why": form.cleaned_data["why"],
    }  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_SEARCHES)
def specimens_search(request: HttpRequest) -> HttpResponse:
    """Record a search for the accessions and parts of the chosen specimens."""
    data = request.POST if request.method == "POST" else request.GET
    chosen = _Chosen(Selection.asked(data))
    form = SearchForm(
        request.POST if request.method == "POST" else None, today=timezone.localdate(), by=request.user,
        layer=request.GET.get("layer", ""),
    )  # fmt: skip
    if chosen.is_workable() and request.method == "POST" and form.is_valid():
        return _record(request, chosen.holdings, form, chosen.way_back)
    return render(request, "verdicts/specimens/search.html", chosen.context | {"form": form})


def _record(request: HttpRequest, holdings: list[Holding], form: SearchForm, way_back: str) -> HttpResponse:
    found = record_searches(
        accessions=[h.accession for h in holdings if h.part is None], parts=[h.part for h in holdings if h.part],
        **form.cleaned_data, by=request.user, why=gettext_noop("recorded from the list of specimens"),
    )  # fmt: skip
    messages.success(request, ngettext(
        "The search is recorded for %(n)d accession or part.", "The search is recorded for %(n)d accessions or parts.",
        len(found),
    ) % {"n": len(found)})  # fmt: skip
    return redirect(way_back)


class _Chosen:
    """The chosen specimens of a request, looked up once."""

    def __init__(self, selection: Selection) -> None:
        self.selection = selection
        self.keys = selection.keys()
        self.has_changed = False
        self.too_many = 0

    def is_workable(self, most: int | None = None) -> bool:
        """Whether there are any, and not too many."""
        self.too_many = most if most is not None and len(self.keys) > most else 0
        return bool(self.keys) and not self.too_many

    @property
    def stamp(self) -> str:
        """A mark of the very specimens that are shown, by which a later answer knows whether the list is still so."""
        return hashlib.sha256(" ".join(map(str, sorted(self.keys))).encode()).hexdigest()[:32]

    @property
    def holdings(self) -> list[Holding]:
        return holdings_of(self.keys)

    @property
    def way_back(self) -> str:
        return f"{reverse('verdicts:specimens')}?{self.selection.address}"

    @property
    def context(self) -> dict[str, Any]:
        return {
            "count": len(self.keys), "seen": self.stamp, "hidden": self.selection.hidden, "back": self.way_back,
            "too_many": self.too_many,
            "has_changed": self.has_changed, "holdings": self.holdings if self.keys and not self.too_many else [],
        }  # fmt: skip
