"""What issued reports hold a specimen by, asked before it is removed from the register.

Some reports name what they count, row by row, others give numbers alone. So two things are asked: whether a frozen row
names it, and whether it belongs to what the report is about. Where that is not certain, it counts as in the way. A
report that was issued before the specimen was entered knew nothing of it, and one that was withdrawn claims nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _

from accessions.material.bonds import Bond, InTheWay, Keys
from accessions.material.models import SamplingEvent, Specimen
from accessions.people.bulk import among
from accessions.sites.models import SiteTenure
from governance.duties.queries.paper_material import specimens_under
from governance.reports.composing.written_sites import written_sites
from governance.reports.models import Report, ReportTable
from governance.reports.queries.stored import as_data
from governance.usedesk.queries.material import of_country, with_taken

_NAMING: Final = frozenset({"specimen", "taken_from", "product"})
"""Columns of tables that hold numbers of specimens, several of them with a bar between."""


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
    """By report, the specimens that belong to what it is about, as the register stands."""
    found: dict[int, set[int]] = defaultdict(set)
    under = specimens_under({report.paper_id for report in reports if report.paper_id is not None})
    for report in reports:
        if report.paper_id is not None:
            found[report.pk] |= keys & with_taken(under[report.paper_id])
        elif report.agent_id is not None:
            found[report.pk] |= _of_sites(report.agent_id, keys)
        elif report.accession_id is not None:
            found[report.pk] |= _where(Q(accession=report.accession_id), keys)
        else:  # of a country: what is of no known country may be meant, too
            own = _where(Q(event__country__in=["", report.country]), keys)
            found[report.pk] |= own | (keys & set(of_country(report.country).taken))
    return found


def _where(condition: Q, keys: Collection[int]) -> set[int]:
    return set(Specimen.objects.filter(condition, among("pk", keys)).order_by().values_list("pk", flat=True))


def _of_sites(agent: int, keys: Collection[int]) -> set[int]:
    """What stands at sites that somebody ever held, or may be meant by the words of a record."""
    sites = list(SiteTenure.objects.filter(agent=agent).order_by().values_list("site", flat=True).distinct())
    written, _words = written_sites(sites)
    at_sites = SamplingEvent.objects.filter(site__in=sites).order_by()
    return _where(Q(event__in=at_sites.values("pk")) | Q(event__in=written.values("pk")), keys)


BOND: Final = Bond("reports", _in_the_way)
