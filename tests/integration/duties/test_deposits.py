"""Deposits in the country: counted once, and the share of the material of a paper, worked out by hand beside each case.

Half of the duplicates stays in the country: a usual condition of collecting permits (common practice, no source).
"""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone
from openpyxl import load_workbook

from accessions.material.models import Specimen
from accessions.people.models import Role
from governance.duties.actions import deposits as actions
from governance.duties.actions.errors import DutyError
from governance.duties.actions.working_out import work_out
from governance.duties.models import Deposit, Duty
from governance.duties.queries.benefits import PromiseState, promise_lines
from governance.duties.queries.deposits import deposits, share_of, shares
from governance.duties.queries.ledger import basis
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import Paper, TitleRecord
from governance.usedesk.models import Recipient
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from tests.factories import duties, register, usedesk

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)
TODAY = date(2026, 11, 26)


@pytest.fixture
def by() -> Any:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def registrar(client: Client, by: Any) -> Client:
    client.force_login(by)
    return client


@pytest.fixture
def paper() -> Paper:
    return register.paper("COL-2024-052")


def under(paper: Paper, count: int) -> list[Specimen]:
    found = [register.specimen() for _ in range(count)]
    for one in found:
        register.link(paper, specimen=one)
    return found


def returned(*specimens: Specimen, **values: Any) -> Any:
    there = Recipient.objects.filter(country="GE").first() or usedesk.recipient(
        country="GE", name="Collection of Nazvri"
    )
    return usedesk.made_use(*specimens, **{"deed": "return", "on": ON, "recipient": there, **values})


def half(paper: Paper, **values: Any) -> Any:
    told = {"is_deposit": True, "share_percent": Decimal(50), "quantity": None, "unit": "", "code": "N-e"}
    return duties.promise(paper, **(told | values))


def test_share_of_what_a_paper_bears_on(paper: Paper, by: Any) -> None:
    """10 specimens: 4 returned, 1 used up elsewhere, 5 here; 2 stayed in the country. (4 + 2) / (6 + 5) = 54.54 %."""
    specimens = under(paper, 10)
    use = returned(*specimens[:4], register.specimen())  # one of another paper goes along
    gone = usedesk.made_use(specimens[4], deed="sampling")
    gone.items.update(is_used_up=True)
    promise = half(paper, due_on=TODAY - timedelta(1))
    assert promise_lines([promise], TODAY)[0].state == PromiseState.OVERDUE
    actions.add_deposit(by=by, why="entered", use=use, country="GE", depository="Nazvri", on=ON, promise=promise)
    line = promise_lines([promise], TODAY)[0]
    assert (line.given, line.state) == (Decimal("44.44"), PromiseState.OVERDUE)  # 4 / (4 + 5)
    actions.add_deposit(by=by, why="entered", specimens=2, country="GE", depository="Nazvri", on=ON, paper=paper)
    line = promise_lines([promise], TODAY)[0]
    assert line.share and (line.share.deposited, line.share.held, line.share.gone) == (6, 5, 1)
    assert (line.given, line.state) == (Decimal("54.54"), PromiseState.MET)
    assert basis(line.share) == (
        "6 of 11 records of specimens that the paper bears on: 6 deposited, 5 held here. Of those deposited, 2 were "
        "never entered here. 1 that are gone otherwise are not counted. 2 deposits have no receipt yet."
    )


def test_met_without_its_receipt_is_to_be_seen_to(registrar: Client, by: Any, paper: Paper) -> None:
    """1 of 2 is the half that was promised; until the receipt is here the duty is not done."""
    under(paper, 1)
    promise = half(paper, due_on=date(2026, 12, 1))
    made = duties.deposit(specimens=1, paper=paper, promise=promise, on=ON)
    line = promise_lines([promise], TODAY)[0]
    assert (line.state, line.standing) == (PromiseState.MET, "receipt-missing")
    work_out(by=by, why="test")
    duty = Duty.objects.get()
    assert duty.done_on is None
    page = registrar.get("/duties/benefits/?state=receipt-missing").content.decode()
    assert "Met, receipt missing" in page and "1 more is met and its receipt is missing." in page
    assert list(registrar.get("/duties/benefits/?state=met").context["lines"]) == []
    assert "Met, receipt missing." in registrar.get(f"/duties/benefits/promises/{promise.pk}/").content.decode()
    made.receipt = "N-17"
    made.save()
    assert promise_lines([promise], TODAY)[0].standing == "met"
    work_out(by=by, why="test")
    duty.refresh_from_db()
    assert duty.done_on == ON


