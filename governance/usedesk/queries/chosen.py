"""Which specimens are meant: by a list of numbers, by an accession, a request, or a loan."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession, Specimen
from governance.usedesk.models import MadeUse, UseRequest
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.resolving import Keys, specimens_of
from governance.usedesk.queries.whereabouts import still_out

MOST: Final = 50_000
"""Specimens of one entry."""

_TOLD: Final = 20
_SEPARATORS: Final = re.compile(r"[\n\r\t;,]+")


@dataclass(frozen=True)
class Chosen:
    """ids: keys in the order in which they were named, each once. problems: all that is wrong, in words."""

    ids: tuple[int, ...] = ()
    problems: tuple[str, ...] = ()


def numbers_in(text: str) -> list[str]:
    """Catalogue numbers of a pasted list: one a line, or with commas, semicolons or tabs between; each once.

    >>> numbers_in(" LMN-1\\n\\nLMN-2, LMN-1;LMN-3")
    ['LMN-1', 'LMN-2', 'LMN-3']
    """
    return list(dict.fromkeys(" ".join(one.split()) for one in _SEPARATORS.split(text) if one.strip()))


def by_numbers(numbers: Sequence[str]) -> tuple[dict[str, int], list[str]]:
    """The specimens of catalogue numbers, as the desk reads codes: key by number; and what is wrong, in words."""
    found = dict(zip(numbers, specimens_of([read_code(number) for number in numbers]), strict=True))
    return {number: keys[0] for number, keys in found.items() if len(keys) == 1}, _problems(found)


def _problems(found: Mapping[str, Keys]) -> list[str]:
    unknown = [number for number, keys in found.items() if not keys]
    several = [number for number, keys in found.items() if len(keys) > 1]
    problems = []
    if unknown:
        words = ngettext("No specimen has the number %(list)s. Look for a slip, or enter it first.",
                         "No specimens have these numbers: %(list)s. Look for slips, or enter them first.",
                         len(unknown))  # fmt: skip
        problems.append(words % {"list": listed(unknown)})
    if several:
        words = _("Several specimens have the number %(list)s. Choose them by their accession or request.")
        problems.append(words % {"list": listed(several)})
    return problems


def listed(numbers: Sequence[str]) -> str:
    """Numbers in a sentence: the first of them, and how many more."""
    shown = ", ".join(numbers[:_TOLD])
    more = len(numbers) - _TOLD
    return shown if more <= 0 else _("%(shown)s and %(more)d more") % {"shown": shown, "more": more}


def of_accession(number: str) -> Chosen:
    """All specimens of an accession."""
    found = Accession.objects.filter(number__iexact=number.strip()).first()
    if found is None:
        return Chosen(problems=(_("No accession has the number “%(number)s”.") % {"number": number},))
    ids = tuple(found.specimens.order_by("pk").values_list("pk", flat=True)[: MOST + 1])
    if not ids:
        return Chosen(problems=(_("Accession %(number)s has no specimens.") % {"number": found.number},))
    return Chosen(ids)


def approved_of(request: UseRequest) -> tuple[int, ...]:
    """Specimens of a request that may go, by a decision that stands."""
    rows = request.items.filter(decision__is_approved=True, decision__withdrawn_at__isnull=True)
    return tuple(rows.order_by("pk").values_list("specimen", flat=True))


def all_of(request: UseRequest) -> tuple[int, ...]:
    """All specimens of a request."""
    return tuple(request.items.order_by("pk").values_list("specimen", flat=True))


def out_on(loan: MadeUse) -> tuple[int, ...]:
    """Specimens of a loan that are still out."""
    return tuple(still_out(loan.deed).filter(use=loan).order_by("pk").values_list("specimen", flat=True))


def lent_on(loan: MadeUse) -> tuple[int, ...]:
    """All specimens of a loan, back or not."""
    return tuple(loan.items.order_by("pk").values_list("specimen", flat=True))


def told(ids: Sequence[int]) -> str:
    """The numbers of some specimens in a sentence; one without a number is called by its key."""
    rows = Specimen.objects.in_bulk(list(ids[:_TOLD]))
    names = [rows[key].catalog_number or f"#{key}" for key in ids[:_TOLD] if key in rows]
    return listed([*names, *[""] * (len(ids) - len(names))])
