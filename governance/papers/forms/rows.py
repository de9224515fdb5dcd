"""More rows of a form without script: a button that sends the page and gets it back with more boxes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from django.forms.utils import ErrorDict
from django.http import HttpRequest, QueryDict

_PREFIXES: Final = ("places", "caps")
_MORE: Final = 3


def more_rows(request: HttpRequest) -> QueryDict | None:
    """What was typed, with more rows, if the button for them was pressed; else None."""
    for prefix in _PREFIXES:
        if f"more_{prefix}" in request.POST:
            data = request.POST.copy()
            total = str(data.get(f"{prefix}-TOTAL_FORMS", "0"))
            number = int(total) if total.isascii() and total.isdigit() and len(total) < 5 else 0
            data[f"{prefix}-TOTAL_FORMS"] = str(number + _MORE)
            return data
    return None


def without_errors(forms: Iterable[Any]) -> None:
    """Say nothing yet of what is missing: the person is still writing."""
    for form in forms:
        form._errors = ErrorDict()
