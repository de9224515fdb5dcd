"""Words of benefits and deposits on pages: amounts with their currency, kinds, states, shares."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.utils.translation import gettext as _

from governance.duties.queries.annex import code_words
from governance.duties.queries.benefits import STANDINGS, PromiseLine, Total
from governance.duties.queries.deposits import Share
from governance.duties.queries.ledger import basis, country_of
from governance.papers.countries import country_name, currency_name

register = template.Library()

_NO_BREAK = "\u00a0"


def grouped(value: Decimal) -> str:
    """A number with its thousands grouped: "1,200", "1,200.50"; cents are never cut to one figure.

    >>> grouped(Decimal("1200.00")), grouped(Decimal("1200.5")), grouped(Decimal("0.25"))
    ('1,200', '1,200.50', '0.25')
    """
    return f"{value:,.0f}" if value == value.to_integral_value() else f"{value:,.2f}"


def measured(value: Decimal | None, unit: str, is_money: bool) -> str:
    """A number with its unit: "EUR 1,200", "papers: 1", "50 %". What is counted stands first, since a unit as it was
    typed has one form alone.

    >>> measured(Decimal(1), "papers", False), measured(Decimal("13.60"), "%", False).replace(_NO_BREAK, " ")
    ('papers: 1', '13.6 %')
    """
    if value is None:
        return ""
    if is_money:
        return _NO_BREAK.join(filter(None, [unit, grouped(value)]))
    if unit == "%":
        return f"{value.normalize():f}{_NO_BREAK}%"
    return f"{unit}: {grouped(value)}" if unit else grouped(value)


@register.filter
def as_percent(value: Decimal | None) -> str:
    """A share: "13.6 %"."""
    return measured(value, "%", False)


@register.filter
def in_unit(value: Decimal | None, line: PromiseLine) -> str:
    """A number of a line, with its unit."""
    return measured(value, line.unit, line.is_money)


@register.filter
def of_total(value: Decimal, total: Total) -> str:
    """A number of a total: money with its currency; what is counted has its unit at the head of the row."""
    return measured(value, total.unit if total.is_money else "", total.is_money)


@register.filter
def how_much(row: Any) -> str:
    """What a promise or a gift is worth, in its own unit; "" where it says nothing."""
    if row.amount is not None:
        return measured(row.amount, row.currency, True)
    share = getattr(row, "share_percent", None)
    if share is not None:
        return _("%(share)s of the material") % {"share": measured(share, "%", False)}
    return measured(row.quantity, row.unit, False)


@register.filter
def benefit_words(code: str) -> str:
    """What a kind of benefit means."""
    return code_words(code)


@register.filter
def standing_words(line: PromiseLine) -> Any:
    """How a promise stands, in words."""
    return STANDINGS[line.standing]


@register.filter
def basis_words(share: Share) -> str:
    """What a share is of."""
    return basis(share)


@register.filter
def country_words(row: Any) -> str:
    """The name of the country of a benefit; "" where none is known."""
    code = country_of(row)
    return country_name(code) if code else ""


@register.filter
def money_name(code: str) -> str:
    """The name of a currency."""
    return currency_name(code)
