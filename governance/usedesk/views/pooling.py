"""Pooled samples, made from several specimens."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from accessions.material.actions.pools import make_pool
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.usedesk.forms.pooling import PoolForm


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def pool_new(request: HttpRequest) -> HttpResponse:
    """Enter a pooled sample: it takes the terms of all its members."""
    form = PoolForm(posted(request))
    if form.is_valid():
        told = form.cleaned_data
        try:
            pool = make_pool(
                form.ids, catalog_number=told["catalog_number"].strip(), preparation=told["preparation"],
                remarks=told["remarks"], by=person_of(request), why=gettext_noop("pool made"),
            )  # fmt: skip
        except ValidationError as error:
            form.refuse(error)
        else:
            words = _("%(number)s was entered, made from %(n)d specimens.")
            messages.success(request, words % {"number": pool.catalog_number, "n": len(form.ids)})
            return redirect("verdicts:specimen", pool.pk)
    return render(request, "usedesk/pool_form.html", {"form": form}, status=form.status)