def test_share_is_never_rounded_up(paper: Paper) -> None:
    """1 of 3 is 33.33 %, which is not 33.34 %; exactly half is half."""
    first, *rest = under(paper, 3)
    duties.deposit(use=returned(first), specimens=None, paper=paper)
    assert share_of(paper).percent == Decimal("33.33")
    assert not share_of(paper).reaches(Decimal("33.34"))
    usedesk.made_use(rest[0], deed="disposal")
    assert share_of(paper).reaches(Decimal(50))


def test_voided_entry_counts_no_longer(paper: Paper, by: Any) -> None:
    """Neither a deposit that was voided, nor one whose entry of uses was; taken up again it is the same row."""
    use = returned(*under(paper, 2))
    made = actions.add_deposit(by=by, why="entered", use=use, country="GE", depository="Nazvri", on=ON, paper=paper)
    assert [line.count for line in deposits("GE", paper)] == [2]
    actions.void_deposit(made, by=by, why="wrong entry")
    assert deposits("GE", paper) == [] and share_of(paper).deposited == 0
    again = actions.add_deposit(
        by=by, why="right after all", use=use, country="GE", depository="Nazvri herbarium", on=ON, paper=paper
    )
    assert (again.pk, again.depository, share_of(paper).deposited) == (made.pk, "Nazvri herbarium", 2)
    assert made.history.count() == 3
    use.voided_at, use.voided_by, use.voided_why = timezone.now(), by, "never left"
    use.save()
    assert deposits("GE", paper) == [] and share_of(paper).percent == 0


def test_deposit_in_another_country_answers_no_promise(paper: Paper) -> None:
    """Promised to Georgia, deposited in Norway: it does not count for the promise."""
    promise = half(paper, country="GE")
    duties.deposit(specimens=5, country="NO", paper=paper)
    assert shares([promise])[promise.pk].deposited == 0
    duties.deposit(specimens=3, country="GE", paper=paper)
    assert shares([promise])[promise.pk].deposited == 3


def test_no_share_without_material(by: Any, paper: Paper) -> None:
    """A paper that is linked to nothing: the share is not known, and nobody is told that it is met or missed."""
    line = promise_lines([half(paper, due_on=TODAY - timedelta(1))], TODAY)[0]
    assert (line.given, line.open, line.state) == (None, None, PromiseState.NOT_MEASURED)


def test_what_is_no_deposit(by: Any, paper: Paper) -> None:
    specimen = register.specimen()
    told = {"country": "GE", "depository": "Nazvri", "on": ON}
    wrong = {
        "use": usedesk.made_use(specimen, deed="loan", on=ON), "on": timezone.localdate() + timedelta(1),
        "promise": None,
    }  # fmt: skip
    with pytest.raises(ValidationError) as refused:
        actions.add_deposit(by=by, why="entered", **(told | wrong))
    assert set(refused.value.message_dict) == {"use", "on"}
    wrong = {"specimens": 4, "country": "XX", "receipt_on": timezone.localdate() + timedelta(1)}
    with pytest.raises(ValidationError) as refused:
        actions.add_deposit(by=by, why="entered", **(told | wrong))
    assert set(refused.value.message_dict) == {"country", "receipt_on"}
    for more in ({"use": returned(specimen), "country": "NO"}, {"use": returned(specimen), "on": ON - timedelta(1)},
                 {}, {"use": returned(specimen), "specimens": 4}, {"specimens": 4, "receipt_on": ON},
                 {"specimens": 4, "promise": duties.promise(paper)}):  # fmt: skip
        with pytest.raises(ValidationError):
            actions.add_deposit(by=by, why="entered", **(told | more))
    assert not Deposit.objects.exists()
    made = actions.add_deposit(by=by, why="entered", **told, use=returned(specimen))
    with pytest.raises(ValidationError, match="already exists"):
        actions.add_deposit(by=by, why="entered", **told, use=made.use)
    with pytest.raises(DutyError, match="Say why it is voided"):
        actions.void_deposit(made, by=by, why=" ")
    actions.void_deposit(made, by=by, why="twice")
    with pytest.raises(DutyError, match="voided"):
        actions.void_deposit(made, by=by, why="twice")


