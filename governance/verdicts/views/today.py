"""The first page: what needs a person."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, may, person_of, requires
from accessions.people.models import User
from governance.papers.countries import country_name
from governance.papers.drawing import Band, BandKind, CountryCount, TimeRow
from governance.verdicts.agenda import agenda
from governance.verdicts.cells import Cell
from governance.verdicts.queries import today as reads
from governance.verdicts.queries.filters import Filters
from governance.verdicts.queries.reasons import shared_reasons
from governance.verdicts.queries.specimens import open_count, specimen_count, worst_tallies
from governance.verdicts.queries.waiting_decisions import waiting_decisions
from governance.verdicts.shown_days import short_day
from governance.verdicts.views.distribution import distribution

REASONS_SHOWN = 5
_DRAWN = 8


@require_GET
@requires(Verb.READ)
def today(request: HttpRequest) -> HttpResponse:
    """What the register knows, as of this day; for an empty register the first steps."""
    tallies, specimens = worst_tallies(), specimen_count()
    context: dict[str, Any] = {"day": timezone.localdate(), "specimens": specimens}
    if not specimens:
        return render(request, "verdicts/today/first_steps.html", context)
    context |= _today(tallies, specimens, reader=person_of(request))
    return render(request, "verdicts/today/today.html", context)


def _today(tallies: dict[int, int], specimens: int, *, reader: User) -> dict[str, Any]:
    day = timezone.localdate()
    ending, countries = reads.ending_papers(day), reads.countries()
    arrivals, arrivals_count = reads.arrivals_without_papers()
    unread, waiting = reads.unread_papers(), reads.upkeep(with_files=may(reader, Verb.PREPARE_INTAKE))
    reasons, reason_count = shared_reasons(Filters(), REASONS_SHOWN)
    waits = reads.long_waits(day)
    unchecked = specimens - sum(tallies.values())
    return {
        "items": agenda(ending=ending, arrivals=arrivals, arrivals_count=arrivals_count, unread=unread,
                        countries=countries, unchecked=unchecked, waiting=waiting, waits=waits, reader=reader),
        "open": open_count(tallies), "unchecked": unchecked, "ending": ending, "arrivals_count": arrivals_count,
        "waits": waits, "waiting": waiting_decisions(reader) if may(reader, Verb.REVIEW_DECISIONS) else None,
        "reasons": reasons, "reason_count": reason_count,
        "shares": distribution(tallies, with_zeros=True),
        "rows": _timeline(ending), "until": day + timedelta(reads.AHEAD_DAYS),
        "counts": _on_the_map(countries), "countries": countries,
    }  # fmt: skip


def _timeline(ending: list[reads.EndingPaper]) -> list[TimeRow]:
    return [
        TimeRow("", e.paper.reference, reverse("papers:paper", args=[e.paper.pk]),
                [Band(BandKind.IN_FORCE, e.starts_on, e.ends_on, short_day(e.ends_on))])
        for e in ending[:_DRAWN]
    ]  # fmt: skip


def _on_the_map(countries: list[reads.CountryTally]) -> list[CountryCount]:
    """Open specimens by country, in the colour of the worst."""
    return [
        CountryCount(c.code, country_name(c.code), c.open, Cell(c.worst).data_v, _list_of(c.code))
        for c in sorted(countries, key=lambda c: -c.open) if c.code and c.open
    ]  # fmt: skip


def _list_of(country: str) -> str:
    worst = "".join(f"&verdict={code}" for code in ("cannot-tell", "straddles", "outside", "missing"))
    return f"{reverse('verdicts:specimens')}?country={country}{worst}"
