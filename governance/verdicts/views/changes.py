"""What a change of a paper would change in verdicts, shown before it is saved; the button below saves it.

The forms stand in the papers room; what they refuse, their own pages show. Nothing is saved here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.actions import ChangedMeanwhileError
from governance.papers.forms.face import StatusForm
from governance.papers.forms.linking import UnlinkForm
from governance.papers.forms.sheet import ReasonForm, TermsSheet
from governance.papers.models import Paper, PaperStatus, PaperVersion
from governance.papers.queries.links import standing_links
from governance.papers.restriction import for_readers
from governance.papers.views import entering, linking, turns
from governance.verdicts.actions.change_preview import preview_change, undone
from governance.verdicts.shown_days import short_day, span

_NOT_SENT_ON = frozenset({"csrfmiddlewaretoken", "look", "write_on"})


@dataclass(frozen=True)
class Step:
    """What is about to be done. title: of the page; save: the button; address: where it is saved; back: the page of
    ``place``, which leaves it as it is."""

    title: str
    save: str
    address: str
    back: str
    place: str
    is_weighty: bool = False


def show_changes(request: HttpRequest, change: Callable[[], object], step: Step, data: QueryDict) -> HttpResponse:
    """The page. data: what was typed; the button sends it to the saving address."""
    sent = [(name, value) for name in data if name not in _NOT_SENT_ON for value in data.getlist(name)]
    context = {"changes": preview_change(change), "step": step, "sent": sent}
    return render(request, "verdicts/changes.html", context)


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_new(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Of an amendment, or a renewal under the same number."""
    paper = get_object_or_404(Paper, pk=pk)
    step = _step(paper, _("a new version"), _("Add the version"), reverse("papers:version-new", args=[pk]))

    def save(data: dict[str, Any], told: dict[str, str]) -> object:
        return actions.add_version(paper=paper, data=data, by=request.user, **told)

    return _terms(request, save, step, lambda: entering.version_new(request, pk))


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_edit(request: HttpRequest, pk: int, version_pk: int) -> HttpResponseBase:
    """Of the correction of what was read."""
    version = get_object_or_404(PaperVersion.objects.select_related("paper"), pk=version_pk, paper=pk)
    address = reverse("papers:version-edit", args=[pk, version_pk])
    step = _step(version.paper, _("a corrected reading"), _("Save the correction"), address)

    def save(data: dict[str, Any], told: dict[str, str]) -> object:
        start = version.in_force_from
        return actions.amend_version(paper=version.paper, start=start, data=data, by=request.user, **told)

    return _terms(request, save, step, lambda: entering.version_edit(request, pk, version_pk))


