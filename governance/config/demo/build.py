"""The demo register, made step by step through the actions of the rooms."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings

from accessions.people.models import Agent, Role, User
from governance.config.demo import (
    audited,
    corrections,
    decisions,
    desk,
    holdings,
    legal_file,
    mark,
    owed,
    people,
    places,
    plans,
    sheets,
)
from governance.config.demo.seasons import Seasons
from governance.config.demo.story import days_ago
from governance.papers.actions import import_papers
from governance.verdicts.actions import assess

FIXTURES: Path = settings.BASE_DIR / "fixtures"
WHY = "demo"

Step = Callable[[str, float], None]
"""Progress: what goes on, and the share of the whole that is done, from 0 to 1."""

_PAPERS = ("lindmark_papers.json", "lindmark_season_papers.json", "lindmark_plan_papers.json")
_LOADING, _JUDGING = 0.15, 0.75
"""Shares of the whole at which specimens start to come in, and at which they are judged (measured)."""

_BEGAN_DAYS_AGO, _DECIDED_DAYS_AGO, _CORRECTED_DAYS_AGO = 84, 48, 43
"""When the museum began to keep this register, decided beside its verdicts, and corrected facts."""


def read_source() -> dict[str, Any]:
    """What the register knows beside its files."""
    source: dict[str, Any] = yaml.safe_load((FIXTURES / "lindmark_register.yaml").read_text("utf-8"))
    return source


def build(*, step: Step, whole: bool = True) -> None:
    """Make the demo in a database that is free and has its tables.

    Args:
        whole: with the seasons; otherwise only the hand-written specimens, which is quick.
    """
    mark.set_mark(ready=False)
    source = read_source()
    with days_ago(_BEGAN_DAYS_AGO):
        staff = _enter_frame(source, step)
        _enter_holdings(source, staff, step, whole=whole)
        step("Judging every specimen by its papers", _JUDGING)
        assess(by=staff[Role.COMPLIANCE], why="first assessment")
    with days_ago(_DECIDED_DAYS_AGO):
        decisions.overrule_all(source["overrides"])
    with days_ago(_CORRECTED_DAYS_AGO):
        corrections.correct_all(source["corrections"])
    for days in audited.COUNTED_DAYS_AGO:
        audited.count_quality(days)
    legal_file.add_arrivals(source["arrivals"], {agent.name: agent for agent in Agent.objects.all()}, staff)
    step("Field plans", 0.97)
    plans.add_plans(FIXTURES / "lindmark_plans.yaml")
    step("Use desk", 0.98)
    desk.add_desk(FIXTURES / "lindmark_desk.yaml")
    step("Duties and reports", 0.985)
    owed.add_owed(FIXTURES / "lindmark_duties.yaml")
    owed.add_reports(FIXTURES / "lindmark_duties.yaml")
    step("Questions of the audit, and the seal", 0.99)
    audited.add_audit(FIXTURES / "lindmark_audit.yaml")
    audited.keep_heads(FIXTURES / "lindmark_audit.yaml")
    mark.set_mark(ready=True)
    step("Done", 1)


def _enter_frame(source: dict[str, Any], step: Step) -> dict[str, User]:
    """People, sites, accessions and country sheets; who works in which role."""
    step("People", 0.04)
    accounts = people.add_accounts(source)
    staff = {user.role: user for user in accounts.values()}
    registrar = staff[Role.REGISTRAR]
    agents = people.add_agents(source, by=registrar)
    people.connect(source, accounts, agents, by=staff[Role.ADMINISTRATOR])
    step("Sites and country sheets", 0.07)
    places.add_sites(Seasons(FIXTURES).sites, source["sites"], agents, by=registrar)
    sheets.add_sheets(source, FIXTURES / "lindmark_rules.json", by=staff[Role.COMPLIANCE])
    holdings.add_accessions(source, agents, by=registrar)
    return staff


def _enter_holdings(source: dict[str, Any], staff: dict[str, User], step: Step, *, whole: bool) -> None:
    """Specimens, parts, papers and what was searched for."""
    registrar = staff[Role.REGISTRAR]
    step("Specimens written by hand", 0.1)
    holdings.load_core(FIXTURES, by=registrar)
    if whole:
        _load_seasons(registrar, step)
    step("Parts, papers and searches", 0.68)
    holdings.count_up(by=registrar)
    holdings.divide(source, by=registrar)
    holdings.quarantine(source, by=registrar)
    for name in _PAPERS:
        import_papers((FIXTURES / name).read_bytes(), name, by=registrar, why=WHY, on_unknown="leave-out")
    holdings.link_parts(source, by=registrar)
    decisions.search_all(source["searches"], by=registrar)
    step("Scans, title and decisions", 0.71)
    legal_file.receive_scans(FIXTURES / "scans", source["scans"], by=registrar)
    legal_file.add_titles(source["titles"], by=registrar)
    legal_file.decide_all(source["decisions"])
    legal_file.continue_all(source["continuations"], by=registrar)
    legal_file.restrict_all(source["restricted"], by=staff[Role.COMPLIANCE])


def _load_seasons(registrar: User, step: Step) -> None:
    seasons = Seasons(FIXTURES)
    done = 0

    def loaded(accession: str, count: int) -> None:
        nonlocal done
        done += count
        step(f"Specimens of {accession}", _LOADING + (0.68 - _LOADING) * done / seasons.total)

    step("Specimens of the seasons", _LOADING)
    holdings.load_seasons(seasons, by=registrar, loaded=loaded)
