"""What the demo owes and what it got back to providers: rules of duties, benefits, deposits, reports, a shared page."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import yaml
from django.utils import timezone

from accessions.material.models import Accession
from accessions.people.models import Agent, User
from governance.duties.actions.benefits import add_given, add_promise
from governance.duties.actions.deposits import add_deposit
from governance.duties.actions.doing import accept, assign, mark_done, waive
from governance.duties.actions.house import set_house
from governance.duties.actions.rules import add_rule
from governance.duties.actions.working_out import work_out
from governance.duties.models import BenefitPromise, Duty
from governance.papers.models import Paper
from governance.reports.actions.composing import compose_now
from governance.reports.actions.drafting import add_draft, write_texts
from governance.reports.actions.issuing import issue
from governance.reports.actions.sending import send
from governance.reports.actions.sharing import leave_message, make_link
from governance.reports.models import Report

WHY: Final = "demo"


def add_owed(path: Path) -> None:
    """All of a file, each entered by the person who keeps it."""
    written = yaml.safe_load(path.read_text("utf-8"))
    registrar, officer = _person("tomas.berglind"), _person("ingrid.holmqvist")
    set_house(values=written["house"], by=officer, why=WHY)
    for rule in written["rules"]:
        add_rule(values={**rule, "paper": _paper(rule["paper"])}, by=registrar, why=WHY)
    _add_benefits(written, registrar)
    work_out(by=registrar, why=WHY)
    _meet(written, officer)


def add_reports(path: Path) -> None:
    """The reports of a file, once the rest of the register stands, and a shared page, whose address nobody keeps."""
    written = yaml.safe_load(path.read_text("utf-8"))
    registrar = _person("tomas.berglind")
    reports = {row["reference"]: _add_report(dict(row), registrar) for row in written["reports"]}
    for row in written["shares"]:
        _share(row, reports, registrar)


def _person(username: str) -> User:
    return User.objects.get(username=username)


def _paper(reference: str) -> Paper | None:
    return Paper.objects.get(reference=reference) if reference else None


def _add_benefits(written: Mapping[str, Any], by: User) -> None:
    promises: dict[str, BenefitPromise | None] = {"": None}
    for key, row in written["promises"].items():
        promises[key] = add_promise(by=by, why=WHY, **{**row, "paper": _paper(row["paper"])})
    for row in written["given"]:
        told = {**row, "promise": promises[row["promise"]], "paper": _of_promise(row, promises)}
        add_given(by=by, why=WHY, **told)
    for row in written["deposits"]:
        accession = Accession.objects.get(number=row["accession"])
        told = {**row, "promise": promises[row["promise"]], "paper": _of_promise(row, promises), "accession": accession}
        add_deposit(by=by, why=WHY, **told)


def _of_promise(row: Mapping[str, Any], promises: Mapping[str, BenefitPromise | None]) -> Paper | None:
    promise = promises[row["promise"]]
    return promise.paper if promise else _paper(row.get("paper", ""))


def _meet(written: Mapping[str, Any], by: User) -> None:
    """What was done, accepted, waived, and who sees to what is open."""
    for row in written["done"]:
        duty = mark_done(duty=_duty(row["paper"], row["occurrence"]), on=row["on"], how=row["how"], by=by, why=WHY)
        if "accepted_on" in row:
            accept(duty=duty, on=row["accepted_on"], how=row["accepted_how"], by=by)
    for row in written["waived"]:
        for duty in Duty.objects.filter(paper__reference=row["paper"], done_on__isnull=True, waived_on__isnull=True):
            waive(duty=duty, on=row["on"], why=row["why"], by=by)
    for reference, username in written["assign"].items():
        duties = list(Duty.objects.filter(paper__reference=reference, done_on__isnull=True, waived_on__isnull=True))
        assign(duties=duties, to=_person(username), by=by, why=WHY)


def _duty(reference: str, occurrence: str) -> Duty:
    return Duty.objects.get(paper=_paper(reference), occurrence=occurrence, rule__isnull=False)


def _add_report(row: dict[str, Any], by: User) -> Report:
    is_issued, sent = row.pop("issue", False), row.pop("send", None)
    kind, texts = row.pop("kind"), row.pop("texts", {})
    values = {**row, "paper": _paper(row.get("paper", "")), "country": row.get("country", "")}
    if "agent" in row:
        values["agent"] = Agent.objects.get(name=row["agent"])
    if "accession" in row:
        values["accession"] = Accession.objects.get(number=row["accession"])
    if "duty" in row:
        values["duty"] = _duty(*row["duty"])
    report = add_draft(kind=kind, values=values, by=by, why=WHY)
    if texts:
        write_texts(report=report, texts=texts, by=by, why=WHY)
    report.refresh_from_db()
    if not is_issued:
        return compose_now(report=report, by=by, today=timezone.localdate())
    report = issue(report=report, by=by)
    if sent:
        send(report=report, values={**sent, "sent_on": timezone.localdate()}, by=by, why=WHY)
    return report


def _share(row: Mapping[str, Any], reports: Mapping[str, Report], by: User) -> None:
    link, _token = make_link(
        by=by, why=WHY, reports=[reports[reference] for reference in row["reports"]], name=row["name"],
        country=row["country"], greeting=row["greeting"], open_until=timezone.localdate() + timedelta(row["days"]),
    )  # fmt: skip
    leave_message(link, **row["message"])
