"""Shared pages for those who make them: links, who opened them, what readers wrote."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.entry_forms import posted
from accessions.people.models import Agent
from accessions.people.paging import paged
from governance.papers.countries import countries_known
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.reports.actions import sharing as actions
from governance.reports.actions.errors import ReportError
from governance.reports.forms.sharing import RevokeForm, ShareEditForm, ShareForm
from governance.reports.models import ShareLink, ShareMessage
from governance.reports.queries import shares as queries

_SHOWN_ONCE = "share-address"
"""In the session until the page of the link was shown: the address is kept nowhere else."""


@require_GET
@requires(Verb.READ)
def share_list(request: HttpRequest) -> HttpResponse:
    """All links with how they stand, and messages that wait."""
    today, show = timezone.localdate(), request.GET.get("show", "")
    context = paged(request, queries.links(request.user, show=show, today=today))
    waiting = queries.unread(request.user)
    context |= {
        "lines": queries.link_lines(list(context["page"].object_list), today), "show": show, "today": today,
        "asked": request.GET.urlencode(),
        "states": queries.LINK_STATES.items(), "unread": list(waiting[:10]), "unread_count": waiting.count(),
    }  # fmt: skip
    return render(request, "reports/shares.html", context)


@require_GET
@requires(Verb.EXPORT)
def shares_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV; no address, which nobody knows any more."""
    today, show = timezone.localdate(), request.GET.get("show", "")
    found = queries.links(request.user, show=show, today=today)
    return csv_answer("shared-pages.csv", queries.HEADER, queries.file_rows(found, today))


def _link(request: HttpRequest, pk: int) -> ShareLink:
    found = get_object_or_404(queries.link_page(pk))
    if found.paper is not None:
        check_readable(found.paper, request.user)
    return found


@require_GET
@requires(Verb.READ)
def share(request: HttpRequest, pk: int) -> HttpResponse:
    """One link: what it offers, who opened it, what readers wrote; its address once, right after it was made."""
    found, today = _link(request, pk), timezone.localdate()
    kept = request.session.pop(_SHOWN_ONCE, None) or {}
    context = paged(request, queries.visits_of(found))
    context |= {
        "link": found, "state": queries.state_of(found, today), "subject": queries.subject_words(found),
        "address": kept.get("address", "") if kept.get("link") == pk else "",
        "messages_left": list(queries.messages_of(found)[:100]), "changes": queries.history_of(found),
        "shared": list(found.shared_reports.select_related("report").order_by("-report")), "today": today,
    }  # fmt: skip
    return render(request, "reports/share.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.SHARE_REPORTS)
def share_new(request: HttpRequest) -> HttpResponse:
    """Make a page: ``?country=GE``, ``?paper=3`` or ``?agent=3`` says what it is about."""
    form = ShareForm(posted(request), person=request.user, initial=ShareForm.start() | _asked(request))
    if form.is_valid():
        made = _made(request, form)
        if made is not None:
            link, token = made
            address = request.build_absolute_uri(reverse("reports:shared", args=[token]))
            request.session[_SHOWN_ONCE] = {"link": link.pk, "address": address}
            messages.success(request, _("The page was made. Copy its address now: it is not shown again."))
            return redirect("reports:share", link.pk)
    context: dict[str, Any] = {"form": form, "link": None, "countries": countries_known()}
    context |= {
        "papers": Paper.objects.order_by("reference").only("reference", "kind"),
        "owners": Agent.objects.filter(tenures__isnull=False).distinct().order_by("name"),
    }  # fmt: skip
    return render(request, "reports/share_form.html", context, status=form.status)


def _asked(request: HttpRequest) -> dict[str, Any]:
    """What the address says that the page is about."""
    told: dict[str, Any] = {}
    for name, model in (("paper", Paper), ("agent", Agent)):
        text = request.GET.get(name, "")
        if text.isascii() and text.isdigit() and len(text) < 19:
            told[name] = model._default_manager.filter(pk=int(text)).first()
    return told | {"country": request.GET.get("country", "")[:2]}


def _made(request: HttpRequest, form: ShareForm) -> tuple[ShareLink, str] | None:
    try:
        return actions.make_link(
            by=person_of(request), why=gettext_noop("made"), reports=form.chosen(), **form.values()
        )
    except ValidationError as error:
        form.refuse(error)
    except ReportError as error:
        form.add_error("reports", str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.SHARE_REPORTS)
def share_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a page says, offers, or how long it is open; its address stays."""
    found = _link(request, pk)
    form = ShareEditForm(posted(request), person=request.user, link=found, initial=ShareEditForm.start(found))
    if form.is_valid():
        changed = _changed(request, form, found)
        if changed is not None:
            messages.success(request, _("The page was changed.") if changed else _("Nothing was changed."))
            return redirect("reports:share", pk)
    return render(request, "reports/share_form.html", {"form": form, "link": found}, status=form.status)


def _changed(request: HttpRequest, form: ShareEditForm, found: ShareLink) -> bool | None:
    values = {name: value for name, value in form.values().items() if name in form.changed_data}
    try:
        return actions.change_link(
            found, by=person_of(request), why=form.cleaned_data["why"], reports=form.chosen(), **values
        )
    except ValidationError as error:
        form.refuse(error)
    except ReportError as error:
        form.add_error(None, str(error))
    return None


@require_http_methods(["GET", "POST"])
@requires(Verb.SHARE_REPORTS)
def share_revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a page before its last day, for good."""
    found = _link(request, pk)
    form = RevokeForm(posted(request))
    if form.is_valid():
        try:
            actions.revoke(found, by=person_of(request), why=form.cleaned_data["why"])
        except ReportError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The page was revoked: its address opens nothing any more."))
            return redirect("reports:share", pk)
    context = {"form": form, "link": found, "subject": queries.subject_words(found)}
    return render(request, "reports/share_revoke.html", context, status=form.status)


@require_POST
@requires(Verb.SHARE_REPORTS)
def share_message_read(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a message as read, or as not read."""
    message = get_object_or_404(ShareMessage, pk=pk)
    is_read = request.POST.get("read") != "no"
    actions.mark_message(message, by=person_of(request), is_read=is_read)
    messages.success(request, _("The message is marked as read.") if is_read else _("The message waits again."))
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect("reports:share", message.link_id)
