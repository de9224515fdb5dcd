"""Every ready question of the registry, opened as people open it: as a page for each role, as each file, with all that
it can be asked with, and as known on a past day; on the rows of the sweep, with a restricted paper whose words nobody
else may meet.

What this cannot show: that an answer is right; each question has tests of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from unittest import mock

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Accession, Specimen
from accessions.people.models import Agent, Role
from accessions.sites.models import Site
from governance.audit.asking import ParameterKind, Question
from governance.audit.questions import QUESTIONS
from governance.papers.models import Paper
from governance.reports.models import Report
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
    ParameterKind.TAXON: lambda rows, paper: "Odonata",
    ParameterKind.DAY: lambda rows, paper: "2024-06-01",
    ParameterKind.YEAR: lambda rows, paper: "2024",
    ParameterKind.DAYS: lambda rows, paper: "400",
}
"""What is asked about: the restricted paper and what it covers."""


def needed(question: Question, rows: Rows, paper: Paper, *, everything: bool = False) -> dict[str, Any]:
    """What an address must say, all else being left to defaults; everything: all that it can say."""
    return {
        one.key: one.choices[0][0] if one.kind is ParameterKind.CHOICE else VALUES[one.kind](rows, paper)
        for one in question.parameters
        if everything or (one.is_required and not one.default)
    }


def opened(client: Client, question: Question, told: dict[str, Any]) -> str:
    found = client.get(reverse("audit:ask", args=[question.key]), told)
    assert (found.status_code, dict(found.context["form"].errors)) == (200, {})
    assert found.context["answer"].sentence
    return words_of(found)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_question_opens_for_each_role_and_tells_others_nothing(question: Question, rows: Rows, closed: Paper) -> None:
    told = needed(question, rows, closed)
    said = {role: CANARY.findall(opened(signed_in(role), question, told)) for role in Role}
    assert {role: words for role, words in said.items() if words and role in OTHERS} == {}


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_files_and_whole_forms_tell_an_auditor_nothing(question: Question, rows: Rows, closed: Paper) -> None:
    client, told = signed_in(Role.AUDITOR), needed(question, rows, closed, everything=True)
    said = [opened(client, question, told)]
    for name in ("ask-csv", "ask-xlsx", "ask-docx"):
        found = client.get(reverse(f"audit:{name}", args=[question.key]), told)
        assert found.status_code == 200
        said.append(words_of(found))
    assert [CANARY.findall(words) for words in said] == [[], [], [], []]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.key)
def test_question_can_be_asked_of_the_past(question: Question, rows: Rows, closed: Paper) -> None:
    """Two days later, of today: the same rows by way of the clocks."""
    told, later = needed(question, rows, closed), timezone.now() + timedelta(days=2)
    client, known = signed_in(Role.AUDITOR), timezone.localdate().isoformat()
    with mock.patch("django.utils.timezone.now", lambda: later):
        words = opened(client, question, told | {"known": known, "on": known})
    assert CANARY.findall(words) == []
    assert "What the register does not keep of its past" in words
