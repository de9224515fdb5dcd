"""TRADE 7.4, question 12: are the required duplicates and holotypes deposited? Receipts?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.papers.models import Paper
from tests.factories import duties, register, scans
from tests.integration.audit.put import column, links, put, told

pytestmark = pytest.mark.django_db

KEY = "deposits-due"


def promised(paper: Paper | None = None, **values: Any) -> Any:
    """Ten holotypes and duplicates that a paper wants in the country."""
    told = {"is_deposit": True, "quantity": 10, "unit": "specimens", "what": "Holotypes and duplicates", "code": "M-d"}
    return duties.promise(paper, **(told | values))


def test_asked_for_deposited_and_receipted() -> None:
    """7 + 3 = 10 of 10 are deposited: met, and one of the two has no receipt. Of another promise nothing is there and
    its day is over; a duty by rule comes later; what was voided counts nowhere."""
    promise, scan = promised(), scans.scan(stored=False)
    promised(what="Second set", due_on=date(2026, 11, 25))
    promised(is_deposit=False, what="Training", unit="days")
    duties.duty(kind="deposit", what="Return duplicates", due_on=date(2027, 6, 30))
    first = duties.deposit(promise=promise, specimens=7, receipt="R-7", receipt_on=date(2024, 8, 1), scan=scan)
    duties.deposit(promise=promise, specimens=3, on=date(2025, 7, 1))
    duties.deposit(promise=promise, voided_at=timezone.now(), voided_by=first.recorded_by, voided_why="a slip")
    found = put(KEY)
    assert column(found, "row", "what", "asked", "deposited", "state", "receipt") == [
        ("Asked for", "Second set", 10, 0, "Late", None),
        ("Asked for", "Holotypes and duplicates", 10, 10, "Met, receipt missing", None),
        ("Asked for", "Return duplicates", None, None, "Coming", ""),
        ("Deposited", "Deposit", None, 3, "No receipt yet", ""),
        ("Deposited", "Deposit", None, 7, "Receipt on file", "R-7"),
    ]
    assert found.sentence == (
        "3 deposits are asked for: 1 is met, 1 is late and 1 is open. 2 deposits are on record. Of 1 deposit no "
        "receipt is entered."
    )
    assert links(found, "receipt")[-1] == f"/scans/{scan.pk}/"


def test_words_and_numbers_of_a_restricted_paper_stay_with_its_readers() -> None:
    paper = register.paper("CLOSED")
    promise = promised(paper, what="Zzwhat", unit="Zzunit")
    duties.duty(kind="deposit", paper=paper, what="Zzduty", to_whom="Zzwhom")
    duties.deposit(promise=promise, paper=paper, depository="Zzwhere", receipt="Zzreceipt", what="Zzthing")
    Paper.objects.update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.AUDITOR)
    assert "Zz" in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "state", "asked") == [
        ("Cannot be measured", None), ("Coming", None), ("Receipt on file", None),
    ]  # fmt: skip
    assert found.kept_back == ("Of 3 rows the words and numbers are for readers of their papers.",)


def test_narrowed_to_a_country() -> None:
    promised(), promised(country="SE", what="To Sweden")
    assert column(put(KEY, country="SE"), "what") == ["To Sweden"]
    assert put(KEY, country="CR").sentence == "0 deposits are asked for. 0 deposits are on record."


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        paper = register.paper(f"P-{number}")
        promise = promised(paper, quantity=None, unit="", share_percent=10)
        duties.deposit(promise=promise, paper=paper, accession=register.accession(f"A-{number}"))
        duties.duty(kind="deposit", paper=paper, accession=register.accession(f"B-{number}"))
    with django_assert_num_queries(12):
        assert len(column(put(KEY), "what")) == 3 * count
