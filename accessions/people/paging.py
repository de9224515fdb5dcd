"""Pages of a list, as ``_components/pager.html`` draws them."""

from __future__ import annotations

from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.paginator import Page, Paginator
from django.http import HttpRequest

SIZES = (25, 50, 100)


def paged(request: HttpRequest, rows: Any, usual: int = SIZES[0]) -> dict[str, Any]:
    """What the pager needs; a page number that makes no sense shows the nearest page, never an error. usual: rows of a
    page where none are asked for, one of ``SIZES``."""
    size = next((n for n in SIZES if str(n) == request.GET.get("size")), usual)
    page: Page[Any] = Paginator(rows, size).get_page(request.GET.get("page"))
    page.total_shown = intcomma(page.paginator.count)  # type: ignore[attr-defined]
    others = request.GET.copy()
    for name in ("page", "size"):
        others.pop(name, None)
    kept = others.copy()
    kept["size"] = str(size)
    return {
        "page": page,
        "size": size,
        "sizes": SIZES,
        "query": f"{kept.urlencode()}&",
        "hidden": [(name, value) for name, values in others.lists() for value in values],
        "without_sort": _without(others, "sort"),
    }


def _without(query: Any, name: str) -> str:
    rest = query.copy()
    rest.pop(name, None)
    text = rest.urlencode()
    return f"{text}&" if text else ""
