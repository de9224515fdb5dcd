"""The legal file of an accession: the page, its print, its table as a file, and what is done from a cell."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext
from django.views.decorators.http import require_GET, require_http_methods

from accessions.material.models import Accession, Part
from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.engine.tables import EngineError, Layer, Verdict
from governance.papers.actions.linking import link
from governance.papers.forms.rows import is_back
from governance.papers.queries.linkable import linkable
from governance.papers.queries.titles import titles_of
from governance.verdicts.actions.searches import record_searches
from governance.verdicts.cells import Cell
from governance.verdicts.export_files import csv_lines, workbook_file
from governance.verdicts.forms.legal_file import AttachForm, FileSearchForm
from governance.verdicts.queries.file_answer import answer_of
from governance.verdicts.queries.file_history import file_history
from governance.verdicts.queries.file_papers import papers_to_attach
from governance.verdicts.queries.file_table import HEADER, WIDTHS, table_rows
from governance.verdicts.queries.file_way import way_of
from governance.verdicts.queries.legal_file import legal_file
from governance.verdicts.views.changes import Step, show_changes

_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
@requires(Verb.READ)
def legal_file_page(request: HttpRequest, pk: int) -> HttpResponse:
    """What is complete and what is missing, and everything behind it."""
    accession = _accession(pk)
    context = _context(request, accession) | {"changes": file_history(accession)}
    return render(request, "verdicts/legal_file.html", context)


@require_GET
@requires(Verb.READ)
def legal_file_print(request: HttpRequest, pk: int) -> HttpResponse:
    """The same for the folder: every cell written out."""
    return render(request, "verdicts/legal_file_print.html", _context(request, _accession(pk)))


def _context(request: HttpRequest, accession: Accession) -> dict[str, Any]:
    file = legal_file(accession, person_of(request))
    complete, still_open = answer_of(file)
    return {
        "accession": accession, "file": file, "complete": complete, "still_open": still_open,
        "way": way_of(file), "titles": titles_of(accession, request.user), "today": timezone.localdate(),
        "layers": [Cell(cell.cell.verdict, cell.layer) if cell.cell else cell.name_cell for cell in file.whole.cells],
    }  # fmt: skip


@require_GET
@requires(Verb.EXPORT)
def legal_file_export(request: HttpRequest, pk: int, form: str) -> HttpResponseBase:
    """The cells as a table: one line a row and layer. form: csv or xlsx."""
    if form not in ("csv", "xlsx"):
        raise Http404
    accession = _accession(pk)
    rows = table_rows(legal_file(accession, person_of(request)))
    name = f"legal-file-{accession.pk}-{timezone.localdate().isoformat()}.{form}"
    if form == "csv":
        answer = StreamingHttpResponse(csv_lines(HEADER, rows), content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = f'attachment; filename="{name}"'
        return answer
    file = workbook_file(_("Legal file"), HEADER, WIDTHS, rows)
    return FileResponse(file, as_attachment=True, filename=name, content_type=_WORKBOOK)


@require_http_methods(["GET", "POST"])
@requires(Verb.LINK_PAPERS)
def legal_file_attach(request: HttpRequest, pk: int, layer: str) -> HttpResponse:
    """Link a paper to the whole, to parts, sites or events, from a cell."""
    accession, wanted = _accession(pk), _layer(layer)
    part = _part(request, accession)
    choice = linkable(None, accession)
    offered = {"picked": [f"parts:{part.pk}" if part else choice.whole.value]}
    form = AttachForm(posted(request), layer=wanted, choices=choice.values, initial=offered)
    if request.method == "POST" and not is_back(request) and form.is_valid():
        return _attach(request, accession, form)
    context = {
        "accession": accession, "cell": Cell(Verdict.CANNOT_TELL, wanted), "part": part, "choice": choice, "form": form,
        "papers": papers_to_attach(wanted),
    }  # fmt: skip
    return render(request, "verdicts/legal_file_attach.html", context, status=form.status)


def _attach(request: HttpRequest, accession: Accession, form: AttachForm) -> HttpResponse:
    """Link it; with the button ``look`` say first what would change."""
    paper, why = form.cleaned_data["paper"], form.cleaned_data["why"] or _("linked from the legal file")

    def save() -> int:
        return link(paper=paper, targets=form.targets, by=request.user, why=why)

    back = reverse("verdicts:legal-file", args=[accession.pk])
    if "look" in request.POST:
        title = _("%(accession)s: link %(paper)s") % {"accession": accession.number, "paper": paper.reference}
        step = Step(title, _("Link the paper"), request.get_full_path(), back, accession.number)
        return show_changes(request, save, step, request.POST)
    messages.success(request, _attached_words(paper.reference, save()))
    return redirect(back)


def _attached_words(reference: str, made: int) -> str:
    if not made:
        return _("%(paper)s was linked to all of it already.") % {"paper": reference}
    return ngettext(
        "%(paper)s is linked (%(n)d link). Its verdicts are worked out anew.",
        "%(paper)s is linked (%(n)d links). Its verdicts are worked out anew.", made,
    ) % {"paper": reference, "n": made}  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.RECORD_SEARCHES)
def legal_file_search(request: HttpRequest, pk: int, layer: str) -> HttpResponse:
    """Record a search for the papers of a layer, from a cell."""
    accession, wanted = _accession(pk), _layer(layer)
    form = FileSearchForm(
        posted(request), accession=accession, part=_part(request, accession), today=timezone.localdate(),
        by=request.user,
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        part = form.cleaned_data.pop("of_part")
        record_searches(
            accessions=[] if part else [accession], parts=[part] if part else [], layer=wanted, **form.cleaned_data,
            by=request.user, why=gettext_noop("recorded from the legal file"),
        )  # fmt: skip
        messages.success(request, _("The search is recorded."))
        return redirect("verdicts:legal-file", pk)
    context = {"accession": accession, "cell": Cell(Verdict.CANNOT_TELL, wanted), "form": form}
    return render(request, "verdicts/legal_file_search.html", context, status=form.status)


def _accession(pk: int) -> Accession:
    return get_object_or_404(Accession.objects.select_related("source"), pk=pk)


def _layer(code: str) -> Layer:
    try:
        return Layer.from_code(code)
    except EngineError:
        raise Http404 from None


def _part(request: HttpRequest, accession: Accession) -> Part | None:
    """The part that the address names; one that is not of this accession is passed over."""
    key = request.GET.get("part", "")
    is_key = key.isascii() and key.isdigit() and len(key) < 19
    return accession.parts.filter(pk=int(key)).first() if is_key else None
