"""An answer as a file, with how it was asked. It is written while the clocks stand, never after."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import IO, Any, Final

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.audit.asking import Answer, Question, UnknownValueError
from governance.audit.clocks import AsKnownError
from governance.audit.forms.asking import AskForm
from governance.audit.queries.asking import answered
from governance.audit.views.asking import asked_with, question_of
from governance.audit.writing import document, workbook
from governance.audit.writing.files import write_file


@require_GET
@requires(Verb.EXPORT)
def ask_csv(request: HttpRequest, key: str) -> HttpResponseBase:
    """All rows as CSV."""
    return _file(request, question_of(key), "csv")