def _terms(
    request: HttpRequest, save: Callable[[dict[str, Any], dict[str, str]], object], step: Step,
    form_page: Callable[[], HttpResponseBase],
) -> HttpResponseBase:  # fmt: skip
    data = request.POST.copy()
    terms, reason = TermsSheet(data, request.FILES), ReasonForm(data)
    if not all([terms.is_valid(), reason.is_valid()]):
        return _refused(request, form_page)
    told = {"why": reason.cleaned_data["why"], "seen": reason.cleaned_data["seen"]}
    terms.keep_files()  # a chosen file is not sent again: its outline goes on as text
    return _answer(request, lambda: save(terms.object(), told), step, data, form_page)


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_remove(request: HttpRequest, pk: int, version_pk: int) -> HttpResponseBase:
    """Of a version taken off."""
    version = get_object_or_404(PaperVersion.objects.select_related("paper"), pk=version_pk, paper=pk)
    day = short_day(version.in_force_from) if version.in_force_from else _("an unknown day")
    address = reverse("papers:version-remove", args=[pk, version_pk])
    step = _step(version.paper, _("without the version from %(day)s") % {"day": day}, _("Take it off"), address,
                 is_weighty=True)  # fmt: skip
    form = ReasonForm(request.POST)

    def change() -> object:
        why = form.cleaned_data["why"]
        return actions.remove_version(paper=version.paper, start=version.in_force_from, by=request.user, why=why)

    return _simple(request, form, change, step, lambda: turns.version_remove(request, pk, version_pk))


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def status(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Of a suspension, a revocation, a withdrawn consent, a surrender."""
    paper = get_object_or_404(Paper, pk=pk)
    form = StatusForm(request.POST, kind=paper.kind)
    step = _step(paper, _turn_words(form), _("Record it"), reverse("papers:paper-status", args=[pk]))

    def change() -> object:
        seen, why = form.cleaned_data["seen"], form.cleaned_data["why"]
        return actions.add_status(paper=paper, data=form.object(), by=request.user, why=why, seen=seen)

    return _simple(request, form, change, step, lambda: turns.paper_status(request, pk))


@require_POST
@requires(Verb.REGISTER_PAPERS)
@for_readers
def status_remove(request: HttpRequest, pk: int, turn_pk: int) -> HttpResponseBase:
    """Of a turn that did not happen."""
    turn = get_object_or_404(PaperStatus.objects.select_related("paper"), pk=turn_pk, paper=pk)
    what = _("without “%(state)s” of %(day)s") % {"state": turn.get_state_display(), "day": short_day(turn.from_on)}
    address = reverse("papers:status-remove", args=[pk, turn_pk])
    step = _step(turn.paper, what, _("Take it off"), address, is_weighty=True)
    form = ReasonForm(request.POST)

    def change() -> object:
        return actions.remove_status(turn=turn, by=request.user, why=form.cleaned_data["why"])

    return _simple(request, form, change, step, lambda: turns.status_remove(request, pk, turn_pk))


@require_POST
@requires(Verb.LINK_PAPERS)
def unlink(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Of links taken off."""
    paper = get_object_or_404(Paper, pk=pk)
    form = UnlinkForm(request.POST, links=[(link.pk, "") for link in standing_links(paper)])
    address = reverse("papers:paper-unlink", args=[pk])
    step = _step(paper, _("links taken off"), _("Take these links off"), address, is_weighty=True)

    def change() -> object:
        told = form.cleaned_data
        return actions.unlink(paper=paper, links=told["links"], by=request.user, why=told["why"])

    return _simple(request, form, change, step, lambda: linking.paper_unlink(request, pk))


def _turn_words(form: StatusForm) -> str:
    """``Suspended, 1 Jun 2024 – 20 Jun 2024``."""
    if not form.is_valid():
        return _("a change of status")
    told = form.cleaned_data
    day, last = short_day(told["from_on"]), told["to_on"]
    words = span(told["from_on"], last) if last else _("from %(day)s on") % {"day": day}
    return f"{dict(PaperStatus.State.choices)[told['state']]}, {words}"


def _step(paper: Paper, what: str, save: str, address: str, *, is_weighty: bool = False) -> Step:
    title = f"{paper.reference}: {what[:1].lower()}{what[1:]}"
    return Step(title, save, address, reverse("papers:paper", args=[paper.pk]), paper.reference, is_weighty)


def _simple(
    request: HttpRequest, form: Any, change: Callable[[], object], step: Step, form_page: Callable[[], HttpResponseBase]
) -> HttpResponseBase:
    if not form.is_valid():
        return _refused(request, form_page)
    return _answer(request, change, step, request.POST, form_page)


def _answer(
    request: HttpRequest, change: Callable[[], object], step: Step, data: QueryDict,
    form_page: Callable[[], HttpResponseBase],
) -> HttpResponseBase:  # fmt: skip
    try:
        return show_changes(request, change, step, data)
    except (FileProblems, ChangedMeanwhileError):
        return _refused(request, form_page)


def _refused(request: HttpRequest, form_page: Callable[[], HttpResponseBase]) -> HttpResponseBase:
    """The page of the form says what is wrong. Should it save after all, because the register changed in between,
    that is taken back: the person has not seen yet what it would change."""
    answer = undone(form_page)
    if answer.status_code < 300 or answer.status_code >= 400:
        return answer
    list(messages.get_messages(request))  # "it was saved" is not true
    messages.error(request, _("The register changed in this moment. Nothing was saved; please try again."))
    return answer
