"""The label of a scientific exchange, held against the five conditions of CITES Article VII(6)."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.entry_forms import posted
from governance.engine.uses import Tri
from governance.scans.checking.words import RefusedFile
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.exchange import keep_label
from governance.usedesk.exchange import CONTENT_SOURCE, LABEL_CONTENT, strictest
from governance.usedesk.forms.exchange import ExchangeForm
from governance.usedesk.models import DeskRules, ExchangeLabel, UseRequest
from governance.usedesk.queries.exchange import exchange_conditions, exchange_papers, label_of


@require_http_methods(["GET", "POST"])
@requires(Verb.TAKE_REQUESTS)
def exchange_label(request: HttpRequest, pk: int) -> HttpResponse:
    """What was seen of the label, the answer to each condition, and what is missing."""
    asked = get_object_or_404(UseRequest.objects.select_related("recipient"), pk=pk)
    label, rules = label_of(asked), DeskRules.objects.filter(pk=1).first()
    here, there = rules.cites_code if rules else "", asked.recipient.cites_code if asked.recipient else ""
    form = ExchangeForm(
        posted(request), request.FILES or None, instance=label or ExchangeLabel(request=asked),
        papers=exchange_papers(), person=request.user, on_file=(here, there),
    )  # fmt: skip
    if form.is_valid() and _kept(request, asked, form):
        return redirect("usedesk:exchange-label", pk)
    seen = exchange_conditions(asked, label_of(asked) if form.is_bound else label, rules)
    met = strictest(iter([one.met for one in seen]))
    context = {
        "asked": asked, "label": label, "form": form, "conditions": seen, "answer": met.name, "rules": rules,
        "met": sum(one.met == Tri.YES for one in seen), "content": LABEL_CONTENT, "content_source": CONTENT_SOURCE,
        "changes": changes_of(ExchangeLabel, request_id=pk),
    }  # fmt: skip
    return render(request, "usedesk/exchange_label.html", context, status=form.status)


def _kept(request: HttpRequest, asked: UseRequest, form: ExchangeForm) -> bool:
    """Save; what the action refuses goes into the form."""
    try:
        keep_label(
            request=asked, values={name: form.cleaned_data[name] for name in form.Meta.fields}, by=person_of(request),
            why=form.cleaned_data.get("why", ""), file=form.sent_file,
        )  # fmt: skip
    except (DeskError, RefusedFile) as problem:
        form.add_error("file" if isinstance(problem, RefusedFile) else None, str(problem))
        return False
    except ValidationError as error:
        form.refuse(error)
        return False
    messages.success(request, _("What was seen of the label is kept."))
    return True
