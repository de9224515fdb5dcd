"""What the use desk holds a specimen by, asked before it is removed from the register."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from django.db.models import F
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.bonds import Bond, InTheWay, Keys
from accessions.people.bulk import among
from governance.usedesk.models import MadeUse, RequestItem, ScanLine, UseItem


def _in_the_way(keys: Keys) -> Iterator[InTheWay]:
    yield from _requests(keys)
    yield from _uses(keys)


def _requests(keys: Keys) -> Iterator[InTheWay]:
    """Requests that ask for it, also those that are closed, and those for which its code was read."""
    items = RequestItem.objects.filter(among("specimen", keys)).order_by("request__reference")
    asked = set()
    for specimen, request, reference in items.values_list("specimen", "request", "request__reference"):
        asked.add((specimen, request))
        words = _("It is in request %(request)s.") % {"request": reference}
        yield InTheWay(specimen, words, reverse("usedesk:request-items", args=[request]))
    lines = ScanLine.objects.filter(among("specimen", keys)).order_by("request__reference")
    for specimen, request, reference in lines.values_list("specimen", "request", "request__reference").distinct():
        if (specimen, request) not in asked:
            words = _("Its code was read for request %(request)s.") % {"request": reference}
            yield InTheWay(specimen, words, reverse("usedesk:request-scan", args=[request]))


def _uses(keys: Keys) -> Iterator[InTheWay]:
    """Uses that were made of it, also those that were voided, and the one by which it was made."""
    deeds = dict(MadeUse.Deed.choices)
    of_it = UseItem.objects.filter(among("specimen", keys)).annotate(of=F("specimen"))
    made_it = UseItem.objects.filter(among("product", keys)).annotate(of=F("product"))
    for items, words in (
        (of_it, _("A use names it: %(deed)s, %(day)s, number %(use)s.")),
        (made_it, _("It was made by a use: %(deed)s, %(day)s, number %(use)s.")),
    ):
        rows = items.order_by("use__on", "use").values_list("of", "use", "use__reference", "use__deed", "use__on")
        for specimen, use, reference, deed, on in rows:
            said = {"deed": deeds[deed], "day": date_format(on, "j F Y"), "use": reference or f"#{use}"}
            yield InTheWay(specimen, words % said, reverse("usedesk:use", args=[use]))


BOND: Final = Bond("usedesk", _in_the_way)
