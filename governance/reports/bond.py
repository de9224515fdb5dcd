"""What issued reports hold a specimen by, asked before it is removed from the register.

Some reports name what they count, row by row, others give numbers alone. So two things are asked: whether a frozen row
names it, and whether it belongs to what the report is about, or did when it was issued: it may stand in another
accession since, or the paper may be taken off. Where that is not certain, it counts as in the way. A report that was
issued before the specimen was entered knew nothing of it, and one that was withdrawn claims nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any, Final

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.material.bonds import Bond, InTheWay, Keys, LetGoError
from accessions.material.models import SamplingEvent, Specimen
from accessions.people.bulk import among
from accessions.sites.models import SiteTenure
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import PaperLink
from governance.papers.queries import Links, links_among
from governance.reports.actions.work import goes_on
from governance.reports.composing.written_sites import written_sites
from governance.reports.models import Report, ReportTable
from governance.reports.queries.stored import as_data
from governance.usedesk.queries.material import of_country, with_taken
from governance.verdicts.linked import Reach

_NAMING: Final = frozenset({"specimen", "taken_from", "product"})
"""Columns of tables that hold numbers of specimens, several of them with a bar between."""

_LONGEST_ISSUING: Final = timedelta(days=1)
"""What was so long before a report was issued was no more when its figures were counted."""

_ALWAYS: Final = datetime.min.replace(tzinfo=UTC)


@dataclass
class _Asked:
    """The specimens: since when each is in the register (None: not known, so always), and every number it ever had."""

    since: dict[int, datetime | None]
    called: dict[str, set[int]]

    @classmethod
    def of(cls, keys: Keys) -> _Asked:
        since: dict[int, datetime | None] = dict.fromkeys(keys)
        called: dict[str, set[int]] = defaultdict(set)
        for key in keys:
            called[f"#{key}"].add(key)
        entries = Specimen.history.filter(among("id", keys)).order_by("history_id")
        for key, number, at, kind in entries.values_list("id", "catalog_number", "history_date", "history_type"):
            if number:
                called[number].add(key)
            if kind == "+":
                since[key] = at
        return cls(since, called)

    @property
    def first(self) -> datetime | None:
        known = [at for at in self.since.values() if at is not None]
        return min(known) if len(known) == len(self.since) and known else None

    def was_there(self, key: int, report: Report) -> bool:
        since = self.since[key]
        return since is None or report.issued_at is None or since <= report.issued_at


@dataclass
class _Past:
    """What the specimens were of, as their histories say: each state with the moment at which it ended (None: it
    stands)."""

    facts: dict[int, list[tuple[datetime | None, int, int | None, int]]]
    places: dict[int, list[tuple[datetime | None, str, int | None]]]

    @classmethod
    def of(cls, keys: Keys) -> _Past:
        """Two queries."""
        facts = _states(Specimen, keys, "accession_id", "part_id", "event_id")
        events = {state[3] for states in facts.values() for state in states}
        return cls(facts, _states(SamplingEvent, events, "country", "site_id"))

    def keys(self, since: datetime, *, accessions: Collection[int] = (), parts: Collection[int] = (),
             events: Collection[int] = (), sites: Collection[int] = (), countries: Collection[str] = (),
             ) -> set[int]:  # fmt: skip
        """The specimens that were of one of these at a moment or later."""
        placed = {
            event for event, states in self.places.items() for ended, country, site in states
            if (ended is None or ended >= since) and (country in countries or site in sites)
        }.union(events)  # fmt: skip
        return {
            key for key, states in self.facts.items() for ended, accession, part, event in states
            if (ended is None or ended >= since) and (accession in accessions or part in parts or event in placed)
        }  # fmt: skip


def _states(model: Any, keys: Collection[int], *columns: str) -> dict[int, list[Any]]:
    rows = model.history.filter(among("id", keys)).order_by("history_id")
    found: dict[int, list[Any]] = defaultdict(list)
    for key, *state in rows.values_list("id", "history_date", *columns):
        found[key].append(tuple(state))
    return {
        key: [(after and after[0], *state[1:]) for state, after in pairwise([*states, None]) if state]
        for key, states in found.items()
    }  # fmt: skip


def _in_the_way(keys: Keys) -> Iterator[InTheWay]:
    asked = _Asked.of(keys)
    reports = list(_issued_since(asked.first))
    if not reports:
        return
    named, meant = _named(reports, asked.called), _meant(reports, frozenset(keys))
    for report in reports:
        address = reverse("reports:report", args=[report.pk])
        for key in sorted(named[report.pk] | meant[report.pk]):
            if asked.was_there(key, report):
                words = _("Issued report %(report)s names it. Withdraw the report first.") if key in named[report.pk] \
                    else _("Issued report %(report)s may have counted it. Withdraw the report first.")  # fmt: skip
                yield InTheWay(key, words % {"report": report.reference}, address)


def _issued_since(first: datetime | None) -> Iterable[Report]:
    found = Report.objects.filter(issued_at__isnull=False, withdrawn_at__isnull=True).defer("contents", "changed")
    return (found if first is None else found.filter(issued_at__gte=first)).order_by("reference")


def _named(reports: Collection[Report], called: Mapping[str, set[int]]) -> Mapping[int, set[int]]:
    """By report, the specimens that its frozen rows name. Each piece of a table is read once."""
    found: dict[int, set[int]] = defaultdict(set)
    for stored in ReportTable.objects.filter(report__in=reports, batch=""):
        table = as_data(stored)
        places = [place for place, column in enumerate(table.columns) if column.key in _NAMING]
        for row in table.rows if places else ():
            for place in places:
                for text in str(row[place] or "").split(" | "):
                    found[stored.report_id] |= called.get(text, set())
    return found


def _meant(reports: Collection[Report], keys: frozenset[int]) -> Mapping[int, set[int]]:
    """By report, the specimens that belong to what it is about, as the register stands or as it stood then."""
    found: dict[int, set[int]] = defaultdict(set)
    under = specimens_under({report.paper_id for report in reports if report.paper_id is not None})
    past = _Past.of(keys)
    for report in reports:
        since = report.issued_at - _LONGEST_ISSUING if report.issued_at else _ALWAYS
        if report.paper_id is not None:
            own = under[report.paper_id] | _under_then(report.paper_id, since, past, keys)
            found[report.pk] |= keys & with_taken(own)
        elif report.agent_id is not None:
            found[report.pk] |= _of_sites(report.agent_id, since, past, keys)
        elif report.accession_id is not None:
            now = _where(Q(accession=report.accession_id), keys)
            found[report.pk] |= now | past.keys(since, accessions={report.accession_id})
        else:  # of a country: what is of no known country may be meant, too
            now = _where(Q(event__country__in=["", report.country]), keys)
            then = past.keys(since, countries={"", report.country})
            found[report.pk] |= now | then | (keys & set(of_country(report.country).taken))
    return found


def _under_then(paper: int, since: datetime, past: _Past, keys: frozenset[int]) -> set[int]:
    """What a paper bore on by links that were taken off since, or while it was of something else."""
    rows = PaperLink.objects.filter(paper=paper).exclude(unlinked_at__lt=since)
    links = links_among(rows).get(paper, Links())
    now = Reach({paper: links}).specimens([paper])
    if now is None:
        return set(keys)
    return set(now.tolist()) | past.keys(
        since, accessions=links.accessions, parts=links.parts, events=links.events, sites=links.sites
    )


def _where(condition: Q, keys: Collection[int]) -> set[int]:
    return set(Specimen.objects.filter(condition, among("pk", keys)).order_by().values_list("pk", flat=True))


def _of_sites(agent: int, since: datetime, past: _Past, keys: Collection[int]) -> set[int]:
    """What stands at sites that somebody ever held or stood there then, or may be meant by the words of a record."""
    sites = list(SiteTenure.objects.filter(agent=agent).order_by().values_list("site", flat=True).distinct())
    written, _words = written_sites(sites)
    at_sites = SamplingEvent.objects.filter(site__in=sites).order_by()
    now = _where(Q(event__in=at_sites.values("pk")) | Q(event__in=written.values("pk")), keys)
    return now | past.keys(since, sites=sites)


def _let_go(keys: Keys, *, by: Any, why: str) -> None:
    """Nothing is deleted. A report that is being composed may count what goes, and be issued with it.

    Raises:
        LetGoError: one is.
    """
    working = Report.objects.filter(work__in=[Report.Work.WAITING, Report.Work.RUNNING]).defer("contents", "changed")
    now = timezone.now()
    if any(goes_on(report, now) for report in working):
        raise LetGoError(_("A report is being composed just now. Try again when it is done."))


BOND: Final = Bond("reports", _in_the_way, let_go=_let_go)
