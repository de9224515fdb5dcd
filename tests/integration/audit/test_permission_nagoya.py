"""TRADE 7.4, question 19: show why you held that Nagoya did not apply to an accession.

Cut-off days are those of the data file (Convention in force 29 December 1993, Protocol in force 12 October 2014).
"""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Accession
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.verdicts.actions.assessing import assess
from governance.verdicts.models import LayerDecision
from tests.factories import register
from tests.factories.verdicts import decision
from tests.integration.audit.put import column, links, put, table

pytestmark = pytest.mark.django_db


def _accession(number: str = "A") -> None:
    """Three specimens from Georgia: of 1985, of 2020, and without a day."""
    accession = register.accession(number)
    for n, day in enumerate(("1985-06-01", "2020-06-01", "")):
        register.specimen(f"LMN-{number}{n}", accession=accession, event=register.event(day=day))


def _decided() -> LayerDecision:
    _accession()
    sheet = register.sheet(checked_by="N. Moe", checked_on=date(2026, 9, 1))
    register.rule(sheet, Layer.ACCESS, from_on=date(2018, 1, 1))
    made = decision(
        Accession.objects.get(), Layer.ACCESS, reason="Taken before there was a rule.", evidence="Letter 7",
        decided_by=register.person(Role.COMPLIANCE),
    )  # fmt: skip
    LayerDecision.objects.update(decided_at=datetime(2025, 3, 4, 12, tzinfo=UTC))
    assess(by=None, why="first")
    return made


def test_decision_with_evidence_verdicts_rules_and_cut_offs() -> None:
    """A decision counts as not required for all of the accession (VERDICTS 7.1)."""
    _decided()
    answer = put("nagoya-not-applied", accession="A")
    assert answer.sentence == (
        "That A needed no paper of the access layer was decided by Nora Compliance on 4 March 2025: “Taken before "
        "there was a rule.” The verdicts of the access layer: 3 specimens “not required”."
    )
    rows = {row.key.split(":")[0]: row for row in answer.rows}
    assert rows["decision"].cells[1:] == (
        "Taken before there was a rule.", 3, "Letter 7", "Nora Compliance", date(2025, 3, 4)
    )  # fmt: skip
    assert rows["rule"].cells[1:] == (
        "required from 1 January 2018",
        3,
        "invented rule, section 1",
        "N. Moe",
        date(2026, 9, 1),
    )
    assert links(answer, "what")[0].endswith("/file/")
    told = {row["says"]: row["specimens"] for row in table(answer)}
    words = "taken before 1, since 1, not known 1"
    assert told[f"Convention on Biological Diversity in force on 29 December 1993: {words}"] == 1
    assert told[f"Nagoya Protocol in force on 12 October 2014: {words}"] == 1
    assert [one.count for one in answer.missing] == [1]  # the one without a day
    assert answer.total == 3


def test_a_decision_that_was_withdrawn_and_a_layer_that_is_open() -> None:
    """Without it: of 1985 no rule of the sheet speaks, so it cannot be told; of 2020 the paper is missing; without a
    day it cannot be told whether it was required."""
    made = _decided()
    made.withdrawn_at, made.withdrawn_by = datetime(2026, 1, 2, 12, tzinfo=UTC), register.person(Role.COMPLIANCE)
    made.withdrawn_reason = "The letter is of another journey."
    made.save()
    assess(by=None, why="second")
    answer = put("nagoya-not-applied", accession="A")
    assert answer.sentence == (
        "That A needed no paper of the access layer was decided, and the decision was withdrawn. The verdicts of the "
        "access layer: 2 specimens “cannot tell” and 1 specimen “no paper on file”."
    )
    assert (
        "Withdrawn on 2 January 2026 by Nora Compliance: The letter is of another journey." in column(answer, "says")[0]
    )
    assert answer.missing[0].words.startswith("A decision with evidence")


def test_nobody_decided_and_nothing_was_checked() -> None:
    _accession()
    answer = put("nagoya-not-applied", accession="A")
    assert answer.sentence == (
        "Nobody decided that A needed no paper of the access layer. The access layer has no verdict yet."
    )
    assert answer.missing[-1].count == 3


def test_queries_do_not_grow_with_material(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    _decided()
    register.person(Role.REGISTRAR)
    with django_assert_num_queries(9):
        put("nagoya-not-applied", accession="A")
    accession = Accession.objects.get()
    for n in range(6):
        register.specimen(f"LMN-B{n}", accession=accession, event=register.event(day=f"20{10 + n}-06-01"))
    assess(by=None, why="second")
    with django_assert_num_queries(9):
        assert put("nagoya-not-applied", accession="A").total == 9
