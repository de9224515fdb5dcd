"""What was read from a version, in lines that a person compares with the paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.papers.countries import country_name
from governance.papers.measures import distance
from governance.papers.models import Condition, PaperVersion, VersionCap, VersionPlace, VersionSeason, VersionTaxon

_A_LEAP_YEAR = 2024


@dataclass(frozen=True)
class Reading:
    """One line. text: what is allowed; excluded: what is taken out of it, "" if nothing is. subject: which reading it
    is, as ``ReadingPage`` names it."""

    label: str
    text: str
    excluded: str = ""
    is_taxon: bool = False
    subject: str = ""


def readings(version: PaperVersion) -> list[Reading]:
    """All lines of a version; reads its prefetched lines. What the paper does not limit is said to be without limit."""
    places, taxa, words = (
        list(version.versionplaces.all()),
        list(version.versiontaxons.all()),
        version.versionwords.all(),
    )
    no_limit = _("No limit")
    lines = [
        Reading(_("Valid"), validity_words(version.in_force_from, version.in_force_to), subject="valid"),
        Reading(_("Places"), _places(places, excluded=False) or _("None named; the jurisdiction stands in"),
                _places(places, excluded=True), subject="places"),
        Reading(_("Taxa"), _taxa(taxa, excluded=False) or no_limit, _taxa(taxa, excluded=True), is_taxon=bool(taxa),
                subject="taxa"),
    ]  # fmt: skip
    for subject, label in (("methods", _("Methods")), ("sexes", _("Sexes")), ("life_stages", _("Life stages"))):
        allowed = _joined(w.word for w in words if w.subject == subject and not w.excluded)
        refused = _joined(w.word for w in words if w.subject == subject and w.excluded)
        if allowed or refused or subject == "methods":
            lines.append(
                Reading(label, allowed or no_limit, refused, subject="methods" if subject == "methods" else "stages")
            )
    lines.append(Reading(_("People"), _people(version) or no_limit, subject="people"))
    seasons = _joined(season_words(season) for season in version.versionseasons.all())
    if seasons:
        lines.append(Reading(_("Closed season"), seasons, subject="seasons"))
    lines.append(
        Reading(
            _("Numbers"),
            _joined((cap_words(cap) for cap in version.versioncaps.all()), "; ") or no_limit,
            subject="caps",
        )
    )
    return lines


def validity_words(first: date | None, last: date | None) -> str:
    """``1 May 2024 to 14 June 2024, both days count``."""
    named = {name: date_format(day, "j F Y") for name, day in (("first", first), ("last", last)) if day}
    if first and last:
        return _("%(first)s to %(last)s, both days count") % named
    if first:
        return _("from %(first)s on, until told otherwise") % named
    if last:
        return _("until %(last)s; the first day is not known") % named
    return _("the days are not known")


def place_words(place: VersionPlace) -> str:
    """One place: its name, and its area if it has one of its own."""
    name = country_name(place.country) if place.country else place.subdivision or place.site
    disc = ""
    if place.radius_m is not None and place.latitude_deg is not None and place.longitude_deg is not None:
        disc = _("%(radius)s around %(latitude)s, %(longitude)s") % {
            "radius": distance(place.radius_m), "latitude": f"{place.latitude_deg:.4f}".rstrip("0"),
            "longitude": f"{place.longitude_deg:.4f}".rstrip("0"),
        }  # fmt: skip
    area = disc or (_("mapped area") if place.geojson else "")
    error = f" (±{distance(place.boundary_error_m)})" if place.boundary_error_m else ""
    return (f"{name} ({area})" if name and area else name or area) + error


def _places(places: Sequence[VersionPlace], *, excluded: bool) -> str:
    return _joined((place_words(place) for place in places if place.excluded == excluded), "; ")


def _taxa(taxa: Sequence[VersionTaxon], *, excluded: bool) -> str:
    return _joined(
        f"{taxon.name} ({taxon.kingdom})" if taxon.kingdom else taxon.name
        for taxon in taxa
        if taxon.excluded == excluded
    )


def _people(version: PaperVersion) -> str:
    named = _joined(person.name for person in version.versionpersons.all())
    assistants = version.get_assistants_display() if version.assistants else ""
    return f"{named}. {assistants}" if named and assistants else named


def season_words(season: VersionSeason) -> str:
    """``1 March to 31 August``."""
    ends = ((season.from_month, season.from_day), (season.to_month, season.to_day))
    first, last = (date_format(date(_A_LEAP_YEAR, month, min(day, 31)), "j F") for month, day in ends)
    return _("%(first)s to %(last)s of every year") % {"first": first, "last": last}


def cap_words(cap: VersionCap) -> str:
    """``at most 200 of each species of Odonata, under the paper``."""
    what = ngettext("at most %(n)s individual", "at most %(n)s individuals", cap.limit) % {"n": intcomma(cap.limit)}
    each = _("of each species") if cap.each == VersionCap.Each.SPECIES else _("all together")
    of = f" {_('of')} {cap.taxon}" if cap.taxon else ""
    return f"{what}{of}, {each}, {cap.get_per_display()}"


def conditions(version: PaperVersion) -> list[Condition]:
    """Conditions in the words of the paper."""
    return list(version.conditions.all())


def asks_words(condition: Condition) -> list[str]:
    """What a condition asks for: ``Notice 7 days before the first day``, ``A report each year by 31 January``."""
    found = []
    if condition.notice_days == 0:
        found.append(_("Notice by the first day"))
    elif condition.notice_days is not None:
        found.append(
            ngettext("Notice %(n)s day before the first day", "Notice %(n)s days before the first day",
                     condition.notice_days) % {"n": condition.notice_days}
        )  # fmt: skip
    if condition.report_by:
        month, day = map(int, condition.report_by.split("-"))
        found.append(_("A report each year by %(day)s") % {"day": date_format(date(_A_LEAP_YEAR, month, day), "j F")})
    return found


def _joined(words: Iterable[str], mark: str = ", ") -> str:
    return mark.join(words)
