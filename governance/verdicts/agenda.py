"""The agenda of Today: what needs a person, dated things first and soonest, then what can be done on any day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.queries.arrivals import Waiting
from governance.papers.countries import country_name
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.verdicts.queries.today import AHEAD_DAYS, Arrival, CountryTally, EndingPaper, LongWaits, Upkeep
from governance.verdicts.shown_days import short_day

SOON_DAYS = 3
_MOST_OF_A_KIND = 3
_MOST_NAMED = 6
_MOST_ENDING = 8


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
    *, ending: Sequence[EndingPaper], arrivals: Sequence[Arrival], arrivals_count: int, unread: Sequence[Paper],
    countries: Sequence[CountryTally], unchecked: int, waiting: Upkeep, waits: LongWaits, reader: Any,
) -> list[Item]:  # fmt: skip
    """All lines, in the order of the page."""
    return [
        *_endings(ending, reader),
        *_boxes(waits),
        *_files(waiting),
        *_verdicts(unchecked, waiting),
        *_arrivals(arrivals, arrivals_count),
        *_unread(unread),
        *_sheets(countries),
    ]


def _endings(ending: Sequence[EndingPaper], reader: Any) -> Iterator[Item]:
    """The papers that end first, and a line for the rest."""
    yield from (_ending(paper, reader) for paper in ending[:_MOST_ENDING])
    more = len(ending) - _MOST_ENDING
    if more > 0:
        yield Item(
            _("Paper"), ngettext("%(n)d more paper ends later", "%(n)d more papers end later", more) % {"n": more}, "",
            f"{reverse('papers:papers')}?state=ending&within={AHEAD_DAYS}", _("See papers"),
            amount=_shown(more), unit=ngettext("paper", "papers", more),
        )  # fmt: skip


def _ending(ending: EndingPaper, reader: Any) -> Item:
    paper = ending.paper
    issuer = paper.issuer if is_readable(paper, reader) else ""
    note = ", ".join(filter(None, (str(paper.get_kind_display()), issuer)))
    return Item(
        _("Paper"), _("%(paper)s ends") % {"paper": paper.reference}, note, reverse("papers:paper", args=[paper.pk]),
        _("See paper"), ending.ends_on, ending.days, is_soon=ending.days <= SOON_DAYS,
    )  # fmt: skip


def _boxes(waits: LongWaits) -> Iterator[Item]:
    """The deliveries that wait longest, and a line for the rest."""
    for waiting in waits.waiting[:_MOST_OF_A_KIND]:
        delivery = waiting.delivery
        yield Item(
            _("Delivery"), _waits_for(waiting) % {"delivery": delivery.entry_number or delivery},
            ", ".join(filter(None, (str(delivery.sender or ""), delivery.contents))),
            reverse("material:arrival", args=[delivery.pk]), _("Go on"),
            amount=_shown(waiting.days or 0), unit=ngettext("day", "days", waiting.days or 0),
        )  # fmt: skip
    more = len(waits.waiting) - _MOST_OF_A_KIND
    if more > 0:
        words = ngettext("%(n)d more delivery waits longer than %(days)d days",
                         "%(n)d more deliveries wait longer than %(days)d days", more)  # fmt: skip
        yield Item(
            _("Delivery"), words % {"n": more, "days": waits.longest_days}, "", reverse("material:arrivals"),
            _("See arrivals"), amount=_shown(more), unit=ngettext("delivery", "deliveries", more),
        )  # fmt: skip


def _waits_for(waiting: Waiting) -> str:
    if waiting.needs_release and waiting.needs_accession:
        return _("%(delivery)s waits for its release and an accession number")
    if waiting.needs_release:
        return _("%(delivery)s waits for its release")
    return _("%(delivery)s waits for an accession number")


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
            amount=_shown(waiting.run.progress), unit=_("written"),
        )  # fmt: skip
    if unchecked:
        yield Item(
            _("Specimens"), _("Specimens that are not yet checked"),
            _("They have no verdict yet, so they count as nothing."),
            f"{reverse('verdicts:specimens')}?verdict=unchecked", _("Look"),
            amount=_shown(unchecked), unit=_("specimens"),
        )  # fmt: skip
    if waiting.touches and waiting.run is None:
        yield Item(
            _("Verdicts"), _("Verdicts wait to be brought up to date"),
            _("Facts or papers changed since the last assessment."), reverse("verdicts:runs"), _("Assess"),
            amount=_shown(waiting.touches), unit=_("changes"),
        )  # fmt: skip


def _shown(amount: int) -> str:
    return number_format(amount, force_grouping=True)


def _arrivals(arrivals: Sequence[Arrival], count: int) -> Iterator[Item]:
    """The latest few, and a line for the rest."""
    listed = f"{reverse('verdicts:specimens')}?verdict=missing"
    for arrival in arrivals[:_MOST_OF_A_KIND]:
        accession = arrival.accession
        when = _("received %(day)s") % {"day": short_day(accession.received_on)} if accession.received_on else ""
        yield Item(
            _("Accession"), _("%(accession)s has a layer without a paper on file") % {"accession": accession.number},
            ", ".join(filter(None, (accession.title, when))), f"{listed}&accession={accession.pk}", _("Look"),
            amount=_shown(arrival.specimens), unit=ngettext("specimen", "specimens", arrival.specimens),
        )  # fmt: skip
    more = count - len(arrivals[:_MOST_OF_A_KIND])
    if more > 0:
        yield Item(
            _("Accession"), ngettext("%(n)d more accession has a layer without a paper on file",
                                     "%(n)d more accessions have a layer without a paper on file", more) % {"n": more},
            "", listed, _("See all"), amount=_shown(more), unit=ngettext("accession", "accessions", more),
        )  # fmt: skip


def _unread(papers: Sequence[Paper]) -> Iterator[Item]:
    """One line for all papers that are not read yet."""
    if not papers:
        return
    named = ", ".join(paper.reference for paper in papers[:_MOST_NAMED])
    more = len(papers) - _MOST_NAMED
    one = papers[0] if len(papers) == 1 else None
    yield Item(
        _("Paper"),
        _("%(named)s is on file but not read yet") % {"named": named}
        if one
        else _("%(n)d papers are on file but not read yet") % {"n": len(papers)},
        _("What relies on it cannot be told until its terms are entered.") if one else _and_more(named, more),
        reverse("papers:paper", args=[one.pk]) if one else f"{reverse('papers:papers')}?state=unread",
        _("Read it") if one else _("See papers"),
        amount=_shown(len(papers)), unit=ngettext("paper", "papers", len(papers)),
    )  # fmt: skip


def _sheets(countries: Sequence[CountryTally]) -> Iterator[Item]:
    """One line for all countries without a sheet."""
    without = [country for country in countries if not country.has_sheet and country.code]
    if not without:
        return
    named = ", ".join(country_name(country.code) for country in without[:_MOST_NAMED])
    specimens = sum(country.specimens for country in without)
    yield Item(
        _("Country"), ngettext("%(n)d country has no sheet that says what it requires",
                               "%(n)d countries have no sheet that says what they require", len(without))
        % {"n": len(without)},
        _and_more(named, len(without) - _MOST_NAMED), reverse("verdicts:countries"), _("See countries"),
        amount=_shown(specimens), unit=ngettext("specimen", "specimens", specimens),
    )  # fmt: skip


def _and_more(named: str, more: int) -> str:
    return _("%(named)s and %(more)d more") % {"named": named, "more": more} if more > 0 else named
