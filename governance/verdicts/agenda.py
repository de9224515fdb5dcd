"""The agenda of Today: what needs a person, dated things first and soonest, then what can be done on any day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.jurisdictions.codes import country_name
from governance.papers.models import Paper
from governance.verdicts.queries.today import Arrival, CountryTally, EndingPaper, Upkeep

SOON_DAYS = 3
_MOST_OF_A_KIND = 4


@dataclass(frozen=True)
class Item:
    """One line. on, days: None for what has no day; then amount and unit say how much it is."""

    kind: str
    what: str
    note: str
    href: str
    deed: str
    on: date | None = None
    days: int | None = None
    amount: str = ""
    unit: str = ""
    is_soon: bool = field(default=False)

    @property
    def days_left(self) -> str:
        if self.days == 0:
            return _("today")
        return ngettext("in %(n)d day", "in %(n)d days", self.days or 0) % {"n": self.days}


def agenda(
    *, ending: Sequence[EndingPaper], arrivals: Sequence[Arrival], unread: Sequence[Paper],
    countries: Sequence[CountryTally], unchecked: int, waiting: Upkeep,
) -> list[Item]:  # fmt: skip
    """All lines, in the order of the page."""
    dated = [*(_ending(paper) for paper in ending)]
    return [
        *sorted(dated, key=lambda item: item.on or date.max),
        *_files(waiting),
        *_verdicts(unchecked, waiting),
        *(_arrival(arrival) for arrival in arrivals[:_MOST_OF_A_KIND]),
        *_unread(unread),
        *_sheets(countries),
    ]


def _ending(ending: EndingPaper) -> Item:
    paper = ending.paper
    note = ", ".join(filter(None, (str(paper.get_kind_display()), paper.issuer)))
    return Item(
        _("Paper"), _("%(paper)s ends") % {"paper": paper.reference}, note, reverse("papers:paper", args=[paper.pk]),
        _("See the paper"), ending.ends_on, ending.days, is_soon=ending.days <= SOON_DAYS,
    )  # fmt: skip


def _files(waiting: Upkeep) -> Iterator[Item]:
    for batch in waiting.batches[:_MOST_OF_A_KIND]:
        yield Item(
            _("File"), _("%(file)s waits to be brought in") % {"file": batch.file_name},
            _("Its columns are to be looked at, then its rows."), reverse("intake:batch", args=[batch.pk]),
            _("Go on"), amount="1", unit=_("file"),
        )  # fmt: skip


def _verdicts(unchecked: int, waiting: Upkeep) -> Iterator[Item]:
    if waiting.run is not None:
        yield Item(
            _("Verdicts"), _("An assessment goes on"), waiting.run.scope, reverse("verdicts:runs"), _("See how far"),
            amount=number_format(waiting.run.progress, force_grouping=True), unit=_("written"),
        )  # fmt: skip
    if unchecked:
        yield Item(
            _("Specimens"), _("Specimens that are not yet checked"), _("They have no verdict, and count as no one’s."),
            f"{reverse('verdicts:specimens')}?verdict=unchecked", _("Look"), **_count(unchecked, _("specimens")),
        )  # fmt: skip
    if waiting.touches and waiting.run is None:
        yield Item(
            _("Verdicts"), _("Verdicts wait to be brought up to date"),
            _("Facts or papers changed since the last assessment."), reverse("verdicts:runs"), _("Assess"),
            **_count(waiting.touches, _("changes")),
        )  # fmt: skip


def _count(amount: int, unit: str) -> dict[str, str]:
    return {"amount": number_format(amount, force_grouping=True), "unit": unit}


def _arrival(arrival: Arrival) -> Item:
    accession = arrival.accession
    when = _("received %(day)s") % {"day": accession.received_on.isoformat()} if accession.received_on else ""
    return Item(
        _("Arrival"), _("%(accession)s has a layer without a paper on file") % {"accession": accession.number},
        ", ".join(filter(None, (accession.title, when))),
        f"{reverse('verdicts:specimens')}?accession={accession.pk}&verdict=missing", _("Look"),
        **_count(arrival.specimens, ngettext("specimen", "specimens", arrival.specimens)),
    )  # fmt: skip


def _unread(papers: Sequence[Paper]) -> Iterator[Item]:
    for paper in papers[:_MOST_OF_A_KIND]:
        yield Item(
            _("Paper"), _("%(paper)s is on file but not read yet") % {"paper": paper.reference},
            _("Until its terms are entered, what relies on it cannot be told."),
            reverse("papers:paper", args=[paper.pk]), _("Read it"), amount="1", unit=_("paper"),
        )  # fmt: skip
    more = len(papers) - _MOST_OF_A_KIND
    if more > 0:
        yield Item(
            _("Paper"), ngettext("%(n)d more paper is not read yet", "%(n)d more papers are not read yet", more)
            % {"n": more}, "", reverse("papers:papers"), _("See papers"), **_count(more, _("papers")),
        )  # fmt: skip


def _sheets(countries: Sequence[CountryTally]) -> Iterator[Item]:
    without = [country for country in countries if not country.has_sheet and country.code]
    for country in without[:_MOST_OF_A_KIND]:
        yield Item(
            _("Country"), _("%(country)s has no country sheet") % {"country": country_name(country.code)},
            _("What it requires is not written down, so nothing of it is taken as covered without a paper."),
            reverse("verdicts:countries"), _("Write it"),
            **_count(country.specimens, ngettext("specimen", "specimens", country.specimens)),
        )  # fmt: skip
