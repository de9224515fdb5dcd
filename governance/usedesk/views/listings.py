"""The names that CITES lists, as the house keeps them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from accessions.people.access import Verb, person_of, requires
from accessions.people.changes import changes_of
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.usedesk.actions import listings as actions
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms.listings import COLUMNS, EndListingForm, ListingFileForm, ListingFilterForm, ListingForm
from governance.usedesk.models import CitesListing
from governance.usedesk.queries.rules import listing_counts
from governance.usedesk.queries.rules import listings as found_listings
from governance.usedesk.views.requests import done, refuse


@require_safe
@requires(Verb.READ)
def listings(request: HttpRequest) -> HttpResponse:
    """All listed names, narrowed and ordered as asked."""
    form = ListingFilterForm(request.GET)
    wanted = form.wanted()
    context = {
        "form": form, "wanted": wanted, "counts": listing_counts(timezone.localdate()), "columns": COLUMNS,
        "asked": request.GET.urlencode(),
    }  # fmt: skip
    return render(request, "usedesk/listings.html", context | paged(request, found_listings(wanted)))


@require_GET
@requires(Verb.EXPORT)
def listings_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list, in the form in which it is taken in."""
    rows = found_listings(ListingFilterForm(request.GET).wanted())
    return csv_answer("listed-names.csv", COLUMNS, _csv_rows(rows.iterator()))


def _csv_rows(rows: Iterator[CitesListing]) -> Iterator[tuple[Any, ...]]:
    for one in rows:
        place = (one.name, one.kingdom, one.rank, one.higher_classification)
        yield *place, one.appendix, one.from_on, one.to_on, one.source, one.checked_on


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def listing_new(request: HttpRequest) -> HttpResponse:
    """Enter a listed name."""
    form = ListingForm(posted(request))
    if form.is_valid() and done(
        form, lambda: actions.add_listing(values=form.values(), by=person_of(request), why=form.why)
    ):
        messages.success(request, _("%(name)s is on the list.") % {"name": form.cleaned_data["name"]})
        return redirect("usedesk:listings")
    return render(request, "usedesk/listing_form.html", {"form": form}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def listing_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a listed name."""
    found = get_object_or_404(CitesListing, pk=pk)
    form = ListingForm(posted(request), instance=found)
    if form.is_valid():
        try:
            changed = actions.change_listing(listing=found, values=form.values(), by=person_of(request), why=form.why)
        except (ValidationError, DeskError) as problem:
            refuse(form, problem)
        else:
            messages.success(request, _("Saved.") if changed else _("Nothing was changed."))
            return redirect("usedesk:listings")
    shown = get_object_or_404(CitesListing, pk=pk)
    context = {"form": form, "found": shown, "changes": changes_of(CitesListing, id=pk)}
    return render(request, "usedesk/listing_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def listing_end(request: HttpRequest, pk: int) -> HttpResponse:
    """A name is listed no longer."""
    found = get_object_or_404(CitesListing, pk=pk)
    form = EndListingForm(posted(request), initial={"to_on": timezone.localdate()})
    if form.is_valid() and done(form, lambda: actions.end_listing(
        listing=found, on=form.cleaned_data["to_on"], by=person_of(request), why=form.cleaned_data["why"])
    ):  # fmt: skip
        messages.success(request, _("%(name)s is ended; it stays on record.") % {"name": found.name})
        return redirect("usedesk:listings")
    return render(request, "usedesk/listing_end.html", {"form": form, "found": found}, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_HOUSE_RULES)
def listings_load(request: HttpRequest) -> HttpResponse:
    """Take many from a file: all of it, or nothing where a row does not hold."""
    form = ListingFileForm(posted(request), request.FILES or None)
    if form.is_valid():
        taken = actions.take_listings(
            rows=form.cleaned_data["file"], by=person_of(request), why=form.cleaned_data["why"]
        )
        said = ngettext("%(n)d name was added.", "%(n)d names were added.", taken.added) % {"n": taken.added}
        if taken.known:
            known = ngettext("%(n)d was there already.", "%(n)d were there already.", taken.known)
            said = f"{said} {known % {'n': taken.known}}"
        messages.success(request, said)
        return redirect("usedesk:listings")
    return render(request, "usedesk/listings_load.html", {"form": form, "columns": COLUMNS}, status=form.status)
