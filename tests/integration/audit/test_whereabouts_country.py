"""TRADE 7.4, question 13: where is every specimen from country C now, and every part of it?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import PoolMember, Specimen
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.usedesk.models import LoanReturn, MadeUse, UseItem
from tests.factories import register, usedesk
from tests.integration.audit.put import column, links, put

pytestmark = pytest.mark.django_db

KEY = "where-is-it"


def lent_and_back(specimen: Specimen) -> None:
    loan = usedesk.made_use(specimen)
    back = LoanReturn.objects.create(use=loan, on=date(2026, 4, 1), recorded_by=loan.recorded_by)
    UseItem.objects.filter(use=loan).update(returned=back)


def made(deed: str, *specimens: Specimen, used_up: bool = False, **values: Any) -> MadeUse:
    entry = usedesk.made_use(*specimens, deed=deed, **values)
    UseItem.objects.filter(use=entry).update(is_used_up=used_up)
    return entry


def test_each_specimen_and_part_where_the_entries_leave_it() -> None:
    """Of nine from Georgia two are out, three are no longer here, and four are: one never left, one came back, one was
    damaged, which is no word that it is gone, and of one the entry was voided. A leg that was taken and a pool that was
    made are recorded under another country, and are of Georgia all the same: eleven, of which six are here."""
    names = ("1-HERE", "2-BACK", "3-OUT", "4-LENT-ON", "5-GIVEN", "6-USED", "7-LOST", "8-DAMAGED", "9-VOIDED")
    here, back, out, lent_on, given, used, lost, damaged, voided = (register.specimen(name) for name in names)
    elsewhere = register.event(country="SE")
    register.specimen("LEG", event=elsewhere, parent=here, kind="part")
    PoolMember.objects.create(pool=register.specimen("POOL", event=elsewhere), member=here)
    register.specimen("SWEDISH", event=elsewhere)
    register.specimen("NOWHERE", event=register.event(country=""))
    lent_and_back(back)
    reykjavik, oslo = usedesk.recipient(name="R"), usedesk.recipient(name="O", country="NO")
    loan = made("loan", out, lent_on, recipient=reykjavik, due_on=date(2027, 3, 2))
    made("onward-loan", lent_on, recipient=oslo, parent=loan, on=date(2026, 5, 5))
    made("gift", given, recipient=oslo)
    made("sampling", used, used_up=True)
    made("loss", lost, used_up=True)
    made("loss", damaged)
    made("disposal", voided, voided_at="2026-05-05T10:00Z", voided_by=loan.recorded_by, voided_why="a slip")
    register.arrival()
    found = put(KEY, country="GE")
    assert column(found, "specimen", "place", "holder", "since") == [
        ("1-HERE", "Here", None, None), ("2-BACK", "Here", None, None),
        ("3-OUT", "Out on loan", "R", date(2026, 3, 2)),
        ("4-LENT-ON", "Out on loan, lent on by the borrower", "O", date(2026, 5, 5)),
        ("5-GIVEN", "Given away", "O", date(2026, 3, 2)), ("6-USED", "Used up", None, date(2026, 3, 2)),
        ("7-LOST", "Lost", None, date(2026, 3, 2)), ("8-DAMAGED", "Here", None, None), ("9-VOIDED", "Here", None, None),
        ("LEG", "Here", None, None), ("POOL", "Here", None, None),
    ]  # fmt: skip
    assert found.sentence == (
        "11 specimens and parts from Georgia are on record: 6 here, 2 out on loan, 3 no longer here. 1 of those on "
        "loan was lent on by the borrower."
    )
    assert [one.words for one in found.missing] == [
        "Of 1 specimen no country is known: it may come from there.",
        "1 delivery has no accession yet: what is in it is not told by specimens.",
    ]
    assert links(found, "entry")[2] == f"/desk/uses/{loan.pk}/"
    assert column(found, "parent")[-2] == "1-HERE"
    assert found.notes[0].startswith("2 of them were taken from material of the country")


def test_of_nothing_and_of_no_country() -> None:
    assert put(KEY, country="CR").sentence == "No specimen from Costa Rica is on record."
    for written in ("", "XX", "Georgia"):
        with pytest.raises(UnknownValueError) as refused:
            put(KEY, country=written)
        assert refused.value.parameter == "country"


@pytest.mark.parametrize("count", [1, 5])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        parent = register.specimen(accession=register.accession(f"A-{number}"))
        register.specimen(parent=parent, kind="part")
        usedesk.made_use(parent, recipient=usedesk.recipient())
    with django_assert_num_queries(13):
        assert len(column(put(KEY, country="GE"), "place")) == 2 * count
