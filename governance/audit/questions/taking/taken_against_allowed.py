"""What was taken in a year, held against what the papers in force in it allow."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np
from django.db.models import Count, Prefetch, Q, Sum
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Specimen
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import paper_link
from governance.audit.questions.taking.counted import (
    ASKED_ABOUT,
    STATE_WORDS,
    LinkedMaterial,
    limit_words,
    linked_material,
)
from governance.audit.questions.wording import individuals_words, papers_words, specimens_words
from governance.audit.resolving import country_of, paper_of, year_of
from governance.engine.cap_totals import BREACHED, POSSIBLE, CapTotal
from governance.engine.tables import BoolColumn, DateReading, IntColumn, Layer
from governance.papers.lifetimes import in_force_between
from governance.papers.models import Paper, PaperKind, PaperStatus, PaperVersion, VersionCap
from governance.papers.restriction import opens

_YEARLY: Final = "year"

_COLUMNS: Final = (
    Column("paper", gettext_lazy("Paper")), Column("limit", gettext_lazy("Allowed")),
    Column("which", gettext_lazy("Fullest")), Column("allowed", gettext_lazy("Limit"), ColumnKind.NUMBER),
    Column("least", gettext_lazy("Taken in the year, at least"), ColumnKind.NUMBER),
    Column("most", gettext_lazy("Taken in the year, at most"), ColumnKind.NUMBER),
    Column("all_least", gettext_lazy("Counted in all, at least"), ColumnKind.NUMBER),
    Column("all_most", gettext_lazy("Counted in all, at most"), ColumnKind.NUMBER),
    Column("left", gettext_lazy("Certainly left"), ColumnKind.NUMBER), Column("state", gettext_lazy("State")),
)  # fmt: skip


@dataclass(frozen=True)
class _Use:
    """A limit of a paper in the year. material: in which it was counted."""

    paper: Paper
    total: CapTotal
    material: LinkedMaterial

    @property
    def key(self) -> str:
        cap = self.total.cap
        taxon = cap.taxon.name if cap.taxon else ""
        each = "each" if cap.each_species else "all"
        return f"paper:{self.paper.pk}:cap:{taxon}:{each}:{cap.per}:{cap.limit}"

    @property
    def left(self) -> int | None:
        """What certainly remains; None where that cannot be told."""
        _least, most = self.total.together
        return None if most is None else max(0, self.total.cap.limit - most)


def answer(asked: Asked) -> Answer:
    """About forty queries for each layer whose day counts, and one for each 500 specimens under papers with limits."""
    year = year_of(asked) if asked["year"] else asked.on.year
    papers = _in_force(year, paper_of(asked) if asked["paper"] else None, country_of(asked))
    capped = [paper for paper in papers if _caps(paper)]
    readable = [paper for paper in capped if opens(paper, asked.reader)]
    uses = _uses(readable, year)
    closed = len(capped) - len(readable)
    taken, undated = _taken(year) if not asked["paper"] and not asked["country"] else ("", 0)
    return Answer(
        sentence=_sentence(uses, year, taken),
        columns=_COLUMNS,
        rows=ListedRows(_rows(uses)),
        missing=_missing(uses, undated),
        kept_back=(_("The limits of %(papers)s that are restricted.") % {"papers": papers_words(closed)},)
        if closed else (),
        notes=_notes(len(papers) - len(capped), year),
        total=len([use for use in uses if use.total.state != "safe"]),
    )  # fmt: skip


def _in_force(year: int, only: Paper | None, country: str) -> list[Paper]:
    """Papers that were in force on some day of the year: three queries."""
    turns = Prefetch("statuses", PaperStatus.objects.order_by("from_on", "pk"))
    versions = PaperVersion.objects.order_by("pk").prefetch_related(
        Prefetch("versioncaps", VersionCap.objects.order_by("position", "pk"))
    )
    rows = Paper.objects.order_by("reference").prefetch_related(turns, Prefetch("versions", versions))
    if only is not None:
        rows = rows.filter(pk=only.pk)
    if country:
        rows = rows.filter(jurisdiction__startswith=country)
    first, last = date(year, 1, 1), date(year, 12, 31)
    return [paper for paper in rows if in_force_between(paper, first, last)]


def _caps(paper: Paper) -> bool:
    return any(version.versioncaps.all() for version in paper.versions.all())


def _uses(papers: Sequence[Paper], year: int) -> list[_Use]:
    """The limits that something of the year counts under."""
    by_pk = {paper.pk: paper for paper in papers}
    found: list[_Use] = []
    for days in sorted({_days_of(paper) for paper in papers}):
        keys = [paper.pk for paper in papers if _days_of(paper) == days]
        found += _uses_of(linked_material(keys), days, year, by_pk)
    return sorted(found, key=lambda use: (use.paper.reference, use.key))


def _uses_of(material: LinkedMaterial, days: str, year: int, papers: dict[int, Paper]) -> list[_Use]:
    """Limits for a year are counted in what may be of that year alone; all others in everything under the paper."""
    touched = _touches(material, days, year)
    whole = material.totals(np.where(touched, ASKED_ABOUT, 0).astype(np.int32))
    found = [_Use(papers[material.paper_of(one)], one, material) for one in whole if one.cap.per != _YEARLY]
    if len(found) < len(whole):
        own = material.among(np.flatnonzero(touched))
        yearly = own.totals(np.full(len(own.ids), ASKED_ABOUT, np.int32))
        found += [_Use(papers[own.paper_of(one)], one, own) for one in yearly if one.cap.per == _YEARLY]
    return found


def _days_of(paper: Paper) -> str:
    """The column of the days that a limit of the paper counts by (the contract of verdicts, section 2)."""
    layer = min(paper.layer_list)
    if layer == Layer.CITES:
        return "imported" if paper.kind == PaperKind.CITES_IMPORT_PERMIT else "exported"
    return {Layer.EXPORT: "exported", Layer.IMPORT: "imported", Layer.TRANSFER: "transferred"}.get(layer, "date")


def _touches(material: LinkedMaterial, days: str, year: int) -> BoolColumn:
    """Specimens whose day is, or may be, in the year; one without a day may be of any."""
    dates = material.material.dates
    row: IntColumn = getattr(material.material.specimens, days)
    known = np.isin(dates.reading, (DateReading.RUN, DateReading.VAGUE))
    first, last = date(year, 1, 1).toordinal(), date(year, 12, 31).toordinal()
    inside = ~known | ((dates.earliest <= last) & (dates.latest >= first))
    return np.asarray(inside[row], bool)


def _rows(uses: Sequence[_Use]) -> list[Row]:
    """One query: the specimens that tell which year, site, event or species is the fullest."""
    keys = {int(use.material.ids[use.total.specimen]) for use in uses if _is_split(use)}
    examples = Specimen.objects.select_related("event__site", "name").in_bulk(keys)
    rows = []
    for use in uses:
        total = use.total
        least, most = total.low[ASKED_ABOUT], total.high[ASKED_ABOUT]
        which = _which(use, examples) if _is_split(use) else ""
        cells = (
            paper_link(use.paper), limit_words(total.cap), which, total.cap.limit, least, most, *total.together,
            use.left, str(STATE_WORDS[total.state]),
        )  # fmt: skip
        rows.append(Row(use.key, cells))
    return rows


def _is_split(use: _Use) -> bool:
    return use.total.cap.per in ("site", "event") or use.total.cap.each_species


def _which(use: _Use, examples: dict[int, Specimen]) -> str:
    """The site or event, and the species, for which the limit fares worst."""
    example = examples[int(use.material.ids[use.total.specimen])]
    event, cap = example.event, use.total.cap
    words = []
    if cap.per == "site":
        words.append(event.site.code if event.site else event.location_id or event.site_name or _("no site"))
    if cap.per == "event":
        words.append(event.number or f"#{event.pk}")
    if cap.each_species:
        words.append(example.name.shown)
    return ", ".join(words)


def _taken(year: int) -> tuple[str, int]:
    """ "1,204 individuals": at least what was taken on days that all lie in the year, at most what may have been; parts
    of specimens are no individuals. Beside it how many specimens have no full date that places them in a year."""
    first, last = Q(event__earliest_on__gte=date(year, 1, 1)), Q(event__latest_on__lte=date(year, 12, 31))
    whole = Specimen.objects.filter(parent__isnull=True).order_by()
    undated = whole.filter(Q(event__earliest_on=None) | Q(event__latest_on=None)).count()
    rows = whole.filter(event__earliest_on__lte=date(year, 12, 31), event__latest_on__gte=date(year, 1, 1))
    found = rows.aggregate(
        n=Count("pk"), low=Sum("count_low", filter=first & last), high=Sum("count_high"),
        open=Count("pk", filter=Q(count_high=None)),
    )  # fmt: skip
    if not found["n"]:
        words = _("Nothing on file is known to have been taken in %(year)d.")
        return words % {"year": year}, undated
    low, high = found["low"] or 0, None if found["open"] else found["high"]
    words = ngettext(
        "%(individuals)s individual on file was taken in %(year)d (%(specimens)s).",
        "%(individuals)s individuals on file were taken in %(year)d (%(specimens)s).", low if low == high else 2,
    )  # fmt: skip
    told = individuals_words(low, high)
    return words % {
        "individuals": told[:1].upper() + told[1:], "year": year, "specimens": specimens_words(found["n"]),
    }, undated  # fmt: skip


def _sentence(uses: Sequence[_Use], year: int, taken: str) -> str:
    before = f"{taken} " if taken else ""
    if not uses:
        return before + _("No limit of a paper counts anything of %(year)d.") % {"year": year}
    above, possible = (sum(use.total.state == state for use in uses) for state in (BREACHED, POSSIBLE))
    words = ngettext(
        "%(n)d limit of %(papers)s counts something of %(year)d: %(how)s.",
        "%(n)d limits of %(papers)s count something of %(year)d: %(how)s.", len(uses),
    )  # fmt: skip
    within = len(uses) - above - possible
    told = [
        _("%(n)d %(state)s") % {"n": n, "state": STATE_WORDS[state]}
        for n, state in ((above, BREACHED), (possible, POSSIBLE), (within, "safe"))
        if n
    ]
    papers = papers_words(len({use.paper.pk for use in uses}))
    return before + words % {"n": len(uses), "papers": papers, "year": year, "how": in_a_list(told)}


def _missing(uses: Collection[_Use], undated: int) -> tuple[Missing, ...]:
    open_ = sum(use.total.state == POSSIBLE for use in uses)
    told = (
        (_("Exact counts, determinations and days: without them these limits cannot be told."), open_),
        (_("The day of collecting: of these specimens it is not known in which year they were taken."), undated),
    )
    return tuple(Missing(words, count) for words, count in told if count)


def _notes(without: int, year: int) -> tuple[str, ...]:
    notes = [
        _("Counted by the engine of the verdicts: at least, what certainly counts; at most, what may (section 6)."),
        _("A limit for a year counts that year; any other counts all that was taken under the paper. Of a limit for "
          "each site, event or species, the fullest one is told."),
    ]  # fmt: skip
    if without:
        words = ngettext(
            "%(papers)s in force in %(year)d sets no limit on numbers.",
            "%(papers)s in force in %(year)d set no limit on numbers.", without,
        )  # fmt: skip
        notes.append(words % {"papers": papers_words(without), "year": year})
    return tuple(notes)


TAKEN_AGAINST_ALLOWED: Final = Question(
    key="taken-against-allowed",
    group=Group.TAKING,
    title=gettext_lazy("How much was taken in a year, against what was allowed?"),
    shows=gettext_lazy(
        "For each limit of the papers in force in the year: what was taken in it, what counts against the limit in "
        "all, at least and at most, and what is certainly left."
    ),
    answer=answer,
    parameters=(
        Parameter("year", ParameterKind.YEAR, gettext_lazy("Year"),
                  help=gettext_lazy("Blank: the year of the day that is asked for.")),
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"), help=gettext_lazy("Blank: all papers.")),
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country of the paper"),
                  help=gettext_lazy("Blank: all countries.")),
    ),
)  # fmt: skip
