"""What a version of a paper allows and forbids, in plain words of the language of the pack."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from governance.papers.models import Paper, PaperVersion, VersionCap, VersionPlace, VersionSeason, VersionTaxon
from governance.plans.pack.grid import decimal_degrees
from governance.plans.pack.language import PackLanguage
from governance.plans.pack.places import Outlines, StopPlace, distance_m, place_shape


@dataclass(frozen=True)
class Term:
    """One line. page: where it stands in the paper, "" where that was not noted."""

    about: str
    allowed: tuple[str, ...]
    forbidden: tuple[str, ...] = ()
    page: str = ""
    is_taxon: bool = False


@dataclass(frozen=True)
class TermWriter:
    """Writes the terms of versions for one stop. place: where the stop is, for the distance to excluded areas."""

    words: PackLanguage
    outlines: Outlines
    place: StopPlace | None
    days: tuple[date | None, date | None]

    def terms(self, paper: Paper, version: PaperVersion) -> list[Term]:
        """All lines of a version; what it does not limit is said to be without limit. Reads prefetched rows."""
        w, pages = self.words, {page.subject: str(page.page) for page in version.reading_pages.all()}
        places, taxa = list(version.versionplaces.all()), list(version.versiontaxons.all())
        no_limit = (w("no_limit"),)
        lines = [
            Term(w("valid"), (validity(version, w),), (), pages.get("valid", "")),
            Term(w("places"), self._included(paper, places), self._excluded(places), pages.get("places", "")),
            Term(w("taxa"), _taxa(taxa, excluded=False) or no_limit, _taxa(taxa, excluded=True), pages.get("taxa", ""),
                 is_taxon=bool(taxa)),
            *self._word_lines(version, pages),
            Term(w("people"), people(version, w), (), pages.get("people", "")),
        ]  # fmt: skip
        seasons = tuple(_season(season, w) for season in version.versionseasons.all())
        if seasons:
            lines.append(Term(w("seasons"), (), seasons, pages.get("seasons", "")))
        caps = tuple(cap_words(cap, w) for cap in version.versioncaps.all())
        lines.append(Term(w("numbers"), caps or no_limit, (), pages.get("caps", "")))
        return lines

    def _word_lines(self, version: PaperVersion, pages: dict[str, str]) -> Iterable[Term]:
        rows = list(version.versionwords.all())
        for subject in ("methods", "sexes", "life_stages"):
            allowed = tuple(row.word for row in rows if row.subject == subject and not row.excluded)
            refused = tuple(row.word for row in rows if row.subject == subject and row.excluded)
            if allowed or refused or subject == "methods":
                page = pages.get("methods" if subject == "methods" else "stages", "")
                no_limit = () if refused and not allowed else (self.words("no_limit"),)
                yield Term(self.words(subject), allowed or no_limit, refused, page)

    def _included(self, paper: Paper, places: Sequence[VersionPlace]) -> tuple[str, ...]:
        included = tuple(self._place(place) for place in places if not place.excluded)
        if included:
            return included
        country = paper.jurisdiction[:2]
        if not country:
            return (self.words("place_none_at_all"),)
        return (self.words("places_none", country=self.words.country(country)),)

    def _excluded(self, places: Sequence[VersionPlace]) -> tuple[str, ...]:
        return tuple(f"{self._place(place)}: {self._away(place)}".removesuffix(": ")
                     for place in places if place.excluded)  # fmt: skip

    def _place(self, place: VersionPlace) -> str:
        """Its name, and its area if it has one of its own."""
        w = self.words
        name = w.country(place.country) if place.country else place.subdivision or place.site
        area = w("mapped") if place.geojson else ""
        if place.radius_m is not None and place.longitude_deg is not None and place.latitude_deg is not None:
            area = w("around", radius=w.distance(place.radius_m),
                     place=decimal_degrees(place.longitude_deg, place.latitude_deg))  # fmt: skip
        text = f"{name} ({area})" if name and area else name or area
        return f"{text}, {w('error', error=w.distance(place.boundary_error_m))}" if place.boundary_error_m else text

    def _away(self, place: VersionPlace) -> str:
        """How far the edge of an excluded area is; "" where it is not mapped or the stop has no place."""
        first, last = self.days
        if self.place is None or first is None or last is None:
            return ""
        area = place_shape(place, self.outlines, first, last)
        if area is None:
            return ""
        metres = distance_m(self.place, area)
        return self.words("keep_out", distance=self.words.distance(metres)) if metres else self.words("keep_out_inside")


def validity(version: PaperVersion, w: PackLanguage) -> str:
    """From when to when."""
    first, last = version.in_force_from, version.in_force_to
    if first and last:
        return w("both_days", span=w.span(first, last))
    if first:
        return w("valid_open", first=w.day(first))
    return w("valid_until", last=w.day(last)) if last else w("valid_unknown")


def people(version: PaperVersion, w: PackLanguage) -> tuple[str, ...]:
    """Who is named, and whether others may help; no limit if nobody is named."""
    named = tuple(person.name for person in version.versionpersons.all())
    if not named:
        return (w("no_limit"),)
    rule = w.of("assistants", version.assistants) if version.assistants else w("assistants_unsaid")
    return *named, rule


def cap_words(cap: VersionCap, w: PackLanguage) -> str:
    """The limit, of what, how it is counted."""
    what = w("cap", limit=cap.limit, taxon=cap.taxon) if cap.taxon else w("cap_all", limit=cap.limit)
    each = w("each_species") if cap.each == VersionCap.Each.SPECIES else w("each_together")
    return f"{what}, {each}, {w(f'per_{cap.per}')}"


def _season(season: VersionSeason, w: PackLanguage) -> str:
    return w("season", first=w.day_of_year(season.from_month, season.from_day),
             last=w.day_of_year(season.to_month, season.to_day))  # fmt: skip


def _taxa(taxa: Sequence[VersionTaxon], *, excluded: bool) -> tuple[str, ...]:
    return tuple(
        f"{taxon.name} ({taxon.kingdom})" if taxon.kingdom else taxon.name
        for taxon in taxa
        if taxon.excluded == excluded
    )
