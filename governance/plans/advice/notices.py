"""Notices that papers ask for before the first day: due, given, or late."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.utils.translation import gettext as _

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Condition, Paper
from governance.plans.advice.saying import STOPS, Deed, Draft, day_words, days_words
from governance.plans.judging import PaperUsed
from governance.plans.models import PlanNotice
from governance.plans.queries.check import PlanCheck
from governance.plans.queries.notices import notices_of

_SPEAKING = (Verdict.COVERED, Verdict.CANNOT_TELL, Verdict.STRADDLES)
"""Verdicts for which the paper they name may be the one under which material is taken."""


@dataclass
class _Asked:
    """What a paper asks for. days: by stop how many days before its first day, the most of the versions tested."""

    used: PaperUsed
    paper: Paper
    days: dict[int, int] = field(default_factory=dict)


def advice_on_notices(check: PlanCheck) -> Iterator[Draft]:
    """For each paper that asks for notice: until when it is due for the stops that have none; and what was given.

    Two queries.
    """
    firsts = {one.stop.pk: one.days[0] for one in check.loaded.stops}
    given = list(notices_of(check.loaded.plan))
    asked = _asked(check)
    for one in asked.values():
        yield from _due(one, firsts, [notice for notice in given if notice.paper_id == one.used.pk], check)
    for notice in given:
        yield _given(notice, asked.get(notice.paper_id), firsts)


def _asked(check: PlanCheck) -> dict[int, _Asked]:
    """By paper what it asks for."""
    tested: dict[int, dict[int, set[int | None]]] = defaultdict(lambda: defaultdict(set))
    used_by_key = {}
    for cell in check.cells.values():
        for answer in cell.answers:
            for used in answer.papers if answer.verdict in _SPEAKING and cell.layer < Layer.EXPORT else ():
                used_by_key[used.pk] = used
                tested[used.pk][cell.stop.stop.pk].update(used.versions)
    conditions = Condition.objects.filter(version__paper__in=list(tested), notice_days__isnull=False)
    found: dict[int, _Asked] = {}
    for condition in conditions.select_related("version__paper"):
        paper, start = condition.version.paper, condition.version.in_force_from
        for stop, starts in tested[paper.pk].items():
            if (start.toordinal() if start else None) in starts:
                one = found.setdefault(paper.pk, _Asked(used_by_key[paper.pk], paper))
                one.days[stop] = max(one.days.get(stop, 0), condition.notice_days or 0)
    return found


def _due(
    one: _Asked, firsts: Mapping[int, date | None], given: list[PlanNotice], check: PlanCheck
) -> Iterator[Draft]:  # fmt: skip
    """One notice for all stops of which none was given: due for the earliest, told for each."""
    told, plan, today = {notice.stop_id for notice in given}, check.loaded.plan.pk, check.today
    if None in told:
        return
    waiting = {stop: days for stop, days in one.days.items() if stop not in told}
    dated = {stop: first - timedelta(days) for stop, days in waiting.items() if (first := firsts[stop])}
    due = min(dated.values(), default=None)
    for stop in waiting:
        if due is None:
            yield _draft(_undated(one, max(waiting.values())), one, stop, plan)
        elif stop in dated:
            earliest = min(dated, key=lambda key: dated[key])
            words = _dated(one, waiting[earliest], due, firsts[earliest] or due, today)
            yield _draft(words, one, stop, plan, due, is_late=due < today)


def _draft(
    words: str, one: _Asked, stop: int, plan: int, due: date | None = None, *, is_late: bool = False
) -> Draft:  # fmt: skip
    return Draft(
        "notice-due", words, stop, papers=(one.used,), by_day=due, is_late=is_late, secret=frozenset({one.used.pk}),
        deed=Deed("notice", plan, (("paper", one.used.pk),)),
    )  # fmt: skip


def _dated(one: _Asked, days: int, due: date, first: date, today: date) -> str:
    told = {
        "issuer": one.paper.issuer or _("its issuer"), "paper": one.used.reference, "stops": STOPS,
        "due": day_words(due), "days": days_words(days), "first": day_words(first),
    }  # fmt: skip
    if due < today:
        return (
            _(
                "Notice of %(stops)s was due on %(due)s: %(paper)s asks for it %(days)s before the first day "
                "(%(first)s), and none is recorded. Tell %(issuer)s, and ask how to go on."
            )
            % told
        )
    return (
        _(
            "Tell %(issuer)s of %(stops)s by %(due)s: %(paper)s asks for notice %(days)s before the first day "
            "(%(first)s)."
        )
        % told
    )


def _undated(one: _Asked, days: int) -> str:
    return _(
        "%(paper)s asks for notice to %(issuer)s %(days)s before the first day at %(stops)s, which is not fixed yet."
    ) % {
        "paper": one.used.reference, "issuer": one.paper.issuer or _("its issuer"), "days": days_words(days),
        "stops": STOPS,
    }  # fmt: skip


def _given(notice: PlanNotice, asked: _Asked | None, firsts: Mapping[int, date | None]) -> Draft:
    """A notice on record, and whether it was in time."""
    used = asked.used if asked else PaperUsed(notice.paper_id, notice.paper.reference)
    told = {
        "paper": used.reference, "day": day_words(notice.given_on), "note": notice.note,
        "of": _("all stops") if notice.stop is None else STOPS, "late": _lateness(notice, asked, firsts),
    }  # fmt: skip
    words = _("Notice of %(of)s under %(paper)s was given on %(day)s%(late)s: %(note)s.") % told
    return Draft(
        "notice-given", words, notice.stop_id, papers=(used,), by_day=notice.given_on, is_settled=True,
        secret=frozenset({used.pk}), deed=Deed("notice-remove", notice.pk),
    )  # fmt: skip


def _lateness(notice: PlanNotice, asked: _Asked | None, firsts: Mapping[int, date | None]) -> str:
    wanted = {stop: days for stop, days in (asked.days if asked else {}).items() if notice.stop_id in (None, stop)}
    dues = [first - timedelta(days) for stop, days in wanted.items() if (first := firsts.get(stop))]
    if not dues:
        return ""
    late = (notice.given_on - min(dues)).days
    told = {"days": days_words(late), "due": day_words(min(dues))}
    return (
        _(", %(days)s after the day it was due (%(due)s)") % told if late > 0 else _(", in time (due %(due)s)") % told
    )
