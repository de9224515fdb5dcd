"""A file that was committed by mistake, taken back after a question."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.intake.actions import IntakeError, take_back
from accessions.intake.forms import TakeBackForm
from accessions.intake.made import MadeUnknownError, changed_since, specimens_made, still_there
from accessions.intake.models import Batch
from accessions.intake.queries import batch_or_404
from accessions.material.actions.removing import RemovalError
from accessions.material.bonds import InTheWay
from accessions.material.queries.removing import by_specimen, goes_along, in_the_way
from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted

MOST_SHOWN: Final = 100
"""Specimens in the way that the page names; the rest is counted."""


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Verb.REMOVE_SPECIMENS)
def batch_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes, what stays and a reason; or which specimens stand in the way, and why."""
    batch = batch_or_404(pk)
    if batch.state != Batch.State.COMMITTED or not batch.summary.get("new"):
        return redirect("intake:batch", pk)
    form = TakeBackForm(posted(request))
    refused, found = "", None
    if request.method == "POST" and form.is_valid():
        try:
            taken = take_back(batch=batch, by=request.user, why=form.cleaned_data["why"])
        except RemovalError as error:
            refused, found = str(error), error.in_the_way
        except IntakeError as error:
            refused = str(error)
        else:
            messages.success(request, _taken_words(taken))
            return redirect("intake:batch", pk)
    context = _context(batch, found) | {"form": form, "refused": refused}
    return render(request, "intake/batch_take_back.html", context, status=409 if refused else form.status)


def _taken_words(batch: Batch) -> str:
    n = batch.summary["taken_back"]
    words = ngettext(
        "%(name)s was taken back: %(n)s specimen was removed.",
        "%(name)s was taken back: %(n)s specimens were removed.",
        n,
    )
    return words % {"name": batch.file_name, "n": intcomma(n)}


def _context(batch: Batch, found: Sequence[InTheWay] | None) -> dict[str, Any]:
    """What the page shows. found: what the action found just now; None: it is to be looked for."""
    context: dict[str, Any] = {"batch": batch, "held": (), "held_count": 0, "along": (), "count": 0, "gone": 0}
    try:
        made = specimens_made(batch)
    except MadeUnknownError as error:
        return context | {"unknown": str(error)}
    keys = still_there(made)
    ways = found or [*changed_since(keys), *in_the_way(keys)]
    held, held_count = by_specimen(ways, MOST_SHOWN)
    along = [] if held_count else goes_along(keys)
    return context | {
        "held": held, "held_count": held_count, "more": held_count - len(held), "along": along, "count": len(keys),
        "gone": len(made) - len(keys),
    }  # fmt: skip
