"""The status of a page with mistakes on it."""

from __future__ import annotations

from typing import Any

REFUSED = 422
"""Of a page that shows mistakes of a form, so that programs can tell."""


def status_of(*forms: Any) -> int:
    """422 if any of the forms was refused, else 200."""
    return REFUSED if any(form.is_bound and form.errors for form in forms) else 200
