"""An answer as a file, with how it was asked. It is written while the clocks stand, never after."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.audit.asking import UnknownValueError
from governance.audit.clocks import AsKnownError
from governance.audit.forms.asking import AskForm
from governance.audit.queries.asking import answered
from governance.audit.views.asking import question_of
from governance.audit.writing.document import TooManyRowsError
from governance.audit.writing.files import CONTENT_TYPES, answer_file


@require_GET
@requires(Verb.EXPORT)
def ask_csv(request: HttpRequest, key: str) -> HttpResponseBase:
    """All rows as CSV."""
    return _file(request, key, "csv")


@require_GET
@requires(Verb.EXPORT)
def ask_xlsx(request: HttpRequest, key: str) -> HttpResponseBase:
    """All rows as a workbook with typed cells."""
    return _file(request, key, "xlsx")


@require_GET
@requires(Verb.EXPORT)
def ask_docx(request: HttpRequest, key: str) -> HttpResponseBase:
    """The answer as a document for reading; one with very many rows is refused with what to do."""
    return _file(request, key, "docx")


def _file(request: HttpRequest, key: str, form: str) -> HttpResponseBase:
    """The file; what cannot be answered goes to the page, which says why."""
    question, sort = question_of(key), request.GET.get("sort", "")
    asking = AskForm(question, request.GET, request.user)
    page = f"{reverse('audit:ask', args=[key])}?{request.GET.urlencode()}"
    if not asking.is_valid():
        return redirect(page)
    try:
        file = answered(question, asking.asked, lambda found: answer_file(found, form, sort)).read
    except TooManyRowsError as error:
        messages.error(request, str(error))
        return redirect(page)
    except (UnknownValueError, AsKnownError):
        return redirect(page)
    name = f"{key}-{timezone.localdate():%Y-%m-%d}.{form}"
    return FileResponse(file, as_attachment=True, filename=name, content_type=CONTENT_TYPES[form])
