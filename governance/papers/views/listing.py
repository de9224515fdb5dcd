"""The list of papers, and the list as files."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.papers.forms.listing import PaperFilterForm
from governance.papers.models import Paper
from governance.papers.queries.exchange_objects import exchange_file
from governance.papers.queries.listing import PaperRow, Wanted, counts_of_states, link_counts, paper_rows
from governance.papers.restriction import for_readers, opens
from governance.papers.workbook import paper_workbook

HEADER = (
    "reference", "second number", "kind", "layers", "given by", "jurisdiction", "held by", "issued on", "valid from",
    "valid to", "state", "on the day", "accessions", "parts", "sites", "events", "specimens", "every accession",
    "terms of use", "uses read",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def paper_list(request: HttpRequest) -> HttpResponse:
    """All papers, narrowed and ordered as asked."""
    form = PaperFilterForm(request.GET, timezone.localdate(), request.user)
    wanted = form.wanted()
    rows = paper_rows(wanted, request.user)
    context = paged(request, rows)
    shown = [row.pk for row in context["page"].object_list]
    context |= {
        "form": form, "wanted": wanted, "counts": counts_of_states(rows, wanted.within_days),
        "links": link_counts(shown), "pks": shown, "papers_in_register": Paper.objects.count(),
        "terms_to_read": sum(1 for row in rows if row.terms != "read"),
        "asked": request.GET.urlencode(), "restricted": sum(1 for row in rows if not row.is_readable),
    }  # fmt: skip
    return render(request, "papers/papers.html", context)


@require_GET
@requires(Verb.EXPORT)
def paper_table(request: HttpRequest, form: str) -> HttpResponse | StreamingHttpResponse:
    """The same list as CSV or a workbook."""
    wanted, rows, left_out = _readable(request)
    lines = chain(_lines(rows, wanted), _left_out_lines(left_out))
    if form == "csv":
        return csv_answer("papers.csv", HEADER, lines)
    answer = HttpResponse(
        paper_workbook(HEADER, lines),
        content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    )
    answer["Content-Disposition"] = 'attachment; filename="papers.xlsx"'
    return answer


def _lines(rows: list[PaperRow], wanted: Wanted) -> Iterator[tuple[Any, ...]]:
    links = link_counts([row.pk for row in rows])
    for row in rows:
        paper, life, linked = row.paper, row.life, links.get(row.pk)
        yield (
            paper.reference, paper.second_number, paper.kind, " | ".join(layer.code for layer in paper.layer_list),
            paper.issuer, paper.jurisdiction, paper.holder, paper.issued_on, life.first, life.last,
            str(life.standing), wanted.on,
            *((linked.accessions, linked.parts, linked.sites, linked.events, linked.specimens,
               "yes" if linked.all_accessions else "") if linked else (0, 0, 0, 0, 0, "")),
            row.terms, row.uses_read,
        )  # fmt: skip


@require_GET
@requires(Verb.EXPORT)
def papers_export(request: HttpRequest) -> HttpResponse:
    """The papers of the list as an exchange file; ``form=contract`` leaves out the keys this project adds."""
    _wanted, rows, left_out = _readable(request)
    papers = Paper.objects.filter(pk__in={row.pk for row in rows}).order_by("pk")
    name = f"papers-without-{left_out}-restricted.json" if left_out else "papers.json"
    return exchange_answer(exchange_file(papers, contract_only=request.GET.get("form") == "contract"), name)


def _readable(request: HttpRequest) -> tuple[Wanted, list[PaperRow], int]:
    """The rows of a file: restricted papers stay out of it, and their number is told."""
    wanted = PaperFilterForm(request.GET, timezone.localdate(), request.user).wanted()
    rows = paper_rows(wanted, request.user)
    kept = [row for row in rows if opens(row.paper, request.user)]
    return wanted, kept, len(rows) - len(kept)


def _left_out_lines(left_out: int) -> Iterator[tuple[Any, ...]]:
    if left_out:
        words = ngettext("%(n)d restricted paper is not in this file", "%(n)d restricted papers are not in this file",
                         left_out)  # fmt: skip
        yield (words % {"n": left_out}, *[""] * (len(HEADER) - 1))


@require_GET
@requires(Verb.EXPORT)
@for_readers
def paper_export(request: HttpRequest, pk: int) -> HttpResponse:
    """One paper as an exchange file."""
    papers = Paper.objects.filter(pk=pk)
    return exchange_answer(
        exchange_file(papers, contract_only=request.GET.get("form") == "contract"), f"paper-{pk}.json"
    )


def exchange_answer(data: bytes, name: str) -> HttpResponse:
    """An exchange file as a download."""
    answer = HttpResponse(data, content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
