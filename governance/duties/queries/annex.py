"""Kinds of benefit as the Annex of the Nagoya Protocol has them, in their two lists, for forms and pages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from django.utils.translation import gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from governance.jurisdictions.law_values import Benefit
from governance.jurisdictions.loader import benefits

LISTS: Final = {"monetary": _("Monetary (M)"), "non-monetary": _("Non-monetary (N)")}
"""The two lists. Joint ownership of intellectual property stands in both, so a code always names its list."""


TEXTS: Final = (
    gettext_noop("access fees, also per sample"),
    gettext_noop("payments up front"),
    gettext_noop("payments at milestones"),
    gettext_noop("royalties"),
    gettext_noop("licence fees on commercial use"),
    gettext_noop("fees to trust funds for conservation"),
    gettext_noop("salaries and preferential terms"),
    gettext_noop("funding of research"),
    gettext_noop("joint ventures"),
    gettext_noop("joint ownership of intellectual property (monetary list)"),
    gettext_noop("research and development results shared"),
    gettext_noop("joint scientific research, where possible in the providing country"),
    gettext_noop("taking part in product development"),
    gettext_noop("joint education and training"),
    gettext_noop("access to collections and databases"),
    gettext_noop("transfer of knowledge and technology on favourable terms"),
    gettext_noop("stronger capacity for technology transfer"),
    gettext_noop("building of institutional capacity"),
    gettext_noop("people and means to administer access rules"),
    gettext_noop("training on genetic resources with the providing country"),
    gettext_noop("access to scientific information, inventories and taxonomic studies"),
    gettext_noop("contributions to the local economy"),
    gettext_noop("research on priority needs, health and food security"),
    gettext_noop("professional relationships between institutions"),
    gettext_noop("food and livelihood security"),
    gettext_noop("social recognition"),
    gettext_noop("joint ownership of intellectual property (non-monetary list)"),
)
"""The words of ``governance/jurisdictions/data/benefit_letters.yaml``, for whoever translates them."""


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
    return [(one.name, [(kind.code, f"{kind.code} {gettext(kind.text)}") for kind in one.benefits]) for one in annex()]


def code_words(code: str) -> str:
    """What a code means; "" where there is no such code."""
    found = benefits().get(code)
    return gettext(found.text) if found else ""
