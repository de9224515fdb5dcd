"""Papers linked to material, and taken off it."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.material.models import Accession
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.forms.linking import LinkPageForm, UnlinkForm
from governance.papers.forms.rows import is_back
from governance.papers.models import Paper
from governance.papers.queries.link_candidates import link_candidates
from governance.papers.queries.linkable import linkable
from governance.papers.queries.links import standing_links
from governance.papers.targets import target_kind, target_words
from governance.papers.views.answers import status_of

_MOST_ACCESSIONS = 1000


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def paper_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Link a paper: choose an accession and tick what of it, or write numbers."""
    paper = get_object_or_404(Paper, pk=pk)
    number = request.GET.get("accession", "").strip()
    accession = Accession.objects.filter(number=number).first() if number else None
    choice = linkable(paper, accession) if accession else None
    candidates = [] if choice else link_candidates(paper)
    offered = choice.values if choice else [one.value for one in candidates]
    form = LinkPageForm(request.POST if request.method == "POST" else None, choices=offered)
    if request.method == "POST" and form.is_valid():
        why = form.cleaned_data["why"] or _("linked")
        made = actions.link(paper=paper, targets=form.cleaned_data["targets"], by=request.user, why=why)
        messages.success(request, _said(made, paper))
        return redirect("papers:paper", pk)
    context = {
        "form": form, "paper": paper, "choice": choice, "candidates": candidates, "number": number,
        "is_unknown": bool(number and not accession),
        "numbers": Accession.objects.values_list("number", "title")[:_MOST_ACCESSIONS],
    }  # fmt: skip
    return render(request, "papers/paper_link.html", context, status=status_of(form))


def _said(made: int, paper: Paper) -> str:
    if not made:
        return _("%(paper)s was linked to all of it already.") % {"paper": paper}
    return ngettext("%(n)s link of %(paper)s was made.", "%(n)s links of %(paper)s were made.", made) % {
        "n": intcomma(made), "paper": paper,
    }  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def paper_unlink(request: HttpRequest, pk: int) -> HttpResponse:
    """Take links off; they stay in the register with both days."""
    paper = get_object_or_404(Paper, pk=pk)
    links = standing_links(paper)
    labels = [(link.pk, f"{target_words(link)} ({target_kind(link)})") for link in links]
    form = UnlinkForm(request.POST if request.method == "POST" else None, links=labels)
    if request.method == "POST" and not is_back(request) and form.is_valid():
        ended = actions.unlink(
            paper=paper, links=form.cleaned_data["links"], by=request.user, why=form.cleaned_data["why"]
        )
        messages.success(
            request,
            ngettext("%(n)s link was taken off.", "%(n)s links were taken off.", ended) % {"n": intcomma(ended)},
        )
        return redirect("papers:paper", pk)
    return render(request, "papers/paper_unlink.html", {"form": form, "paper": paper}, status=status_of(form))
