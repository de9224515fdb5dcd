"""What the boxes of benefits and deposits offer, and rows that an address names."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db import models
from django.db.models import QuerySet

from governance.jurisdictions.currencies import currencies
from governance.papers.countries import countries_known, currency_name
from governance.papers.models import Paper

Row = TypeVar("Row", bound=models.Model)


def picks(*names: str) -> dict[str, Any]:
    """The lists of some boxes, by the names that ``duties/_picks.html`` reads."""
    found: dict[str, Any] = {}
    if "papers" in names:
        found["papers_known"] = list(Paper.objects.order_by("reference").only("reference", "kind"))
    if "countries" in names:
        found["countries_known"] = countries_known()
    if "currencies" in names:
        found["currencies_known"] = [f"{currency_name(code)} ({code})" for code in currencies()]
    return found


def asked_row(text: str, rows: QuerySet[Row]) -> Row | None:
    """The row whose key an address names; None where it is none."""
    is_key = text.isascii() and text.isdigit() and len(text) < 19
    return rows.filter(pk=int(text)).first() if is_key else None
