"""TRADE 7.4, question 16: which specimens were sequenced; was that allowed; where are the sequences?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.models import Role
from governance.engine.uses import Answer as Word
from governance.engine.uses import Use
from governance.usedesk.models import RequestDecision, Sequence, UseItem
from tests.factories import register, usedesk
from tests.integration.audit.put import column, links, put, table

pytestmark = pytest.mark.django_db

KEY = "sequenced"


def sequenced(specimen: Specimen, answer: Word | None = None, *numbers: str, **item: Any) -> UseItem:
    """An entry of sequencing of one specimen, with the answer of its day and the sequences of it."""
    made = usedesk.made_use(specimen, deed="sequencing", use=int(Use.SEQUENCING), recipient=usedesk.recipient())
    UseItem.objects.filter(use=made).update(answer=None if answer is None else int(answer), **item)
    found = UseItem.objects.get(use=made)
    for number in numbers:
        Sequence.objects.create(item=found, accession_number=number)
    return found


def test_answers_of_the_day_and_where_the_sequences_are() -> None:
    """Allowed; not allowed; silent by no word of the paper, which is no consent (TRADE 6.2); silent and approved by a
    person; and one of which the desk was not asked. An extract counts as itself, with what it was taken from."""
    names = ("1-YES", "2-NO", "3-SILENT", "4-APPROVED")
    yes, no, silent, approved = (register.specimen(name) for name in names)
    extract = register.specimen("5-EXTRACT", parent=yes, kind="part")
    request = usedesk.use_request(Use.SEQUENCING)
    decision = RequestDecision.objects.create(
        request=request, is_approved=True, answer=int(Word.SILENT), reason="By the director.",
        decided_by=register.person(Role.REGISTRAR),
    )  # fmt: skip
    silence = [{"answer": int(Word.SILENT), "is_silent": True, "sentence": "COL-1 is silent on it."}]
    sequenced(yes, Word.ALLOWED, "ZZ000001", "ZZ000002")
    sequenced(no, Word.NOT_ALLOWED, "ZZ000003", is_outside=True)
    sequenced(silent, Word.SILENT, reasons=silence)
    sequenced(approved, Word.SILENT, reasons=silence, decision=decision)
    entry = sequenced(extract).use
    usedesk.made_use(register.specimen("6-LENT"))
    found = put(KEY)
    by_name = {
        row["specimen"]: (row["answer"], row["standing"], row["sequences"], row["number"]) for row in table(found)
    }
    assert by_name == {
        "1-YES": ("Allowed", "Within the terms of that day", "ZZ000001, ZZ000002", 2),
        "2-NO": ("Not allowed", "Not within the terms as known", "ZZ000003", 1),
        "3-SILENT": ("Terms silent", "Not shown to be within the terms", "", 0),
        "4-APPROVED": ("Terms silent", "Approved by a decision", "", 0),
        "5-EXTRACT": ("", "", "", 0),
    }
    assert found.sentence == (
        "5 specimens and parts were sequenced. Of 2 the terms of that day allowed it, or a person approved it. Of 1 it "
        "is not shown: papers are silent, or were not read. Of 1 it was not within the terms as known. Of 1 the desk "
        "gave no answer. 3 accession numbers of sequences are on record."
    )
    assert [one.count for one in found.missing] == [3]
    assert column(put(KEY, specimen="1-YES"), "specimen", "parent") == [("5-EXTRACT", "1-YES"), ("1-YES", None)]
    assert links(put(KEY, specimen="5-EXTRACT"), "entry") == [f"/desk/uses/{entry.pk}/"]


def test_sequences_of_other_entries_and_specimens_that_were_sequenced_twice() -> None:
    """A sequence that is recorded with an extraction shows that it was sequenced; two entries are one specimen."""
    twice, extracted = register.specimen("TWICE"), register.specimen("EXTRACTED")
    sequenced(twice)
    sequenced(twice)
    item = UseItem.objects.get(use=usedesk.made_use(extracted, deed="extraction", on=date(2026, 1, 1)))
    Sequence.objects.create(item=item, accession_number="ZZ000009")
    voided = sequenced(register.specimen("VOIDED"), None, "ZZ000010").use
    type(voided).objects.filter(pk=voided.pk).update(
        voided_at="2026-05-05T10:00Z", voided_by=register.person(), voided_why="a slip"
    )
    found = put(KEY)
    assert column(found, "specimen") == ["TWICE", "TWICE", "EXTRACTED"]
    assert (found.count, found.sentence[:38]) == (2, "2 specimens and parts were sequenced. ")


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        sequenced(register.specimen(accession=register.accession(f"A-{number}")), Word.ALLOWED, "ZZ000001")
    with django_assert_num_queries(5):
        assert len(column(put(KEY), "specimen")) == count
