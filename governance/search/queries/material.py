"""Specimens by their number; accessions, parts and deliveries by number and words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from accessions.material.models import Accession, Delivery, Part, Removal, Specimen
from accessions.material.queries.accessions import AccessionFilter, accessions
from accessions.material.queries.removing import removals_numbered
from governance.scans.reading.folding import fold
from governance.search.asked import Asked, folded, ranked
from governance.search.queries.kinds import Hit, Matches, of_ranked, why
from governance.verdicts.queries.filters import starts_with

MOST_COUNTED: Final = 1_000
"""Specimens that are counted; a list of more is counted by its own page."""


def find_specimens(asked: Asked, user: Any) -> Matches:
    """Specimens whose number begins so, read from the index of numbers: up to two queries, however many there are."""
    for start in dict.fromkeys((asked.text, asked.text.upper())):
        rows = _numbered(start)
        keys = list(rows.values_list("pk", flat=True)[: MOST_COUNTED + 1])
        if keys:
            exact = [pk for pk, number in rows.values_list("pk", "catalog_number")[:1] if number == start]
            address = f"{reverse('verdicts:specimens')}?{urlencode({'q': asked.text, 'sort': 'number'})}"
            is_more = len(keys) > MOST_COUNTED
            kept = keys[:MOST_COUNTED]
            return Matches(kept, len(kept), lambda some: _specimens(some, asked), exact, is_more, address)
    return Matches()


def _numbered(start: str) -> QuerySet[Specimen]:
    begun = Specimen.objects.filter(starts_with("catalog_number", start)).exclude(catalog_number="")
    return begun.order_by("catalog_number")


def _specimens(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Specimen.objects.select_related("name", "accession").in_bulk(list(keys))
    return [
        Hit(
            one.catalog_number, reverse("verdicts:specimen", args=[one.pk]),
            _("%(name)s, accession %(number)s") % {
                "name": one.name.shown or _("no name"), "number": one.accession.number,
            },
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_removed(asked: Asked, user: Any) -> Matches:
    """Specimens that were removed from the register, by the whole number that they had. One query."""
    found = removals_numbered(list(dict.fromkeys((asked.text, asked.text.upper()))))
    return Matches(found, len(found), _removed, found)


def _removed(keys: Sequence[int]) -> list[Hit]:
    rows = Removal.objects.select_related("removed_by").in_bulk(list(keys))
    return [
        Hit(
            str(one), reverse("verdicts:specimen", args=[one.specimen]),
            _("removed on %(day)s by %(who)s: %(why)s") % {
                "day": date_format(timezone.localtime(one.removed_at), "j M Y"), "who": one.removed_by.shown_name,
                "why": one.why,
            },
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_accessions(asked: Asked, user: Any) -> Matches:
    """Accessions by number, title and source. One query."""
    rows = Accession.objects.order_by("number").values_list("pk", "number", "title", "source__name")
    found = ranked(((pk, number, f"{title} {source or ''}") for pk, number, title, source in rows.iterator()), asked)
    address = f"{reverse('material:accessions')}?{urlencode({'q': asked.text})}"
    return of_ranked(found, lambda keys: _accessions(keys, asked), address,
                     lambda: accessions(AccessionFilter(q=asked.text)).count())  # fmt: skip


def _accessions(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Accession.objects.select_related("source").in_bulk(list(keys))
    return [
        Hit(
            one.number, reverse("material:accession", args=[one.pk]), one.title or str(one.get_kind_display()),
            why(asked, (_("Source"), one.source.name if one.source else "")),
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_parts(asked: Asked, user: Any) -> Matches:
    """Parts of accessions by title, and by the number of the accession with the letter. One query: parts that bear
    neither a title nor the last word as their letter are not read."""
    last = asked.text.split()[-1:] or [""]
    letters = Q(letter__in={last[0], last[0].upper(), last[0].lower(), *_last_letters(last[0])})
    rows = Part.objects.filter(~Q(title="") | letters).order_by("accession__number", "letter")
    told = rows.values_list("pk", "accession__number", "letter", "title").iterator()
    return of_ranked(ranked(_meant_parts(told, asked), asked), _parts)


def _meant_parts(told: Iterable[tuple[int, str, str, str]], asked: Asked) -> Iterator[tuple[int, str, str]]:
    """The number of an accession alone means the accession; a part is meant by a word of its title, or its letter."""
    for pk, number, letter, title in told:
        whole = f"{number}{letter}"
        if fold(whole) == asked.number:
            yield pk, whole, title
        elif any(word in folded(title) for word in asked.words):
            yield pk, "", f"{title} {number} {letter}"


def _last_letters(text: str) -> tuple[str, ...]:
    """What may be the letter at the end of a number that is written in one: "LMN-2024-038B", "038/12"."""
    return tuple(part for n in (1, 2) for part in (text[-n:], text[-n:].upper()) if part)


def _parts(keys: Sequence[int]) -> list[Hit]:
    rows = Part.objects.select_related("accession").in_bulk(list(keys))
    return [
        Hit(
            _("%(number)s, part %(letter)s") % {"number": one.accession.number, "letter": one.letter},
            reverse("verdicts:legal-file", args=[one.accession_id]), one.title,
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_deliveries(asked: Asked, user: Any) -> Matches:
    """Deliveries by entry number, contents, sender, and who brought them. One query."""
    rows = Delivery.objects.order_by("-pk").values_list("pk", "entry_number", "contents", "sender__name", "brought_by")
    told = rows.exclude(entry_number="", contents="", sender=None, brought_by="").iterator()
    found = ranked(((pk, number, " ".join(filter(None, rest))) for pk, number, *rest in told), asked)
    return of_ranked(found, lambda keys: _deliveries(keys, asked))


def _deliveries(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Delivery.objects.select_related("accession", "sender").in_bulk(list(keys))
    return [_delivery(one, asked) for key in keys if (one := rows.get(key))]


def _delivery(one: Delivery, asked: Asked) -> Hit:
    if one.entry_number:
        title, address = one.entry_number, reverse("material:arrival", args=[one.pk])
    else:
        of = {"number": str(one.accession), "n": one.number}
        title, address = _("%(number)s, delivery %(n)s") % of, reverse("material:accession", args=[one.accession_id])
    on = one.received_on
    told = [one.contents, _("received %(day)s") % {"day": date_format(on, "j M Y")} if on else ""]
    fields = ((pgettext("sender", "From"), one.sender.name if one.sender else ""), (_("Brought by"), one.brought_by))
    return Hit(title, address, ", ".join(filter(None, told)), why(asked, *fields))
