"""What a person is told of: the daily mail, and the address of their calendar."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, may, person_of, requires
from accessions.people.entry_forms import Form, posted
from governance.duties.actions.addresses import end_address, new_address
from governance.duties.actions.errors import DutyError
from governance.duties.actions.wishes import set_wish
from governance.duties.forms.reminders import AddressForm, WishForm
from governance.duties.queries.reminders import address_of, wish_of


@require_http_methods(["GET", "POST"])
@requires(Verb.READ)
def reminders(request: HttpRequest) -> HttpResponse:
    """The person's wish, and the address of their calendar."""
    form = WishForm(posted(request), initial={"wish": wish_of(request.user)})
    if form.is_valid():
        changed = set_wish(wish=form.cleaned_data["wish"], by=person_of(request))
        messages.success(request, _("Your wish was saved.") if changed else _("Nothing was changed."))
        return redirect("duties:reminders")
    return _page(request, form, AddressForm())


@never_cache
@require_http_methods(["GET", "POST"])
@requires(Verb.EXPORT)
def address_new(request: HttpRequest) -> HttpResponse:
    """Make a calendar address. The answer to sending shows it, the only time that anybody sees it: a redirect would
    have to keep the secret somewhere until the next page."""
    form = AddressForm(posted(request))
    if not form.is_valid():
        context = {"form": form, "address": address_of(request.user)}
        return render(request, "duties/address_new.html", context, status=form.status)
    secret = new_address(is_all=form.cleaned_data["which"] == "all", by=person_of(request))
    shown = request.build_absolute_uri(reverse("duties:feed", args=[secret]))
    return render(request, "duties/address_shown.html", {"shown": shown})


@require_http_methods(["GET", "POST"])
@requires(Verb.READ)
def address_end(request: HttpRequest) -> HttpResponse:
    """End the calendar address."""
    if request.method == "POST":
        try:
            end_address(by=person_of(request))
        except DutyError as error:
            messages.error(request, str(error))
        else:
            messages.success(request, _("The calendar address has ended."))
        return redirect("duties:reminders")
    return render(request, "duties/address_end.html", {"address": address_of(request.user)})


def _page(request: HttpRequest, form: Form, new: Form) -> HttpResponse:
    context = {
        "form": form, "new": new, "address": address_of(request.user), "may_export": may(request.user, Verb.EXPORT),
        "wish": wish_of(request.user),
    }  # fmt: skip
    return render(request, "duties/reminders.html", context, status=form.status)
