"""Rows of duties for tests: minimal and valid; what matters to a test it sets itself."""

from __future__ import annotations

from datetime import date
from itertools import count
from typing import Any

from django.utils import timezone

from governance.duties.models import BenefitGiven, BenefitPromise, Deposit, Duty, DutyHouse, DutyRule, DutyRun
from governance.papers.models import Condition, Paper, PaperVersion
from tests.factories import register

_numbers = count(1)


def condition(version: PaperVersion, **values: Any) -> Condition:
    """A condition that asks for a report each year by 31 January."""
    return Condition.objects.create(
        version=version, **{"text": "Report each year by 31 January.", "report_by": "01-31", **values}
    )


def duty_house(**values: Any) -> DutyHouse:
    """Duties are followed from 1 January 2025 on, and due from 30 days before."""
    defaults = {"follow_from": date(2025, 1, 1), "ahead_days": 30}
    return DutyHouse.objects.update_or_create(pk=1, defaults=defaults | values)[0]


def duty_rule(paper: Paper | None = None, **values: Any) -> DutyRule:
    """A report 30 days after the last day of validity; without a paper, a return of the house by 31 March."""
    defaults: dict[str, Any] = {"kind": "report", "what": "Send the final report", "when": "after-expiry", "number": 30}
    if paper is None:
        defaults = {"kind": "return", "what": "Send the return", "when": "each-year", "month_day": "03-31"}
    return DutyRule.objects.create(paper=paper, **{**defaults, **values})


def duty(**values: Any) -> Duty:
    """A report that is due on 31 January 2027, of no paper; what a rule says of it is the caller's to keep in step."""
    number = next(_numbers)
    defaults: dict[str, Any] = {
        "source": f"rule-{900_000 + number}", "occurrence": "2027", "kind": "report", "what": "Send the report",
        "due_on": date(2027, 1, 31),
    }  # fmt: skip
    if "rule" in values:
        defaults |= {"source": f"rule-{values['rule'].pk}", "paper": values["rule"].paper}
    return Duty.objects.create(**{**defaults, **values})


def done_duty(by: Any = None, **values: Any) -> Duty:
    """A report that was sent on 20 January 2027."""
    done = {
        "done_on": date(2027, 1, 20), "done_how": "sent by letter, copy in the file", "done_at": timezone.now(),
        "done_by": by or register.person("registrar"),
    }  # fmt: skip
    return duty(**{**done, **values})


def promise(paper: Paper | None = None, **values: Any) -> BenefitPromise:
    """Three days of training in Georgia, without a day."""
    defaults = {"code": "N-d", "what": "Training in sorting", "country": "GE", "quantity": 3, "unit": "days"}
    return BenefitPromise.objects.create(paper=paper, **{**defaults, **values})


def given(promise: BenefitPromise | None = None, **values: Any) -> BenefitGiven:
    """Three days of training that were given in May 2026."""
    defaults = {
        "code": "N-d", "what": "Training in sorting", "country": "GE", "quantity": 3, "unit": "days",
        "on": date(2026, 5, 4), "evidence": "list of participants", "recorded_by": register.person("registrar"),
    }  # fmt: skip
    if promise is not None:
        defaults["paper"] = promise.paper
    return BenefitGiven.objects.create(promise=promise, **{**defaults, **values})


def deposit(**values: Any) -> Deposit:
    """Ten specimens that stayed in Georgia and were never entered here."""
    defaults = {
        "country": "GE", "depository": "Collection of Nazvri", "on": date(2024, 7, 1), "specimens": 10,
        "recorded_by": register.person("registrar"),
    }  # fmt: skip
    return Deposit.objects.create(**{**defaults, **values})


def duty_run(**values: Any) -> DutyRun:
    """A run of another state of the register, so that the duties are behind."""
    return DutyRun.objects.create(**{"why": "the run of the day", "mark": "0" * 64, **values})
