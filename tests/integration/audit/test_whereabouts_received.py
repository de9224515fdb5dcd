"""TRADE 7.4, question 14: who has received any of it, on what agreement?"""

from __future__ import annotations

from datetime import date

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.uses import Answer as Word
from governance.papers.models import Paper
from governance.usedesk.models import UseItem
from tests.factories import register, scans, usedesk
from tests.integration.audit.put import column, links, put, told

pytestmark = pytest.mark.django_db

KEY = "who-received"


def reason(paper: Paper) -> dict[str, object]:
    """As the desk keeps why it answered so."""
    return {"answer": int(Word.ALLOWED), "sentence": f"{paper.reference} allows it.", "paper": paper.pk,
            "reference": paper.reference, "clause": "Zzclause", "clause_number": "Zz7", "page": 3}  # fmt: skip


def test_entries_with_recipients_and_what_went_out_without_one() -> None:
    """Of material of an accession: a loan with its request and agreement, an image made by somebody, a gift to nobody
    that is named. What stayed in the house and names nobody is none of them, nor is what was voided."""
    accession, paper = register.accession("A-1"), register.paper("COL-1")
    first, second = (register.specimen(name, accession=accession) for name in ("S-1", "S-2"))
    scan = scans.scan(stored=False)
    request = usedesk.use_request(reference="UR-1")
    loan = usedesk.made_use(first, second, recipient=usedesk.recipient(name="Reykjavik"), request=request, scan=scan,
                            reference="L-1", answer=int(Word.ALLOWED))  # fmt: skip
    UseItem.objects.filter(use=loan).update(answer=int(Word.ALLOWED), reasons=[reason(paper)])
    usedesk.made_use(
        second, deed="imaging", on=date(2026, 4, 1), recipient=usedesk.recipient(name="Oslo", country="NO")
    )
    usedesk.made_use(first, deed="gift", on=date(2026, 5, 1))
    usedesk.made_use(first, deed="teaching")
    usedesk.made_use(register.specimen("OTHER", accession=register.accession("A-2")), recipient=usedesk.recipient())
    usedesk.made_use(first, recipient=usedesk.recipient(), voided_at="2026-05-05T10:00Z", voided_by=loan.recorded_by,
                     voided_why="a slip")  # fmt: skip
    found = put(KEY, accession="A-1")
    assert column(found, "on", "recipient", "what", "specimens", "request", "papers", "answer", "out") == [
        (date(2026, 5, 1), None, "Given away", 1, None, "", "", None),
        (date(2026, 4, 1), "Oslo", "Imaged", 1, None, "", "", None),
        (date(2026, 3, 2), "Reykjavik", "Lent", 2, "UR-1", "COL-1", "Allowed", 1),
    ]  # fmt: skip
    assert found.sentence == "2 recipients are on record for material of accession A-1, in 3 entries."
    assert [one.count for one in found.missing] == [1, 2], "without a recipient; without a request"
    assert links(found, "agreement") == ["", "", f"/scans/{scan.pk}/"]
    assert column(put(KEY, specimen="S-2"), "recipient") == ["Oslo", "Reykjavik"]


def test_material_of_a_paper_with_what_was_taken_from_it() -> None:
    """The paper bears on the specimen; the extract that was made of it went out under another accession."""
    paper, specimen = register.paper("COL-1"), register.specimen("S-1", accession=register.accession("A-1"))
    register.link(paper, specimen=specimen)
    extract = register.specimen("E-1", parent=specimen, kind="part", accession=register.accession("A-2"))
    usedesk.made_use(extract, recipient=usedesk.recipient(name="Reykjavik"))
    usedesk.made_use(register.specimen("OTHER"), recipient=usedesk.recipient(name="Oslo"))
    assert column(put(KEY, paper="COL-1"), "recipient", "specimens") == [("Reykjavik", 1)]
    assert column(put(KEY, paper="COL-1", accession="A-1"), "recipient") == ["Reykjavik"]
    assert column(put(KEY, paper="COL-1", country="SE"), "recipient") == []
    assert sorted(column(put(KEY), "recipient")) == ["Oslo", "Reykjavik"]


def test_clauses_of_a_restricted_paper_and_a_closed_agreement_stay_with_their_readers() -> None:
    paper = register.paper("CLOSED", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    scan = scans.scan(stored=False, restricted_to=role_bits([Role.REGISTRAR]), original_name="Zzscan.pdf")
    loan = usedesk.made_use(register.specimen(), recipient=usedesk.recipient(), scan=scan, answer=0)
    UseItem.objects.update(answer=int(Word.ALLOWED), reasons=[reason(paper)])
    assert loan.scan == scan
    found = put(KEY, Role.AUDITOR)
    assert "Zz7" in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "papers", "agreement") == [("CLOSED", None)]
    assert found.kept_back == ("The clauses of 1 paper are for its readers.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        specimen = register.specimen(accession=register.accession(f"A-{number}"))
        request = usedesk.use_request()
        usedesk.made_use(specimen, recipient=usedesk.recipient(), request=request, scan=scans.scan(stored=False))
    with django_assert_num_queries(20):
        assert len(column(put(KEY, country="GE"), "entry")) == count
