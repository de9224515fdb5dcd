"""TRADE 7.4, question 15: which loans are overdue; do their terms still allow them to be out?

Loans at home, so that nothing crosses a border. A paper's terms are those of its version: from 1 June 2026 on of the
second one.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.uses import Answer as Word
from governance.engine.uses import Said, Use
from governance.papers.models import Paper
from governance.usedesk.models import DeskRules, MadeUse, Recipient, UseItem
from tests.factories import register, usedesk, verdicts
from tests.integration.audit.put import column, put, told

pytestmark = pytest.mark.django_db

KEY = "loans-overdue"
LATE = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def house() -> None:
    DeskRules.objects.create(pk=1, country="SE")


def paper(reference: str, *said: Said) -> Paper:
    """A paper with a version for each answer: from the beginning of 2020, and from June 2026 on."""
    made = register.paper(reference)
    for first, one in zip(("2020-01-01", "2026-06-01"), said, strict=False):
        usedesk.use_term(register.version(made, first, None), Use.LOAN_AT_HOME, one, clause="Zzclause")
    return made


def specimen(under: Paper) -> Specimen:
    made = register.specimen()
    register.link(under, specimen=made)
    verdicts.judged(made)
    return made


def lent(*specimens: Specimen, to: Recipient | None = None, **values: Any) -> MadeUse:
    told = {"use": int(Use.LOAN_AT_HOME), "due_on": LATE, "answer": int(Word.ALLOWED)}
    return usedesk.made_use(*specimens, recipient=to or usedesk.recipient(country="SE"), **(told | values))


def test_terms_that_changed_since_it_left() -> None:
    """All left in March, when their papers allowed it. In force today: A still allows it, B forbids it, C asks for an
    agreement that nobody has, D was not read in its new version."""
    allows, forbids, asks = (
        paper(name, Said.ALLOWED, said)
        for name, said in (("A", Said.ALLOWED), ("B", Said.NOT_ALLOWED), ("C", Said.ASK_FIRST))
    )
    unread = paper("D", Said.ALLOWED)
    register.version(unread, "2026-06-01", None)
    for number, under in enumerate((allows, forbids, asks, unread), start=1):
        lent(specimen(under), reference=f"L-{number}")
    found = put(KEY)
    assert column(found, "loan", "then", "now", "standing") == [
        ("L-1", "Allowed", "Allowed", "Within the terms of that day"),
        ("L-2", "Allowed", "Not allowed", "Not within the terms as known"),
        ("L-3", "Allowed", "Ask the provider first", "Not within the terms as known"),
        ("L-4", "Allowed", "Not known", "Not shown to be within the terms"),
    ]
    assert found.sentence == (
        "4 loans are overdue on 26 November 2026. The terms in force still allow 1 of them to be out. Of 2 the terms "
        "in force do not allow it, or ask for an agreement that is not on file. Of 1 it is not shown: papers are "
        "silent, or were not read."
    )
    assert column(found, "late") == [1, 1, 1, 1]
    in_may = put(KEY, on=date(2027, 5, 1))
    assert column(in_may, "late")[0] == 157, "5 + 31 + 31 + 28 + 31 + 30 + 1 days after 25 November"


def test_late_by_its_day_and_by_what_is_out() -> None:
    """What is due today is not late; a loan of which all was kept is none any more; one without a day is told."""
    allows = paper("A", Said.ALLOWED)
    lent(specimen(allows), due_on=date(2026, 11, 26))
    gone = specimen(allows)
    lent(gone)
    usedesk.made_use(gone, deed="retention")
    lent(specimen(allows), due_on=None)
    two = lent(specimen(allows), specimen(allows), reference="TWO", to=usedesk.recipient(country="SE", name="Lund"))
    usedesk.made_use(UseItem.objects.filter(use=two).earliest("pk").specimen, deed="retention", parent=two)
    found = put(KEY)
    assert column(found, "loan", "out", "borrower") == [("TWO", 1, "Lund")]
    assert found.missing[0].words == "1 loan that is out has no day on which it is due back."
    assert column(put(KEY, country="IS"), "loan") == []
    assert put(KEY, country="IS").sentence == "No loan is overdue on 26 November 2026."


def test_clauses_of_a_restricted_paper_stay_with_its_readers() -> None:
    forbids = paper("B", Said.ALLOWED, Said.NOT_ALLOWED)
    Paper.objects.filter(pk=forbids.pk).update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    lent(specimen(forbids))
    found = put(KEY, Role.AUDITOR)
    assert "Zzclause" in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "now", "clauses") == [
        ("Not allowed", "B: Restricted: open to registrars. Ask one of them."),
    ]  # fmt: skip
    assert found.kept_back == ("The clauses of 1 paper are for its readers.",)


def test_loans_that_are_answered_alike_cost_one_answer() -> None:
    """Of recipients of one kind and country; of another country it is another answer."""
    allows = paper("A", Said.ALLOWED)
    register.person(Role.REGISTRAR)
    numbers = []
    for count in (1, 4):
        for _number in range(count):
            lent(specimen(allows))
        with CaptureQueriesContext(connection) as asked:
            put(KEY)
        numbers.append(len(asked))
    assert numbers[0] == numbers[1] <= 50
