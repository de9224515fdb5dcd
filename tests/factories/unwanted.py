"""Rows that the database refuses, of the rooms duties and reports: by the constraint that is broken."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models
from django.utils import timezone

from accessions.people.models import Agent, User
from governance.duties.models import (
    BenefitGiven,
    BenefitPromise,
    CalendarAddress,
    Deposit,
    Duty,
    DutyHouse,
    DutyRule,
    ReminderSent,
    ReminderWish,
)
from governance.papers.models import Paper
from governance.reports.models import (
    Report,
    ReportChunk,
    ReportFile,
    ReportSending,
    ReportTable,
    ShareLink,
    ShareMessage,
    ShareReport,
    ShareVisit,
)
from governance.usedesk.models import MadeUse
from tests.factories import register, usedesk

Row = Callable[[], models.Model]
EARLIER, LATER = date(2026, 6, 16), date(2026, 6, 17)


def _kept(model: type[models.Model], make: Callable[[], Any]) -> Any:
    return model._default_manager.first() or make()


def _paper() -> Paper:
    kept: Paper = _kept(Paper, register.paper)
    return kept


def _somebody() -> User:
    kept: User = _kept(User, register.person)
    return kept


def _again(make: Row) -> Row:
    """The second of two equal rows."""

    def second() -> models.Model:
        make().save()
        return make()

    return second


def _rule(**fields: Any) -> Row:
    values = {"kind": "report", "what": "Send the report.", "when": "after-expiry", "number": 30} | fields
    return lambda: DutyRule(paper=_paper(), **values)


def _house(**fields: Any) -> Row:
    return lambda: DutyHouse(**{"id": 1, "follow_from": EARLIER, **fields})


def _duty(**fields: Any) -> Row:
    return lambda: Duty(**{"source": "rule-1", "occurrence": "2026", "kind": "report", "what": "Report", **fields})


def _done(**fields: Any) -> dict[str, Any]:
    return {"done_on": LATER, "done_how": "By mail.", "done_at": timezone.now(), **fields}


def _accepted(**fields: Any) -> Row:
    told = {"accepted_on": LATER, "accepted_at": timezone.now(), "accepted_how": "Letter"}
    return lambda: _duty(**_done(), **(told | {"accepted_by": _somebody()} | fields))()


def _waived(**fields: Any) -> Row:
    told = {"waived_on": LATER, "waived_at": timezone.now(), "waived_why": "Letter"}
    return lambda: _duty(**(told | {"waived_by": _somebody()} | fields))()


def _promise(**fields: Any) -> Row:
    return lambda: BenefitPromise(**{"code": "N-j", "what": "Training", **fields})


def _given(**fields: Any) -> Row:
    told = {"code": "N-j", "what": "Training", "on": LATER, "evidence": "List of people"} | fields
    return lambda: BenefitGiven(recorded_by=_somebody(), **told)


def _deposit(**fields: Any) -> Row:
    told = {"country": "GE", "depository": "Field station", "on": LATER, "specimens": 9} | fields
    return lambda: Deposit(recorded_by=_somebody(), **told)


def _deposit_of_use() -> Deposit:
    made = _kept(MadeUse, lambda: usedesk.made_use(deed="return"))
    return Deposit(recorded_by=_somebody(), country="GE", depository="Field station", on=LATER, use=made)


def _address(secret: str, **fields: Any) -> Row:
    return lambda: CalendarAddress(user=_somebody(), made_by=_somebody(), secret_sha256=secret * 64, **fields)


def _address_twice() -> models.Model:
    _address("a")().save()
    return _address("b")()


def _report(**fields: Any) -> Row:
    return lambda: Report(**{"reference": "RP-2026-901", "kind": "provider", "country": "GE", **fields})


def _kept_report() -> Report:
    def made() -> Report:
        return Report.objects.create(reference="RP-2026-900", kind="provider", country="GE")

    kept: Report = _kept(Report, made)
    return kept


def _own_correction() -> Report:
    report = _kept_report()
    report.corrects = report
    return report


def _table() -> ReportTable:
    return ReportTable(report=_kept_report(), key="material", sha256="0" * 64)


def _chunk() -> ReportChunk:
    def made() -> ReportTable:
        return ReportTable.objects.create(report=_kept_report(), key="material", sha256="0" * 64)

    return ReportChunk(table=_kept(ReportTable, made), number=0, data=b"")


def _file(**fields: Any) -> Row:
    told = {"format": "docx", "name": "a.docx", "data": b"", "size_bytes": 0, "sha256": "0" * 64} | fields
    return lambda: ReportFile(report=_kept_report(), **told)


def _sending(**fields: Any) -> Row:
    told = {"sent_on": LATER, "to_whom": "Permit desk", "how": "mail", "proof": "Receipt 12"} | fields
    return lambda: ReportSending(report=_kept_report(), recorded_by=_somebody(), **told)


def _link(secret: str = "a", **fields: Any) -> Row:
    told = {"name": "Permit desk", "country": "GE", "open_until": LATER, "secret_sha256": secret * 64} | fields
    return lambda: ShareLink(made_by=_somebody(), **told)


def _kept_link() -> ShareLink:
    def made() -> ShareLink:
        link = _link("c")()
        link.save()
        assert isinstance(link, ShareLink)
        return link

    kept: ShareLink = _kept(ShareLink, made)
    return kept


def _message(**fields: Any) -> Row:
    return lambda: ShareMessage(link=_kept_link(), **{"name": "A reader", "text": "Thank you.", **fields})


_TEN = Decimal(10)

REFUSED: dict[str, Row] = {
    "dutyrule_says_what": _rule(what=""),
    "dutyrule_words_known": _rule(kind="song"),
    "dutyrule_day_of_each_year": _rule(when="each-year", month_day="13-01"),
    "dutyrule_day_of_once": _rule(when="on-a-day"),
    "dutyrule_counted_from_a_paper": lambda: DutyRule(kind="report", what="Report", when="after-expiry"),
    "dutyrule_period": _rule(held_from=LATER, held_to=EARLIER),
    "dutyrule_page_from_one": _rule(page=0),
    "dutyrule_ended_for_a_reason": _rule(ended_at=timezone.now()),
    "dutyhouse_one_row": _house(id=2),
    "dutyhouse_ahead": _house(ahead_days=367),
    "duty_once": _again(_duty()),
    "duty_about_period": _duty(about_from=LATER, about_to=EARLIER),
    "duty_done_with_evidence": _duty(**_done(done_how="")),
    "duty_accepted_after_done": _accepted(accepted_on=EARLIER),
    "duty_waived_for_a_reason": _waived(waived_why=""),
    "duty_dropped_for_a_reason": _duty(dropped_on=LATER),
    "benefitpromise_code_known": _promise(code="M-k"),
    "benefitpromise_says_what": _promise(what=""),
    "benefitpromise_country_form": _promise(country="ge"),
    "benefitpromise_amount_with_currency": _promise(amount=_TEN),
    "benefitpromise_quantity_with_unit": _promise(quantity=_TEN),
    "benefitpromise_money_or_quantity": _promise(quantity=_TEN, unit="days", amount=_TEN, currency="EUR"),
    "benefitpromise_share_of_a_deposit": _promise(share_percent=_TEN),
    "benefitpromise_page_from_one": _promise(page=0),
    "benefitpromise_closed_for_a_reason": _promise(closed_at=timezone.now()),
    "benefitgiven_code_known": _given(code="j"),
    "benefitgiven_says_what": _given(what=""),
    "benefitgiven_country_form": _given(country="Georgia"[:2]),
    "benefitgiven_amount_with_currency": _given(amount=_TEN, currency="eur"),
    "benefitgiven_quantity_with_unit": _given(unit="days"),
    "benefitgiven_money_or_quantity": _given(quantity=_TEN, unit="days", amount=_TEN, currency="EUR"),
    "benefitgiven_period": _given(until_on=EARLIER),
    "benefitgiven_with_evidence": _given(evidence=""),
    "benefitgiven_voided_for_a_reason": _given(voided_at=timezone.now()),
    "deposit_country_form": _deposit(country=""),
    "deposit_says_where": _deposit(depository=""),
    "deposit_counted_once": _deposit(specimens=None),
    "deposit_receipt_whole": _deposit(receipt_on=LATER),
    "deposit_voided_for_a_reason": _deposit(voided_at=timezone.now()),
    "calendaraddress_one_at_a_time": _address_twice,
    "calendaraddress_ended_by": _address("a", ended_at=timezone.now()),
    "reminderwish_known": lambda: ReminderWish(user=_somebody(), wish="some"),
    "remindersent_once_a_day": _again(lambda: ReminderSent(user=_somebody(), on=LATER, duties=1)),
    "report_numbered": _report(reference=""),
    "report_words_known": _report(language="xx"),
    "report_country_form": _report(country="ge"),
    "report_about_something": _report(country=""),
    "report_period": _report(period_from=LATER, period_to=EARLIER),
    "report_composed_by": _report(contents={}),
    "report_issued_whole": _report(digest="0" * 64),
    "report_withdrawn_for_a_reason": _report(withdrawn_why="A slip."),
    "report_corrects_another": _own_correction,
    "reporttable_once": _again(_table),
    "reportchunk_once": _again(_chunk),
    "reportfile_one_of_a_format": _again(_file()),
    "reportfile_format_known": _file(format="pdf"),
    "reportsending_proved": _sending(proof=""),
    "reportsending_voided_for_a_reason": _sending(voided_at=timezone.now()),
    "sharelink_named": _link(name=""),
    "sharelink_about_one": lambda: _link(paper=_paper())(),
    "sharelink_country_form": _link(country="ge"),
    "sharelink_language_known": _link(language="xx"),
    "sharelink_revoked_for_a_reason": _link(revoked_at=timezone.now()),
    "sharereport_once": _again(lambda: ShareReport(link=_kept_link(), report=_kept_report())),
    "sharevisit_known": lambda: ShareVisit(link=_kept_link(), what="seen"),
    "sharemessage_whole": _message(text=""),
    "sharemessage_read_by": _message(read_at=timezone.now()),
}
"""One row a constraint."""

HALF_MISSING: list[tuple[str, Row]] = [
    ("dutyrule_day_of_each_year", _rule(month_day="01-31")),
    ("dutyrule_day_of_once", _rule(on=LATER)),
    ("dutyrule_words_known", _rule(when="daily")),
    ("dutyrule_ended_for_a_reason", lambda: _rule(ended_by=_somebody(), ended_why="")()),
    ("duty_done_with_evidence", _duty(done_how="By mail.")),
    ("duty_done_with_evidence", _duty(is_nil=True)),
    ("duty_accepted_after_done", lambda: _duty(accepted_on=LATER, accepted_how="Letter")()),
    ("duty_accepted_after_done", _accepted(accepted_by=None)),
    ("duty_waived_for_a_reason", _waived(**_done())),
    ("duty_waived_for_a_reason", _waived(waived_by=None)),
    ("duty_dropped_for_a_reason", _duty(dropped_why="The rule was ended.")),
    ("benefitpromise_amount_with_currency", _promise(currency="EUR")),
    ("benefitpromise_amount_with_currency", _promise(amount=Decimal(0), currency="EUR")),
    ("benefitpromise_share_of_a_deposit", _promise(is_deposit=True, share_percent=Decimal(101))),
    ("deposit_counted_once", lambda: _twice_counted()),
    ("deposit_counted_once", _deposit(specimens=0)),
    ("report_about_something", _report(kind="agency")),
    ("report_about_something", _report(kind="landowner")),
    ("report_about_something", _report(kind="diligence")),
    ("report_withdrawn_for_a_reason", lambda: _report(
        withdrawn_at=timezone.now(), withdrawn_by=_somebody(), withdrawn_why="A slip.")()),
    ("sharelink_about_one", _link(country="")),
    ("sharelink_about_one", lambda: _link(country="", agent=_kept(Agent, register.agent), paper=_paper())()),
    ("calendaraddress_ended_by", lambda: _address("a", ended_by=_somebody())()),
]  # fmt: skip
"""Rows with a part missing or one too many."""


def _twice_counted() -> Deposit:
    made = _deposit_of_use()
    made.specimens = 4
    return made
