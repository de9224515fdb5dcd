"""The facts of one specimen, and labels typed by hand."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.html import escape, format_html
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from accessions.material.actions.specimens import change_event, change_specimen, determine, enter_specimen
from accessions.material.forms.specimens import DeterminationForm, EventForm, LabelForm, SpecimenForm, copied_down
from accessions.material.models import Accession, Specimen
from accessions.material.oddities import oddities_of
from accessions.material.queries.specimens import TYPED, SpecimenFacts, facts_of, last_typed, words_of
from accessions.material.statements import written_event, written_name
from accessions.material.views.accessions import saved_words
from accessions.people.access import Verb, may, requires


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def specimen_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """What was counted and where it belongs; links to the forms of event and determination."""
    facts = _facts(pk)
    specimen = facts.specimen
    shown = str(specimen)
    may_move = may(request.user, Verb.LINK_PAPERS)
    form = SpecimenForm(request.POST or None, instance=specimen, accession=specimen.accession, may_move=may_move)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_specimen(specimen, by=request.user, why=form.why, **form.values())
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, saved_words(specimen, changed))
            return redirect("material:specimen-edit", pk)
    return render(request, "material/specimen_form.html", _context(facts, form=form, shown=shown))


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def specimen_event(request: HttpRequest, pk: int) -> HttpResponse:
    """When, where, how and by whom: for this specimen alone, or for all that share the event."""
    facts = _facts(pk)
    form = EventForm(request.POST or None, initial=written_event(facts.specimen.event))
    if request.method == "POST" and form.is_valid():
        everyone = form.cleaned_data["everyone"] == "all"
        why = form.cleaned_data["why"]
        _event, moved = change_event(facts.specimen, form.written(), everyone=everyone, by=request.user, why=why)
        messages.success(request, _event_words(moved))
        for hint in [*form.hints(), *oddities_of(facts.specimen, date_identified=facts.date_identified)]:
            messages.warning(request, hint)
        return redirect("material:specimen-edit", pk)
    return render(request, "material/event_form.html", _context(facts, form=form))


def _event_words(moved: int) -> str:
    if not moved:
        return _("Nothing was changed.")
    words = ngettext("The event of %(n)s specimen was changed.", "The event of %(n)s specimens was changed.", moved)
    return words % {"n": moved}


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def specimen_determine(request: HttpRequest, pk: int) -> HttpResponse:
    """A new determination; the earlier ones stay."""
    facts = _facts(pk)
    form = DeterminationForm(request.POST or None, initial=written_name(facts.specimen.name))
    if request.method == "POST" and form.is_valid():
        rest = {name: form.cleaned_data[name] for name in ("identified_by", "date_identified", "remarks", "why")}
        determined = determine(facts.specimen, form.written(), by=request.user, **rest)
        messages.success(request, _("Now determined as %(name)s. Earlier names are kept.") % {"name": determined.name})
        for oddity in oddities_of(facts.specimen, date_identified=determined.date_identified):
            messages.warning(request, oddity)
        return redirect("material:specimen-edit", pk)
    return render(request, "material/determination_form.html", _context(facts, form=form))


def _facts(pk: int) -> SpecimenFacts:
    facts = facts_of(pk)
    if facts is None:
        raise Http404(pk)
    return facts


def _context(facts: SpecimenFacts, **more: Any) -> dict[str, Any]:
    specimen = facts.specimen
    return {
        "facts": facts,
        "specimen": specimen,
        "oddities": oddities_of(specimen, date_identified=facts.date_identified),
        "shown": str(specimen),
        **more,
    }


@require_http_methods(["GET", "POST"])
@requires(Verb.ENTER_FACTS)
def label_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Type labels one after the other: what the last one had of the event is there already."""
    accession = get_object_or_404(Accession, pk=pk)
    last = last_typed(accession, request.user)
    form = LabelForm(request.POST or None, accession=accession, initial=copied_down(last) | _taken_from(request))
    if request.method == "POST" and form.is_valid():
        try:
            specimen = _entered(request, accession, form)
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, _with_link(_("%(specimen)s was entered."), specimen))
            for hint in [*form.hints(), *oddities_of(specimen)]:
                messages.warning(request, hint)
            return redirect("material:label-new", pk)
    context = {"form": form, "accession": accession, "last": last, "words": words_of(accession)}
    return render(request, "material/label_form.html", context)


def _with_link(words: str, specimen: Specimen) -> str:
    """The words about a specimen, which lead to its form: what was typed may want correcting at once."""
    link = format_html('<a href="{}">{}</a>', reverse("material:specimen-edit", args=[specimen.pk]), specimen)
    return mark_safe(escape(words) % {"specimen": link})


def _taken_from(request: HttpRequest) -> dict[str, Any]:
    parent = Specimen.objects.filter(catalog_number=request.GET.get("from", "")).select_related("event").first()
    if parent is None or not parent.catalog_number:
        return {}
    return copied_down(parent) | {
        "taken_from": parent.catalog_number,
        "kind": Specimen.Kind.PART,
        "scientificName": parent.name.scientific_name,
    }


def _entered(request: HttpRequest, accession: Accession, form: LabelForm) -> Specimen:
    return enter_specimen(
        accession,
        form.written(),
        {"scientificName": form.cleaned_data["scientificName"]},
        identified_by=form.cleaned_data["identified_by"],
        by=request.user,
        why=TYPED,
        **form.values(),
    )
