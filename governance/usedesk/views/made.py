"""Uses that were made: their list, its files, and the page of one."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, is_open_to, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.usedesk.deeds import FROM_A_LOAN, LOANS
from governance.usedesk.forms.made import ItemFilterForm, UseFilterForm
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.made import HEADER, counts, file_rows, grace_days, lines, overdue_days, uses
from governance.usedesk.queries.one_use import (
    children_of,
    groups_of,
    history_of,
    item_rows,
    items_file,
    items_of,
    loan_counts,
    remedies_of,
    returns_of,
    sequences_of,
    use_of,
)
from governance.verdicts.export_files import workbook_file

WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_WIDTHS = (14, 20, 20, 40, 12, 12, 12, 30, 8, 14, 10, 10, 10, 22, 30, 10, 24, 60, 12, 30)


@require_GET
@requires(Verb.READ)
def use_list(request: HttpRequest) -> HttpResponse:
    """All uses that were made, narrowed and ordered as asked."""
    today = timezone.localdate()
    form = UseFilterForm(request.GET)
    wanted = form.wanted()
    context = paged(request, uses(wanted, today))
    context |= {
        "form": form, "wanted": wanted, "today": today, "counts": counts(today), "asked": request.GET.urlencode(),
        "lines": lines(list(context["page"].object_list), today), "deeds": MadeUse.Deed.choices,
    }  # fmt: skip
    return render(request, "usedesk/uses.html", context)


@require_GET
@requires(Verb.EXPORT)
def uses_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    return csv_answer("uses.csv", HEADER, file_rows(UseFilterForm(request.GET).wanted(), timezone.localdate()))


@require_GET
@requires(Verb.EXPORT)
def uses_xlsx(request: HttpRequest) -> FileResponse:
    """The same list as a workbook."""
    rows = file_rows(UseFilterForm(request.GET).wanted(), timezone.localdate())
    file = workbook_file(_("Uses"), HEADER, _WIDTHS, rows)
    return FileResponse(file, as_attachment=True, filename="uses.xlsx", content_type=WORKBOOK)


@require_GET
@requires(Verb.READ)
def use(request: HttpRequest, pk: int) -> HttpResponse:
    """One use: what, when, who, and its specimens with the answer of that day."""
    made = get_object_or_404(use_of(pk))
    form = ItemFilterForm(request.GET, is_loan=made.deed in LOANS)
    words, show = form.asked()
    context = paged(request, items_of(made, words, show))
    today = timezone.localdate()
    loan, groups = loan_counts(made), groups_of(made, request.user)
    late = overdue_days(made.due_on, loan.out, today, grace_days()) if loan else 0
    context |= {
        "made": made, "form": form, "rows": item_rows(made, list(context["page"].object_list)), "loan": loan,
        "item_count": made.items.count(), "overdue": late, "groups": groups,
        "has_open": any(one.standing == "open" for one in groups),
        "children": children_of(made),
        "remedies": remedies_of(made, request.user), "returns": returns_of(made),
        "sequence_count": sequences_of(made), "changes": history_of(made, request.user), "today": today,
        "asked": request.GET.urlencode(),
        "scan_is_open": made.scan is None or is_open_to(request.user, made.scan.open_to),
        "may_follow": [deed for deed in MadeUse.Deed if deed in FROM_A_LOAN] if made.deed in LOANS else [],
    }  # fmt: skip
    return render(request, "usedesk/use.html", context)


@require_GET
@requires(Verb.EXPORT)
def use_items_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """The specimens of one use as CSV."""
    made = get_object_or_404(use_of(pk))
    words, show = ItemFilterForm(request.GET, is_loan=made.deed in LOANS).asked()
    header, rows = items_file(made, words, show)
    return csv_answer(f"use-{made.pk}-specimens.csv", header, rows)
