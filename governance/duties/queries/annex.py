"""Kinds of benefit as the Annex of the Nagoya Protocol has them, in their two lists, for forms and pages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from django.utils.translation import gettext_lazy as _

from governance.jurisdictions.law_values import Benefit
from governance.jurisdictions.loader import benefits

LISTS: Final = {"monetary": _("Monetary (M)"), "non-monetary": _("Non-monetary (N)")}
"""The two lists. Joint ownership of intellectual property stands in both, so a code always names its list."""


@dataclass(frozen=True)
class AnnexList:
    """One of the two lists with its kinds."""

    name: Any
    benefits: tuple[Benefit, ...]


@cache
def annex() -> tuple[AnnexList, ...]:
    """Both lists, in their order."""
    return tuple(
        AnnexList(name, tuple(one for one in benefits().values() if one.kind == kind)) for kind, name in LISTS.items()
    )


def code_choices() -> list[tuple[Any, list[tuple[str, str]]]]:
    """What a form offers: each kind with its code, under its list."""
    return [(one.name, [(kind.code, f"{kind.code} {kind.text}") for kind in one.benefits]) for one in annex()]


def code_words(code: str) -> str:
    """What a code means; "" where there is no such code."""
    found = benefits().get(code)
    return found.text if found else ""
