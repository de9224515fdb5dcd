"""The way home: days in the wrong order, and days on which a paper no longer covers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import partial

from django.utils.translation import gettext as _

from governance.engine.tables import Layer
from governance.plans.advice.saying import STOPS, Deed, Draft, day_words, papers_words
from governance.plans.advice.trials import Case, Choice, Proposal, are_covered, trial
from governance.plans.judging import Answer
from governance.plans.models import Consignment
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.check import PlanCheck, first_day

_CODES = ("revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end", "straddles")
_TERMS = {Layer.IMPORT: "importedOn", Layer.TRANSFER: "transferredOn"}
_SEARCHED = timedelta(366)


def advice_on_the_way_home(case: Case) -> Iterator[Choice]:
    """A day of export, import or transfer on which a paper covers: the nearest before the one planned, or after it."""
    home = case.cell.stop.home
    term = _TERMS.get(case.layer, "exportedOn")
    planned = first_day(dict(case.row.home).get(term, ""))
    if case.layer < Layer.EXPORT or home is None or planned is None or not case.fails_only_by(_CODES):
        return
    yield [_on(case, term, day, planned, home.pk) for day in _days(case, planned)]


def _days(case: Case, planned: date) -> list[date]:
    """Last days before the planned one that lie after the field days, then first days after it."""
    borders = case.papers.borders(case.row, case.layer, planned - _SEARCHED, planned + _SEARCHED)
    last_on = case.cell.stop.days[1] or date.min
    before = [border - timedelta(1) for border in borders if border <= planned]
    after = [border for border in borders if border > planned]
    return [*(day for day in reversed(before) if day >= last_on), *after]


def _on(case: Case, term: str, day: date, planned: date, home: int) -> Proposal:
    cells = dict(case.row.home) | {term: day.isoformat()}
    row = trial(case.row, home=tuple(cells.items()))
    return Proposal((row,), case.layer, partial(_say, case, day, planned, home))


def _say(case: Case, day: date, planned: date, home: int, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    told = {
        "stops": STOPS, "day": day_words(day), "planned": day_words(planned), "papers": papers_words(answers[0].papers),
    }  # fmt: skip
    if day > planned:
        words = (
            _("%(papers)s covers what comes from %(stops)s from %(day)s on; it is planned to go on %(planned)s.") % told
        )
    else:
        words = (
            _(
                "Send what comes from %(stops)s by %(day)s, the last day that %(papers)s covers; it is planned to go "
                "on %(planned)s."
            )
            % told
        )
    return case.draft("leaves-late", words, answers, by_day=day, deed=Deed("home", home))


def days_in_order(check: PlanCheck) -> Iterator[Draft]:
    """Material that would leave before it is taken, or arrive before it left. What the plan itself says; no verdict."""
    for one in check.loaded.stops:
        if one.home is not None:
            yield from _order_of(one, one.home)


def _order_of(one: LoadedStop, home: Consignment) -> Iterator[Draft]:
    exported, imported = first_day(home.exported_on), first_day(home.imported_on)
    last_on, deed = one.days[1], Deed("home", home.pk)
    if exported and last_on and exported < last_on:
        words = _("Export is planned for %(day)s, before the last day in the field at %(stops)s (%(last)s).") % {
            "day": day_words(exported), "stops": STOPS, "last": day_words(last_on),
        }  # fmt: skip
        yield Draft("export-early", words, one.stop.pk, Layer.EXPORT, by_day=exported, deed=deed)
    if exported and imported and imported < exported:
        words = _("Arrival is planned for %(day)s, before it leaves on %(left)s.") % {
            "day": day_words(imported), "left": day_words(exported),
        }  # fmt: skip
        yield Draft("import-early", words, one.stop.pk, Layer.IMPORT, by_day=imported, deed=deed)
