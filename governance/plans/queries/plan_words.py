"""Words of a plan that several pages share: days, ways of taking, kinds of paper that usually serve a layer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.wording import in_a_list
from accessions.values import split_list, split_people
from governance.engine.tables import Layer
from governance.papers.models import PaperKind
from governance.plans.planned_rows import LoadedStop
from governance.verdicts.shown_days import short_day, span

USUAL_KINDS: Mapping[Layer, tuple[PaperKind, ...]] = {
    Layer.LAND: (PaperKind.LANDOWNER_CONSENT, PaperKind.OCCUPIER_CONSENT, PaperKind.COMMUNITY_CONSENT),
    Layer.COLLECTING: (PaperKind.COLLECTING_PERMIT, PaperKind.RESEARCH_PERMIT),
    Layer.SPECIES: (PaperKind.SPECIES_LICENCE, PaperKind.EXEMPTION),
    Layer.PROTECTED_SITE: (PaperKind.PROTECTED_SITE_CONSENT,),
    Layer.ACCESS: (PaperKind.ACCESS_PERMIT, PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.MUTUALLY_AGREED_TERMS),
    Layer.EXPORT: (PaperKind.EXPORT_PERMIT,),
    Layer.IMPORT: (PaperKind.IMPORT_PERMIT, PaperKind.VETERINARY_CERTIFICATE, PaperKind.PHYTOSANITARY_CERTIFICATE),
    Layer.CITES: (PaperKind.CITES_EXPORT_PERMIT, PaperKind.CITES_IMPORT_PERMIT, PaperKind.CITES_EXCHANGE_LABEL),
    Layer.TRANSFER: (PaperKind.MATERIAL_TRANSFER_AGREEMENT, PaperKind.DEED_OF_TRANSFER),
}
"""Kinds of paper that usually serve a layer, the most usual first. A suggestion alone: what a country asks for stands
on its sheet, and no verdict looks here."""

THINGS: Mapping[Layer, Promise] = {
    Layer.LAND: gettext_lazy("the landowner’s consent"),
    Layer.COLLECTING: gettext_lazy("the collecting permit"),
    Layer.SPECIES: gettext_lazy("the species licence"),
    Layer.PROTECTED_SITE: gettext_lazy("the consent for the protected site"),
    Layer.ACCESS: gettext_lazy("the access permit (ABS)"),
    Layer.EXPORT: gettext_lazy("the export permit"),
    Layer.IMPORT: gettext_lazy("the import permit"),
    Layer.CITES: gettext_lazy("the CITES permit"),
    Layer.TRANSFER: gettext_lazy("the transfer agreement"),
}
"""What a sentence calls the paper of a layer."""


def usual_kinds(layer: Layer) -> str:
    """The usual kinds in a sentence: "collecting permit or research permit"."""
    names = [str(kind.label) for kind in USUAL_KINDS[layer]]
    *several, last = map(lowered, names)
    return _("%(several)s or %(last)s") % {"several": ", ".join(several), "last": last} if several else last


def lowered(name: str) -> str:
    """A name within a sentence: "CITES" stays, "Export permit" does not."""
    return name if name[:2].isupper() else name[:1].lower() + name[1:]


def days_of(one: LoadedStop) -> tuple[date | None, date | None]:
    """First and last day of anything at a stop."""
    return one.days


def stop_days(one: LoadedStop) -> str:
    """The days in a table: "3 – 5 Jun 2027"; "days not fixed"."""
    return period_words(*days_of(one))


def period_words(first: date | None, last: date | None) -> str:
    """A stretch of days in a table; what is not fixed is said."""
    if first and last:
        return span(first, last)
    if first:
        return _("from %(day)s, end not fixed") % {"day": short_day(first)}
    if last:
        return _("until %(day)s, start not fixed") % {"day": short_day(last)}
    return _("days not fixed")


def way_words(one: LoadedStop) -> str:
    """By how many, in which ways: "2 people; hand net, Malaise trap"."""
    people = len(split_people(one.stop.people))
    ways = dict.fromkeys([*split_list(one.stop.methods), *(trap.method for trap in one.traps)])
    parts = [
        ngettext("%(n)d person", "%(n)d people", people) % {"n": people} if people else _("nobody named"),
        ", ".join(ways) or _("no method"),
    ]
    return "; ".join(parts)


def days_away(day: date, today: date) -> str:
    """How far a day is: "48 days left", "today", "12 days late"."""
    days = (day - today).days
    if days > 0:
        return ngettext("%(n)d day left", "%(n)d days left", days) % {"n": days}
    if days < 0:
        return ngettext("%(n)d day late", "%(n)d days late", -days) % {"n": -days}
    return _("today")


def stops_words(numbers: Sequence[int], of: int) -> str:
    """Which stops, by their numbers: "all stops", "stop 3", "stops 2 and 4", "stops 1 to 5 and 8"."""
    if len(numbers) == of and of > 1:
        return _("all stops")
    if not numbers:
        return ""
    listed = in_a_list(_runs(sorted(numbers)))
    return ngettext("stop %(list)s", "stops %(list)s", len(numbers)) % {"list": listed}


def _runs(numbers: Sequence[int]) -> list[str]:
    """Numbers that follow one another as one, from three on.

    >>> _runs([1, 2, 4, 5, 6])
    ['1', '2', '4 to 6']
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts: list[str] = []
    for run in runs:
        if len(run) > 2:
            texts.append(_("%(first)d to %(last)d") % {"first": run[0], "last": run[-1]})
        else:
            texts += [str(number) for number in run]
    return texts


def long_day(day: date) -> str:
    """A day in a sentence: "12 January 2027"."""
    return date_format(day, "j F Y")
