"""Uses that last into a period, findings that are still worked out, days of the house."""

from __future__ import annotations

import gc
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.utils import timezone

from accessions.material.models import Touch
from accessions.people.models import Role
from governance.duties.calendar import duties_feed
from governance.duties.models import Duty
from governance.duties.queries.listing import lines, with_state
from governance.engine.tables import Layer, Verdict
from governance.reports import composing
from governance.reports.models import Report
from governance.usedesk.models import LoanReturn, UseItem
from governance.verdicts.models import Override
from tests.factories import duties, register
from tests.factories.usedesk import made_use, recipient
from tests.factories.verdicts import CALM, Why, judged, overruled
from tests.integration.reports.composing.georgia import TODAY, YEAR, column, make_georgia, note, report_on

pytestmark = pytest.mark.django_db

BEFORE = {"period_from": date(2024, 1, 1), "period_to": date(2024, 12, 31)}


def test_use_that_lasts_into_the_period_belongs_to_it() -> None:
    """Sequenced from 20 December 2024 to 30 November 2025: in 2024 and in 2025, not in 2026."""
    made_use(make_georgia().three, deed="sequencing", on=date(2024, 12, 20), until_on=date(2025, 11, 30), use=8,
             reference="S-9")  # fmt: skip
    later = {"period_from": date(2026, 1, 1), "period_to": date(2026, 12, 31)}
    for period, told in ((BEFORE, [("S-9",)]), (YEAR, [("S-9",)]), (later, [])):
        made = report_on(**period)
        assert column(made, "uses", "entry") == told
        assert (note(made, "no_uses") is None) == bool(told)


@pytest.mark.parametrize(
    ("ended", "is_told"),
    [
        (None, True),  # still out
        (date(2024, 12, 31), False), (date(2025, 1, 1), True), (date(2026, 2, 1), True),
    ],
)  # fmt: skip
@pytest.mark.parametrize("by", ["return", "retention"])
def test_loan_that_is_out_in_the_period_belongs_to_it(by: str, ended: date | None, is_told: bool) -> None:
    """Lent on 1 March 2024, before the period; it ended by its return, or by what the borrower kept."""
    georgia = make_georgia()
    loan = made_use(georgia.three, on=date(2024, 3, 1), reference="L-9", recipient=recipient(), due_on=TODAY)
    if ended and by == "return":
        back = LoanReturn.objects.create(use=loan, on=ended, recorded_by=register.person(Role.REGISTRAR))
        UseItem.objects.filter(use=loan).update(returned=back)
    elif ended:
        made_use(georgia.three, deed="retention", on=ended, parent=loan, recipient=loan.recipient, reference="K-9")
    entries = [entry for (entry,) in column(report_on(**YEAR), "movements", "entry")]
    assert ("L-9" in entries) is is_told


def test_no_finding_is_said_only_of_what_was_judged() -> None:
    """Nothing of the seven was checked at first; then all; then a change waits."""
    georgia = make_georgia()
    made = report_on(**YEAR)
    assert note(made, "exceptions_none") is None
    assert note(made, "not_judged").values["n"] == len(made.tables["material"].rows) == 7  # type: ignore[union-attr]
    for one in (georgia.three, georgia.lot, georgia.before, georgia.after, georgia.undated, georgia.vague, georgia.leg):
        judged(one)
    Touch.objects.all().delete()
    made = report_on(**YEAR)
    assert note(made, "exceptions_none") is not None and note(made, "verdicts_waiting") is None
    Touch.objects.create(scope=Touch.Scope.ALL, why="a rule changed")
    made = report_on(**YEAR)
    assert note(made, "exceptions_none") is None
    assert note(made, "verdicts_waiting").values == {"n": 1}  # type: ignore[union-attr]


def test_decision_is_told_with_the_day_of_the_house() -> None:
    """At 23:30 UTC on 30 June 2026 it is 1 July in Stockholm (two hours ahead in summer)."""
    georgia = make_georgia()
    why = {Layer.COLLECTING: Why(sentence="The permit does not reach it.")}
    judged(georgia.three, "0" * Layer.COLLECTING + str(int(Verdict.OUTSIDE)) + CALM[Layer.COLLECTING + 1 :], why)
    decided = overruled(georgia.three, Layer.COLLECTING, Verdict.OUTSIDE)
    Override.objects.filter(pk=decided.pk).update(decided_at=datetime(2026, 6, 30, 23, 30, tzinfo=UTC))
    with timezone.override("Europe/Stockholm"):
        told = str(column(report_on(**YEAR), "exceptions", "decided"))
    assert "(2026-07-01)" in told


def test_feed_counts_lateness_by_the_day_of_the_house() -> None:
    """Due on 25 November; at 20:00 UTC that day it is the 26th in Auckland (13 hours ahead): one day late."""
    duty = duties.duty(due_on=date(2026, 11, 25))
    today, now = date(2026, 11, 26), datetime(2026, 11, 25, 20, tzinfo=UTC)
    found = lines(list(with_state(Duty.objects.filter(pk=duty.pk), today, 30)), register.person(Role.REGISTRAR))
    data = duties_feed(found, name="n", now=now, today=today, site="http://x", host="h").decode().replace("\r\n ", "")
    assert "on 2026-11-26" in data and "on 2026-11-25" not in data


def test_collector_is_off_while_composing_and_stands_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def failing(*_told: Any) -> None:
        seen.append(gc.isenabled())
        raise ZeroDivisionError

    monkeypatch.setitem(composing.COMPOSERS, "provider", failing)  # type: ignore[misc]
    report, reader = Report(kind="provider", country="GE"), register.person(Role.REGISTRAR)
    for was_on in (True, False):
        (gc.enable if was_on else gc.disable)()
        try:
            with pytest.raises(ZeroDivisionError):
                composing.compose(report, reader=reader, today=TODAY)
            assert gc.isenabled() is was_on
        finally:
            gc.enable()
    assert seen == [False, False]
