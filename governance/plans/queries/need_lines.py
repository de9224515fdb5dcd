"""What is to be settled before anyone leaves, in sentences: which stops, what kind of paper, from whom, by when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from governance.engine.tables import Layer, Verdict
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES
from governance.plans.queries.applications import Line, is_asked_for
from governance.plans.queries.check import Need, PlanCheck
from governance.plans.queries.plan_words import days_away, long_day, lowered, stops_words, usual_kinds
from governance.verdicts.cells import Cell
from governance.verdicts.shown_days import short_day


@dataclass(frozen=True)
class NeedLine:
    """One line of what to start.

    stop_numbers: of its stops, as the need has them; of: all stops of the plan. asked: open applications for it.
    """

    need: Need
    stop_numbers: tuple[int, ...]
    of: int
    today: date
    asked: tuple[Line, ...] = ()

    @property
    def is_asked(self) -> bool:
        """Whether an application is under way for every stop of it."""
        return all(is_asked_for(part, self.asked) for part in self.need.parts)

    @property
    def numbers(self) -> tuple[int, ...]:
        """In the order of the plan."""
        return tuple(sorted(self.stop_numbers))

    @cached_property
    def cell(self) -> Cell:
        return Cell(self.need.verdict, self.need.layer)

    @property
    def heading(self) -> str:
        """Layer and stops; for a country without a sheet that country and stops."""
        return _("%(layer)s, %(stops)s") % {
            "layer": self.subject, "stops": stops_words(self.numbers, self.of),
        }  # fmt: skip

    @property
    def subject(self) -> str:
        """The layer, or the country that has no sheet."""
        if self.need.without_sheet is None or len(self.need.layers) == 1:
            return str(self.cell.layer_name)
        return country_name(self.need.without_sheet) or _("Country not known")

    @property
    def country_without_sheet(self) -> str:
        """Code of a country whose sheet is to be entered."""
        return self.need.without_sheet or ""

    @property
    def when(self) -> str:
        return short_day(self.need.start_by) if self.need.start_by else ""

    @property
    def left(self) -> str:
        return days_away(self.need.start_by, self.today) if self.need.start_by else ""

    @property
    def is_soon(self) -> bool:
        """Within three days, or late: drawn in colour."""
        return bool(self.need.start_by and (self.need.start_by - self.today).days <= 3)

    @property
    def reason(self) -> str:
        """The first reason where there is a paper; without one the verdict has said it."""
        if self.need.verdict == Verdict.MISSING or self.need.without_sheet is not None:
            return ""
        worst = (cell for cell in self.need.cells if cell.verdict == self.need.verdict)
        return next((text for cell in worst for text in cell.reasons), "")

    @property
    def by_verdict(self) -> str:
        """Which stops have which verdict, if several: "Outside terms: stops 2 and 5; straddles: stop 4."."""
        found = self.need.by_verdict
        if len(found) < 2:
            return ""
        number = dict(zip((one.stop.pk for one in self.need.stops), self.stop_numbers, strict=True))
        told = [
            f"{Cell(verdict, self.need.layer).word}: {stops_words(sorted(number[one.stop.pk] for one in stops), 0)}"
            for verdict, stops in found.items()
        ]
        return "; ".join([told[0], *(text[:1].lower() + text[1:] for text in told[1:])]) + "."

    @property
    def sentences(self) -> list[str]:
        """What kind of paper, from whom, how long it takes, or plainly what of this is not known."""
        if self.need.without_sheet is not None:
            return [self._without_sheet(self.need.without_sheet), self._day()]
        return [text for text in (self._kind(), *self._ask(), self._day()) if text]

    def _without_sheet(self, country: str) -> str:
        told = {"country": country_name(country), "layers": _listed_layers(self.need.layers)}
        if country:
            unknown = ngettext(
                "%(country)s has no country sheet: whether %(layers)s is required cannot be told.",
                "%(country)s has no country sheet: whether %(layers)s are required cannot be told.",
                len(self.need.layers),
            )
            return f"{unknown % told} {_('Ask there what is required, then enter the sheet.')}"
        unknown = ngettext(
            "The country is not known, so whether %(layers)s is required cannot be told.",
            "The country is not known, so whether %(layers)s are required cannot be told.", len(self.need.layers),
        )  # fmt: skip
        return f"{unknown % told} {_('Give the stop its country.')}"

    def _kind(self) -> str:
        kinds = usual_kinds(self.need.layer)
        if self.need.verdict == Verdict.MISSING:
            return _("Usually %(kinds)s.") % {"kinds": kinds}
        if self.need.verdict == Verdict.CANNOT_TELL:
            return _("Settle it, or ask for a paper that covers it (usually %(kinds)s).") % {"kinds": kinds}
        return _("Change the plan, have the paper amended, or ask for another (usually %(kinds)s).") % {"kinds": kinds}

    def _ask(self) -> Iterable[str]:
        lead = self.need.lead
        if self.need.layer == Layer.LAND:
            yield (
                _("Ask %(owner)s.") % {"owner": lead.authority}
                if lead.authority
                else _("Ask the owner of the land; nobody is recorded.")
            )
        elif not lead.country:
            yield _("The country of the stop is not known, so whom to ask and how long it takes are not either.")
            return
        elif not lead.has_sheet:
            yield _("%(country)s has no country sheet: whom to ask and how long it takes are not known.") % {
                "country": lead.country,
            }  # fmt: skip
        elif lead.authority:
            yield _("Ask %(authority)s.") % {"authority": lead.authority}
        else:
            yield _("The country sheet names no authority.")
        if lead.days is not None:
            yield ngettext("Takes about %(n)d day", "Takes about %(n)d days", lead.days) % {"n": lead.days} + (
                _(" (%(source)s).") % {"source": lead.source.rstrip(".")} if lead.source else "."
            )
        elif lead.has_sheet:
            yield _("How long it takes is not known: no rule of the sheet says.")

    def _day(self) -> str:
        if self.need.needed_on is None:
            return _("By when is not known: no day is fixed yet.")
        return _("Needed on %(day)s.") % {"day": long_day(self.need.needed_on)}

    @property
    def decide_href(self) -> str:
        """Where it is decided that no paper is required: for all stops, or the only one; "" for some of them."""
        if len(self.numbers) not in (1, self.of):
            return ""
        cell = self.need.cells[0]
        stop = "" if len(self.numbers) == self.of else "?" + urlencode({"stop": cell.stop.stop.pk})
        return reverse("plans:plan-decide", args=[cell.stop.stop.plan_id, self.need.layer.code]) + stop

    @property
    def application_query(self) -> str:
        """What fills the form of an application: layer and stops; no stops where it is for all."""
        stops = [] if len(self.numbers) == self.of else [one.stop.pk for one in self.need.stops]
        return urlencode([("layer", self.need.layer.code), *(("stop", stop) for stop in stops)])


def _listed_layers(layers: Sequence[Layer]) -> str:
    """``land, collecting and export``."""
    return in_a_list(lowered(str(LAYER_NAMES[layer])) for layer in layers)


def need_lines(check: PlanCheck, applications: Iterable[Line] = ()) -> list[NeedLine]:
    """What to start, soonest first. applications: those of the plan, to say which needs are asked for already."""
    numbers = {one.stop.pk: number for number, one in enumerate(check.loaded.stops, start=1)}
    waiting = [line for line in applications if line.is_open]
    return [
        NeedLine(need, tuple(numbers[stop.stop.pk] for stop in need.stops), len(numbers), check.today,
                 tuple(line for line in waiting if line.concerns(need)))
        for need in check.needs
    ]  # fmt: skip
