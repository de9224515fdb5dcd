"""A page of forms that comes back unsaved: with more boxes, or to be written on after a look at what would change."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from django.forms.utils import ErrorDict
from django.http import HttpRequest, QueryDict

_PREFIXES: Final = ("places", "caps")
_MORE: Final = 3


BACK: Final = "write_on"
"""Name of the button that gives a page back as it was typed."""


def is_back(request: HttpRequest) -> bool:
    """Whether the person comes back from looking at what would change: nothing is to be saved yet."""
    return request.method == "POST" and BACK in request.POST


def more_rows(request: HttpRequest) -> QueryDict | None:
    """What was typed, with more rows if the button for them was pressed, or as it was; None if it is to be saved."""
    if is_back(request):
        return request.POST.copy()
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