def test_papers_reach_the_same_specimens_both_ways() -> None:
    """By accession, part, event, site, specimen and title: as ``bearing`` finds them from the specimens."""
    accession, site = register.accession(), register.site()
    part = register.part(accession)
    event = register.event("E-7", site=site)
    rows = [
        register.specimen(accession=accession, part=part), register.specimen(accession=accession, event=event),
        register.specimen(accession=register.accession("LMN-2020-001"), event=register.event(site_name=site.name)),
        register.specimen(accession=register.accession("LMN-2020-002")),
    ]  # fmt: skip
    targets: list[dict[str, Any]] = [
        {"accession": accession}, {"part": part}, {"event": event}, {"site": site}, {"specimen": rows[3]},
        {"all_accessions": True},
    ]  # fmt: skip
    papers = [register.paper(f"P-{number}") for number in range(len(targets) + 1)]
    for paper, target in zip(papers, targets, strict=False):
        register.link(paper, **target)
    TitleRecord.objects.create(accession=accession, kind="gift", paper=papers[-1])
    asked = [SpecimenRow(one.pk, one.accession_id, one.part_id or -1, one.event_id, one.name_id, -1) for one in rows]
    borne = bearing(asked).papers
    found = specimens_under([paper.pk for paper in papers])
    for number, paper in enumerate(papers):
        expected = {one.pk for one, on in zip(rows, borne, strict=True) if paper.pk in on}
        assert expected and found[paper.pk] == expected, number


# Pages ----------------------------------------------------------------------------------------------------------------


def test_deposit_from_an_entry_of_uses(registrar: Client, paper: Paper) -> None:
    """The page opened for the entry knows day, country and place; the receipt comes later."""
    use = returned(*under(paper, 3), reference="R-9")
    page = registrar.get(f"/duties/deposits/new/?use={use.pk}").content.decode()
    assert "3 specimens, Collection of Nazvri" in page and "Georgia (GE)" in page
    sent = {"use": use.pk, "country": "GE", "depository": "Collection of Nazvri", "on": "2026-03-02",
            "paper": "COL-2024-052"}  # fmt: skip
    answer = registrar.post("/duties/deposits/new/", sent, follow=True)
    text = answer.content.decode()
    assert "There is no receipt yet." in text and "100\u00a0%" in text
    made = Deposit.objects.get()
    sent |= {"receipt": "N-17", "receipt_on": "2026-03-09", "why": "it came"}
    registrar.post(f"/duties/deposits/{made.pk}/edit/", sent)
    made.refresh_from_db()
    assert (made.receipt, made.history.count()) == ("N-17", 2)
    listed = registrar.get("/duties/deposits/").content.decode()
    assert "N-17" in listed and "no receipt yet" not in listed
    assert "N-17" not in registrar.get("/duties/deposits/?show=receipt").content.decode()
    book = load_workbook(io.BytesIO(b"".join(registrar.get("/duties/deposits/export.xlsx"))))
    assert [cell.value for cell in book.active[2]][1:7] == ["GE", "Collection of Nazvri", 3, None, None, "R-9"]
    registrar.post(f"/duties/deposits/{made.pk}/void/", {"why": "twice"})
    assert "N-17" in registrar.get("/duties/deposits/?show=voided").content.decode()


def test_queries_do_not_grow(
    registrar: Client, django_assert_num_queries: Callable[..., AbstractContextManager[Any]]
) -> None:
    """Of 2 papers and of 12 the same number of queries."""
    for first, last in ((0, 2), (2, 12)):
        for number in range(first, last):
            paper = register.paper(f"P-{number}")
            duties.deposit(use=returned(*under(paper, 2)), specimens=None, paper=paper)
        with django_assert_num_queries(14):
            registrar.get("/duties/deposits/")
