"""The matrix of an accession: which paper speaks for which part."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from accessions.material.models import Accession
from accessions.people.access import Verb, requires
from governance.papers.models import Paper
from governance.verdicts.actions.accession_papers import Box, Saved, cover_parts
from governance.verdicts.queries.accession_papers import WHOLE


@require_POST
@requires(Verb.LINK_PAPERS)
def accession_papers(request: HttpRequest, pk: int) -> HttpResponse:
    """Save the boxes, and link one more paper by its reference if one was written."""
    accession = get_object_or_404(Accession, pk=pk)
    reference = request.POST.get("reference", "").strip()
    another = Paper.objects.filter(reference__iexact=reference).first() if reference else None
    if reference and another is None:
        messages.error(request, _("No paper has the reference “%(found)s”. Nothing was saved.") % {"found": reference})
        return redirect("material:accession", pk)
    added = {(another.pk, part) for part in _keys(request.POST.getlist("reference_for"))} if another else set()
    saved = cover_parts(
        accession,
        ticked=_boxes(request.POST.getlist("box")) | (added or ({(another.pk, WHOLE)} if another else set())),
        were_ticked=_boxes(request.POST.getlist("was")),
        by=request.user,
        why=request.POST.get("why", "").strip() or str(_("ticked on the page of the accession")),
    )
    messages.success(request, saved_words(saved))
    return redirect("material:accession", pk)


def _boxes(texts: Iterable[str]) -> set[Box]:
    """Boxes as the form sends them; a text that is none is passed over."""
    pairs = (text.partition(":") for text in texts)
    return {(int(paper), int(part)) for paper, _colon, part in pairs if _is_key(paper) and _is_key(part)}


def _keys(texts: Iterable[str]) -> set[int]:
    return {int(text) for text in texts if _is_key(text)}


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 19


def saved_words(saved: Saved) -> str:
    """What was linked and what was taken off."""
    parts = []
    if saved.linked:
        parts.append(_("Linked: %(papers)s.") % {"papers": _listed(saved.linked)})
    if saved.unlinked:
        parts.append(_("Taken off: %(papers)s.") % {"papers": _listed(saved.unlinked)})
    return " ".join(parts) or _("Nothing was changed.")


def _listed(boxes: Iterable[tuple[str, str]]) -> str:
    return ", ".join(
        _("%(paper)s for part %(part)s") % {"paper": paper, "part": part}
        if part
        else _("%(paper)s for the whole accession") % {"paper": paper}
        for paper, part in boxes
    )
