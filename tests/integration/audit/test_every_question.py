"""Every ready question of the registry: answered for each role, as a page and as each file with all that it can be
asked with, and as known on a past day; on the rows of the sweep, with a restricted paper whose words nobody else may
meet.

What this cannot show: that an answer is right; each question has tests of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any
from unittest import mock

import pytest
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Accession, Specimen
from accessions.people.models import Agent, Role, User
from accessions.sites.models import Site
from governance.audit.asking import ParameterKind, Question
from governance.audit.clocks import as_known, moment_of
from governance.audit.queries.asking import Answered, answered, asked_of
from governance.audit.questions import QUESTION, QUESTIONS
from governance.audit.writing.files import answer_file
from governance.papers.models import Paper
from governance.reports.models import Report
from tests.factories import register
from tests.integration.test_access_sweep import (
    Rows,
    files_of_the_module,
    files_of_the_test,
    kept,
    rows,
    rows_of_all,
    signed_in,
)
from tests.integration.test_restricted import CANARY, OTHERS, closed, closed_for_all, words_of

__all__ = ["closed", "closed_for_all", "files_of_the_module", "files_of_the_test", "kept", "rows", "rows_of_all"]

Value = Callable[[Rows, Paper], Any]
VALUES: dict[ParameterKind, Value] = {
    ParameterKind.SPECIMEN: lambda rows, paper: Specimen.objects.get(pk=rows.keys["specimen"]).catalog_number,
    ParameterKind.PAPER: lambda rows, paper: paper.reference,
    ParameterKind.ACCESSION: lambda rows, paper: Accession.objects.get(pk=rows.keys["accession"]).number,
    ParameterKind.AGENT: lambda rows, paper: Agent.objects.get(pk=rows.keys["agent"]).pk,
    ParameterKind.SITE: lambda rows, paper: Site.objects.get(pk=rows.keys["site"]).code,
    ParameterKind.SCAN: lambda rows, paper: paper.scans.get(name="Zzscan.pdf").scan_id,
    ParameterKind.REPORT: lambda rows, paper: Report.objects.get(pk=rows.keys["issued_report"]).reference,
    ParameterKind.USE: lambda rows, paper: f"#{rows.keys['made_use']}",
    ParameterKind.COUNTRY: lambda rows, paper: "GE",
    ParameterKind.TAXON: lambda rows, paper: Specimen.objects.get(pk=rows.keys["specimen"]).name.scientific_name,
    ParameterKind.DAY: lambda rows, paper: "2024-06-01",
    ParameterKind.YEAR: lambda rows, paper: "2024",
    ParameterKind.DAYS: lambda rows, paper: "400",
}
"""What is asked about: the restricted paper and what it covers."""

OF_SEVERAL = {"consent-withdrawn": {"paper", "day"}}
"""Of questions that want one of several things: which are said, of them that may be blank."""


def needed(question: Question, rows: Rows, paper: Paper, *, everything: bool = False) -> dict[str, Any]:
    """What an address must say, all else being left to defaults; everything: all that it can say. The agent is one that
    signs in: some questions ask who did something."""
    User.objects.filter(pk=rows.keys["person"]).update(agent=rows.keys["agent"])
    return {
        one.key: one.choices[0][0] if one.kind is ParameterKind.CHOICE else VALUES[one.kind](rows, paper)
        for one in question.parameters
        if one.key in OF_SEVERAL.get(question.key, ())
        or (question.key not in OF_SEVERAL and everything)
        or (one.is_required and not one.default)
    }


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_question_answers_each_role_and_tells_others_nothing(question: Question, rows: Rows, closed: Paper) -> None:
    """All rows with all that stands above them, as a file holds them."""
    told = needed(question, rows, closed)
    said = {role: told_to(register.person(role, username=f"sweeping-{role}"), question, told) for role in Role}
    assert {role: found for role, words in said.items() if role in OTHERS and (found := CANARY.findall(words))} == {}


def told_to(person: User, question: Question, told: dict[str, Any]) -> str:
    def read(found: Answered[None]) -> str:
        with answer_file(found, "csv") as file:
            return file.read().decode()

    found = answered(question, asked_of(question, told, person), read)
    assert found.answer.sentence
    return found.read


def test_readers_meet_words_of_the_paper(rows: Rows, closed: Paper) -> None:
    """Else the sweep could not fail."""
    question = QUESTION["permit-of-specimen"]
    assert CANARY.search(told_to(register.person(Role.REGISTRAR), question, needed(question, rows, closed)))


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_page_and_files_with_all_that_can_be_asked(question: Question, rows: Rows, closed: Paper) -> None:
    client, told = signed_in(Role.AUDITOR), needed(question, rows, closed, everything=True)
    page = client.get(reverse("audit:ask", args=[question.key]), told)
    assert (page.status_code, dict(page.context["form"].errors)) == (200, {})
    said = [words_of(page)]
    for name in ("ask-xlsx", "ask-docx"):
        found = client.get(reverse(f"audit:{name}", args=[question.key]), told)
        assert found.status_code == 200
        said.append(words_of(found))
    assert [CANARY.findall(words) for words in said] == [[], [], []]


def test_all_can_be_asked_of_the_past(rows: Rows, closed: Paper) -> None:
    """Two days later, of today, inside the clocks, which are entered once: they take their time."""
    asked = [(question, needed(question, rows, closed)) for question in QUESTIONS]
    auditor, moment = register.person(Role.AUDITOR), moment_of(timezone.localdate())
    said: dict[str, list[str]] = {}
    with mock.patch("django.utils.timezone.now", lambda: moment + timedelta(days=2)), as_known(moment):
        for question, told in asked:
            asking = replace(asked_of(question, told, auditor), known_at=moment)
            answer = question.answer(asking)
            said[question.key] = CANARY.findall(f"{answer} {list(answer.rows)}")
    assert {key: words for key, words in said.items() if words} == {}
    assert len(said) == len(QUESTIONS)
