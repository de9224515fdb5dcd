"""What a specimen's verdicts rest on, and every change of it: facts, papers with their links, decisions, rules.

Only what is recorded is told. Whether a change made the verdict another one, the register does not work out again; it
tells what changed between two assessments, and where nothing is recorded, that it is not known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _

from accessions.material.models import Delivery, Determination, SamplingEvent, Specimen
from accessions.names.models import TaxonList
from accessions.people.changes import Change, FieldChange, changes_between
from accessions.sites.models import Site, SiteBoundary
from governance.audit.queries.gates import open_entries
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.papers.restriction import opens
from governance.papers.targets import target_words
from governance.verdicts.linked import Bearings
from governance.verdicts.models import (
    CountrySheet,
    HouseRuleSet,
    LayerDecision,
    OutcomePaper,
    Result,
    Search,
    SheetRule,
)

MOST_OF_ONE: Final = 300
"""The newest entries of one sort of record that are looked at."""

JUDGED: Final = frozenset({
    "name", "event", "accession", "part", "delivery", "parent", "kind", "individual_count", "count_range", "count_low",
    "count_high", "sex", "life_stage", "organism_quantity", "unit",
})  # fmt: skip
"""Columns of a specimen that verdicts rest on; a change of its remarks alone changes none."""

TERMS: Final = (VersionPlace, VersionTaxon, VersionWord, VersionPerson, VersionSeason, VersionCap)


@dataclass(frozen=True)
class Cause:
    """Something that changed. what: which record, in words. who, why and fields are blank where it is not open to the
    reader, which ``is_open`` says. paper: key of the paper that it belongs to, if any. model: the sort of record."""

    at: datetime
    what: str
    did: str
    by: str = ""
    why: str = ""
    fields: tuple[FieldChange, ...] = ()
    address: str = ""
    is_open: bool = True
    paper: int | None = None
    model: str = ""


@dataclass(frozen=True)
class Rests:
    """The records that the verdicts of a specimen rest or rested on, by key."""

    specimen: int
    accessions: frozenset[int]
    events: frozenset[int]
    deliveries: frozenset[int]
    sites: frozenset[int]
    countries: frozenset[str]
    papers: Mapping[int, Paper]
    paper_of_version: Mapping[int, int]
    links: Sequence[PaperLink]


def rests_of(specimen: Specimen) -> Rests:
    """What the specimen is and ever was of, and the papers that ever met it by a link or stand in one of its rulings.
    About a dozen queries."""
    ever = Bearings.ever([specimen.pk], [], [], [])
    events = list(SamplingEvent.history.filter(id__in=ever.events).values_list("site_id", "country"))
    events.append((specimen.event.site_id, specimen.event.country))
    sites = frozenset(site for site, _country in events if site is not None)
    met = (
        Q(specimen=specimen) | Q(accession__in=ever.accessions) | Q(part__in=ever.parts) | Q(event__in=ever.events)
        | Q(site__in=sites) | Q(all_accessions=True)
    )  # fmt: skip
    links = list(PaperLink.objects.filter(met).select_related(
        "paper", "part__accession", "accession", "site", "event", "specimen", "linked_by", "unlinked_by"
    ))  # fmt: skip
    rulings = Result.objects.filter(specimen=specimen).values("ruling")
    judged = OutcomePaper.objects.filter(outcome__rulings__ruling__in=rulings).values_list("paper", flat=True)
    papers = Paper.objects.in_bulk({link.paper_id for link in links} | set(judged))
    versions = PaperVersion.history.filter(paper_id__in=papers).values_list("id", "paper_id").distinct()
    deliveries = Specimen.history.filter(id=specimen.pk).values_list("delivery_id", flat=True).distinct()
    return Rests(
        specimen.pk, ever.accessions | {specimen.accession_id}, ever.events | {specimen.event_id},
        frozenset({*deliveries, specimen.delivery_id} - {None}), sites, frozenset(c for _site, c in events) | {""},
        papers, dict(versions), links,
    )  # fmt: skip


def causes_of(rests: Rests, since: datetime, reader: Any) -> list[Cause]:
    """Every change of what the verdicts rest on after a moment, newest first. One query for each sort of record, and
    some more for those that changed."""
    found = [*_of_links(rests, reader)]
    for source in _sources(rests):
        found += source.causes(since, reader)
    return sorted((cause for cause in found if cause.at > since), key=lambda cause: cause.at, reverse=True)


def _of_links(rests: Rests, reader: Any) -> Iterator[Cause]:
    for link in rests.links:
        what = _("Link of %(paper)s to %(target)s") % {"paper": link.paper.reference, "target": target_words(link)}
        is_open, address = opens(link.paper, reader), _paper_page(link.paper_id)
        for at, by, why, did in (
            (link.linked_at, link.linked_by, link.why, _("made")),
            (link.unlinked_at, link.unlinked_by, link.unlinked_why, _("taken off")),
        ):
            if at is not None and is_open:
                who = by.shown_name if by else _("the register")
                yield Cause(at, what, did, who, why, (), address, is_open, link.paper_id)
            elif at is not None:
                yield Cause(at, what, did, address=address, is_open=False, paper=link.paper_id)


def _paper_page(paper: int) -> str:
    return reverse("papers:paper", args=[paper])


@dataclass(frozen=True)
class _Source:
    """One sort of record. where: which of its history. paper_of: from an entry to the paper it belongs to."""

    model: type[models.Model]
    where: Mapping[str, Any]
    paper_of: Callable[[Any], Paper | None] = lambda _entry: None
    page: Callable[[Any], str] | None = None

    def causes(self, since: datetime, reader: Any) -> Iterator[Cause]:
        history = self.model.history  # type: ignore[attr-defined]
        rows = list(history.filter(**self.where).select_related("history_user")
                    .order_by("-history_date", "-history_id")[:MOST_OF_ONE])  # fmt: skip
        pairs = [pair for pair in _with_before(rows) if pair[0].history_date > since and self._counts(*pair)]
        opened = open_entries(self.model, [row for row, _before in pairs], reader) if pairs else set()
        called = str(self.model._meta.verbose_name)
        for (row, _before), change in zip(pairs, changes_between(self.model, pairs, called), strict=True):
            yield self._cause(row, change, row.history_id in opened)

    def _counts(self, row: Any, before: Any) -> bool:
        """Whether it changed something that verdicts rest on."""
        if self.model is not Specimen or before is None or row.history_type != "~":
            return True
        columns = (self.model._meta.get_field(name).attname for name in JUDGED)  # type: ignore[union-attr]
        return any(getattr(row, name) != getattr(before, name) for name in columns)

    def _cause(self, row: Any, change: Change, is_open: bool) -> Cause:
        paper = self.paper_of(row)
        what = change.what if paper is None else _called(self.model, paper)
        address = self.page(row) if self.page else reverse("audit:history", args=[self.model._meta.label_lower, row.id])
        key = paper.pk if paper else None
        if not is_open:
            return Cause(row.history_date, what, change.did, address=address, is_open=False, paper=key)
        return Cause(row.history_date, what, change.did, change.by, change.why, change.fields, address, True, key,
                     self.model.__name__)  # fmt: skip


def _called(model: type[models.Model], paper: Paper) -> str:
    if model is Paper:
        return _("Paper %(reference)s") % {"reference": paper.reference}
    parts = {PaperVersion: _("version"), PaperStatus: _("standing")}
    words = {"reference": paper.reference, "what": parts.get(model) or str(model._meta.verbose_name)}
    return _("Paper %(reference)s, %(what)s") % words


def _with_before(rows: Sequence[Any]) -> list[tuple[Any, Any]]:
    """Entries of several records, newest first, each with the one before it of the same record."""
    newer: dict[Any, int] = {}
    befores: list[Any] = [None] * len(rows)
    for place, row in enumerate(rows):
        if row.id in newer:
            befores[newer[row.id]] = row
        newer[row.id] = place
    return list(zip(rows, befores, strict=True))


def _sources(rests: Rests) -> Iterator[_Source]:
    """Facts, then decisions and searches, then papers, then rules."""
    yield _Source(Specimen, {"id": rests.specimen})
    yield _Source(Determination, {"specimen_id": rests.specimen})
    yield _Source(SamplingEvent, {"id__in": rests.events})
    yield _Source(Delivery, {"id__in": rests.deliveries})
    yield _Source(Site, {"id__in": rests.sites})
    yield _Source(SiteBoundary, {"site_id__in": rests.sites})
    yield _Source(TaxonList, {})
    for model in (Search, LayerDecision):
        yield _Source(model, {"accession_id__in": rests.accessions})
    yield from _papers(rests)
    yield _Source(CountrySheet, {"country__in": rests.countries})
    sheets = CountrySheet.history.filter(country__in=rests.countries).values("id")
    yield _Source(SheetRule, {"sheet_id__in": sheets})
    yield _Source(HouseRuleSet, {}, page=lambda _row: reverse("verdicts:house-rules"))


def _papers(rests: Rests) -> Iterator[_Source]:
    def by_version(row: Any) -> Paper | None:
        return rests.papers.get(rests.paper_of_version.get(row.version_id, 0))

    def by_paper(row: Any) -> Paper | None:
        return rests.papers.get(row.paper_id)

    yield _Source(Paper, {"id__in": rests.papers.keys()}, lambda row: rests.papers.get(row.id), _page_of_id)
    for model in (PaperVersion, PaperStatus):
        yield _Source(model, {"paper_id__in": rests.papers.keys()}, by_paper, lambda row: _paper_page(row.paper_id))
    for term in TERMS:
        where = {"version_id__in": rests.paper_of_version.keys()}
        yield _Source(term, where, by_version, lambda row: _paper_page(rests.paper_of_version[row.version_id]))


def _page_of_id(row: Any) -> str:
    return _paper_page(row.id)
