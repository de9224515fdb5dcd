"""The seal: its state, its checks, its heads, and where they are kept."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.humanize.templatetags.humanize import intcomma
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.audit.actions import sealing as actions
from governance.audit.actions.errors import AuditError
from governance.audit.forms.seal import CompareForm, KeptHeadForm
from governance.audit.queries.seal_state import found_head, links_of_chain, printed_head, seal_state
from governance.scans.store import errors_of_the_store


@require_GET
@requires(Verb.READ)
def seal(request: HttpRequest) -> HttpResponse:
    """The chain, what was checked last, and where its heads are kept."""
    state = seal_state()
    return render(request, "audit/seal.html", {"state": state, "links": links_of_chain(state)})


@require_POST
@requires(Verb.KEEP_SEAL)
def seal_check(request: HttpRequest) -> HttpResponse:
    """Have everything checked."""
    try:
        found = actions.ask_to_check(by=person_of(request))
    except errors_of_the_store() as error:
        messages.error(request, _("The store of the files cannot be read: %(why)s.") % {"why": error})
        return redirect("audit:seal")
    if found is None:
        messages.success(request, _("It is being checked in the background; what is found will stand here."))
    elif found.problem_count:
        words = ngettext("%(n)d problem was found.", "%(n)d problems were found.", found.problem_count)
        messages.warning(request, words % {"n": found.problem_count})
    else:
        messages.success(request, _("Everything was checked, and all is as it was sealed."))
    return redirect("audit:seal")


@require_GET
@requires(Verb.READ)
def seal_head(request: HttpRequest) -> HttpResponse:
    """The head of now, to be printed and kept."""
    return render(request, "audit/seal_head.html", {"head": printed_head(timezone.localtime())})


@require_http_methods(["GET", "POST"])
@requires(Verb.KEEP_SEAL)
def head_new(request: HttpRequest) -> HttpResponse:
    """Note where a head is kept."""
    now = printed_head(timezone.localtime())
    form = KeptHeadForm(posted(request), initial={"head": now.line if now.number else ""})
    if form.is_valid():
        head, where = form.cleaned_data["head"], form.cleaned_data["where"]
        try:
            made = actions.note_head(number=head.number, sha256=head.sha256, where=where, by=person_of(request))
        except AuditError as problem:
            form.add_error("head", str(problem))
        else:
            words = _("Noted: entry %(number)s is kept also here: %(where)s.")
            messages.success(request, words % {"number": intcomma(made.number), "where": made.where})
            return redirect("audit:seal")
    return render(request, "audit/seal_head_new.html", {"form": form}, status=form.status)


@require_GET
@requires(Verb.READ)
def seal_compare(request: HttpRequest) -> HttpResponse:
    """Hold a printed head against the register."""
    form = CompareForm(request.GET or None)
    found = found_head(form.cleaned_data["printed"]) if form.is_valid() else None
    return render(request, "audit/seal_compare.html", {"form": form, "found": found})
