"""The ledger of benefits: what was promised against what was given, in its own unit alone.

Sums are worked out by hand beside each case. That a promise in one currency is not met in another: no rate is known
here, so anything else would be a guess (hand reasoning, no source).
"""

from __future__ import annotations

import csv
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

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role
from governance.duties.actions import benefits as actions
from governance.duties.actions.errors import DutyError
from governance.duties.models import BenefitGiven, BenefitPromise
from governance.duties.queries.benefits import PromiseState, given, promise_lines, promises, totals, without_promise
from governance.papers.models import Paper
from governance.papers.restriction import RestrictedPaperError
from tests.factories import duties, register, scans

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 26)
QueryCount = Callable[..., AbstractContextManager[Any]]


@pytest.fixture
def by() -> Any:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def registrar(client: Client, by: Any) -> Client:
    client.force_login(by)
    return client


def money(amount: str, currency: str = "EUR") -> dict[str, Any]:
    return {"code": "M-h", "amount": Decimal(amount), "currency": currency, "quantity": None, "unit": ""}


def state(promise: BenefitPromise) -> PromiseState:
    return promise_lines([promise], TODAY)[0].state


def test_same_unit_counts() -> None:
    """5 days promised; 2 and 1 given: 3 given, 2 open. Two more, written otherwise: met."""
    promise = duties.promise(quantity=5, due_on=date(2026, 11, 25))
    duties.given(promise, quantity=2)
    duties.given(promise, quantity=1)
    duties.given(promise, quantity=9, voided_at=timezone.now(), voided_by=register.person(), voided_why="twice")
    (line,) = promises(today=TODAY)
    assert (line.promised, line.given, line.open, line.unit, line.state) == (5, 3, 2, "days", PromiseState.OVERDUE)
    duties.given(promise, quantity=2, unit=" Days ")
    (line,) = promises(today=TODAY)
    assert (line.given, line.open, line.state, line.others) == (5, 0, PromiseState.MET, 0)


@pytest.mark.parametrize(
    ("due_on", "expected"),
    [(None, "open"), (TODAY, "open"), (TODAY - timedelta(1), "overdue"), (TODAY + timedelta(1), "open")],
)
def test_day_itself_is_not_past(due_on: date | None, expected: str) -> None:
    assert state(duties.promise(due_on=due_on)) == expected


def test_other_currency_never_meets_a_promise() -> None:
    """EUR 1,000 promised, USD 5,000 given: nobody can say; with EUR 1,000 beside it is met."""
    promise = duties.promise(**money("1000"), due_on=TODAY - timedelta(9))
    duties.given(promise, **money("5000", "USD"))
    (line,) = promise_lines([promise], TODAY)
    assert (line.given, line.open, line.others, line.state) == (0, 1000, 1, PromiseState.NOT_MEASURED)
    duties.given(promise, **money("1000"))
    assert state(promise) == PromiseState.MET


def test_promise_without_measure_waits_for_a_person(by: Any) -> None:
    """Nothing given: open, and past its day late. Something given: whether it is enough a person says."""
    promise = duties.promise(quantity=None, unit="", due_on=TODAY - timedelta(1))
    assert state(promise) == PromiseState.OVERDUE
    duties.given(promise, quantity=None, unit="")
    assert state(promise) == PromiseState.NOT_MEASURED
    actions.close_promise(promise, by=by, why="The partner agreed that this is all.")
    assert state(promise) == PromiseState.CLOSED
    with pytest.raises(DutyError, match="was closed"):
        actions.close_promise(promise, by=by, why="again")
    actions.take_up_again(promise, by=by, why="too early")
    assert state(promise) == PromiseState.NOT_MEASURED
    assert promise.history.first().history_change_reason == "too early"


def test_totals_add_no_currencies(by: Any) -> None:
    """EUR: 1,000 + 500 promised, 400 given, 500 of a closed promise owed no longer: 600 open; 70 beside. NOK alone."""
    first, second = duties.promise(**money("1000")), duties.promise(**money("500"))
    duties.promise(**money("900", "NOK"))
    duties.promise(quantity=5)
    duties.given(first, **money("400"))
    duties.given(None, **money("70"))
    actions.close_promise(second, by=by, why="The agreement ended.")
    found = [(one.unit, one.promised, one.given, one.open, one.beside)
             for one in totals(promises(today=TODAY), without_promise())]  # fmt: skip
    assert found == [("EUR", 1500, 400, 600, 70), ("NOK", 900, 0, 900, 0), ("days", 5, 0, 5, 0)]


def test_country_of_the_paper_counts_where_none_is_told() -> None:
    """A province of Costa Rica (ISO 3166-2: CR-A) is in Costa Rica; a lasting gift falls into both of its years."""
    paper = register.paper("SINAC-1", jurisdiction="CR-A")
    named, other = duties.promise(paper, country=""), duties.promise(country="GE")
    assert [line.promise for line in promises("CR", today=TODAY)] == [named]
    assert [line.promise for line in promises("GE", today=TODAY)] == [other]
    assert [line.promise for line in promises(paper=paper, today=TODAY)] == [named]
    row = duties.given(named, country="", on=date(2025, 12, 20), until_on=date(2026, 1, 10))
    for year, expected in ((2024, []), (2025, [row]), (2026, [row]), (2027, [])):
        assert given("CR", first=date(year, 1, 1), last=date(year, 12, 31)) == expected, year


# Entering -------------------------------------------------------------------------------------------------------------


def test_promise_and_gift_by_form(registrar: Client) -> None:
    """A grouped amount is 1200.50, a currency by its name is EUR; the gift takes paper and country of the promise."""
    paper = register.paper("ABS-7", jurisdiction="GE")
    sent = {"paper": "abs-7", "code": "M-h", "what": "Funding of the survey", "amount": "1,200.50",
            "currency": "Euro", "due_on": "2026-12-31", "country": "Georgia"}  # fmt: skip
    registrar.post("/duties/benefits/promises/new/", sent)
    promise = BenefitPromise.objects.get()
    assert (promise.paper, promise.amount, promise.currency) == (paper, Decimal("1200.50"), "EUR")
    page = registrar.get(f"/duties/benefits/given/new/?promise={promise.pk}").content.decode()
    assert 'value="ABS-7"' in page and "Funding of the survey" in page
    sent = {"promise": str(promise.pk), "code": "M-h", "what": "First half", "on": "2026-05-04", "amount": "600",
            "currency": "EUR", "evidence": "bank slip 17"}  # fmt: skip
    letter = io.BytesIO(scans.pdf())
    letter.name = "slip.pdf"
    answer = registrar.post("/duties/benefits/given/new/", sent | {"letter": letter}, follow=True)
    row = BenefitGiven.objects.get()
    assert row.scan is not None
    assert (row.paper, row.country, row.scan.original_name) == (paper, "GE", "slip.pdf")
    assert "Promised EUR\u00a01,200.50, given EUR\u00a0600, open EUR\u00a0600.50." in answer.content.decode()


WRONG = [
    ({"amount": "1,2", "currency": "EUR"}, "write 1.2."),
    ({"amount": "5", "currency": "XAU"}, "no currency"),
    ({"amount": "5"}, "currency of three capital letters"),
    ({"amount": "5", "currency": "EUR", "quantity": "3", "unit": "days"}, "not both"),
    ({"quantity": "3"}, "of what"),
    ({"code": "j"}, "Select a valid choice"),
    ({"share_percent": "50"}, "Only a deposit"),
    ({"paper": "nowhere"}, "no paper on file"),
    ({"country": "Atlantis"}, "no country"),
]


@pytest.mark.parametrize(("told", "words"), WRONG, ids=[words for _, words in WRONG])
def test_wrong_promise_is_told_why(registrar: Client, told: dict[str, str], words: str) -> None:
    sent = {"code": "N-d", "what": "Training"} | told
    answer = registrar.post("/duties/benefits/promises/new/", sent)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not BenefitPromise.objects.exists()


def test_gift_that_differs_from_its_promise(by: Any) -> None:
    """M-j and N-q are both joint ownership, in different lists: one does not stand for the other."""
    promise = duties.promise(register.paper("ABS-7"), code="M-j", quantity=None, unit="")
    told = {"promise": promise, "code": "N-q", "what": "Patent", "on": TODAY, "evidence": "deed", "country": "NO",
            "paper": register.paper("ABS-8")}  # fmt: skip
    with pytest.raises(ValidationError) as refused:
        actions.add_given(by=by, why="entered", **told)
    assert set(refused.value.message_dict) == {"code", "country", "paper"}
    deposit = duties.promise(is_deposit=True, quantity=None, unit="")
    with pytest.raises(ValidationError, match="Enter the deposit"):
        actions.add_given(by=by, why="entered", **(told | {"promise": deposit, "paper": None, "country": ""}))
    with pytest.raises(ValidationError, match="lies ahead"):
        actions.add_given(by=by, why="entered", **(told | {"promise": None, "on": timezone.localdate() + timedelta(1)}))


def test_somebody_else_changed_it_meanwhile(by: Any) -> None:
    row = actions.add_given(by=by, why="entered", code="N-d", what="Course", on=TODAY, evidence="list")
    seen = actions.newest_seen(row)
    actions.edit_given(row, by=by, why="typed wrong", what="Course in sorting")
    with pytest.raises(DutyError, match="changed this meanwhile"):
        actions.edit_given(row, by=by, why="typed wrong", seen=seen, what="Other")
    actions.void_given(row, by=by, why="entered twice")
    with pytest.raises(DutyError, match="voided"):
        actions.edit_given(row, by=by, why="more", what="Other")
    promise = actions.add_promise(by=by, why="entered", code="N-d", what="Course")
    duties.given(promise)
    with pytest.raises(ValidationError, match="void that first"):
        actions.edit_promise(promise, by=by, why="wrong kind", code="N-j")


def test_promise_is_corrected_with_its_history(by: Any) -> None:
    promise = actions.add_promise(by=by, why="entered", code="N-d", what="Course")
    assert actions.edit_promise(promise, by=by, why="as the agreement says", what="Two courses") == ["what"]
    newest = BenefitPromise.history.filter(id=promise.pk).latest("history_id")
    assert (newest.what, newest.history_user, newest.history_change_reason) == (
        "Two courses",
        by,
        "as the agreement says",
    )
    with pytest.raises(NotAllowedError):
        actions.edit_promise(promise, by=register.person(Role.VOLUNTEER), why="x", what="Nothing")
    promise.refresh_from_db()
    assert promise.what == "Two courses"


@pytest.mark.parametrize(
    ("values", "field"),
    [(money("5", "EUX"), "currency"), ({"code": "N-d", "country": "XX"}, "country")],
)
def test_currencies_and_countries_are_those_of_the_standards(by: Any, values: dict[str, Any], field: str) -> None:
    with pytest.raises(ValidationError) as found:
        actions.add_promise(by=by, why="entered", what="Course", **values)
    assert set(found.value.message_dict) == {field}
    assert not BenefitPromise.objects.exists()


def test_ends_need_a_reason(by: Any) -> None:
    promise, row = duties.promise(), duties.given(None)
    with pytest.raises(DutyError, match="Say why nothing more"):
        actions.close_promise(promise, by=by, why=" ")
    with pytest.raises(DutyError, match="is open already"):
        actions.take_up_again(promise, by=by, why="too early")
    with pytest.raises(DutyError, match="Say why it is voided"):
        actions.void_given(row, by=by, why=" ")
    promise.refresh_from_db()
    row.refresh_from_db()
    assert (promise.closed_at, row.voided_at) == (None, None)


# Pages ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def closed_paper() -> Paper:
    return register.paper("SECRET-1", restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="asked for")


def test_restricted_words_stay_with_readers(registrar: Client, by: Any, closed_paper: Paper) -> None:
    """That the promise is there, its kind and its state, everybody sees; words and numbers, readers of the paper."""
    promise = duties.promise(closed_paper, **money("4711"), what="zzwhat", clause="zzclause", beneficiary="zzwho")
    duties.given(promise, **money("11"), what="zzgiven", evidence="zzproof")
    for path in ("benefits/", "benefits/given/", "benefits/export.csv", "benefits/given/export.csv"):
        answer = registrar.get(f"/duties/{path}")
        text = b"".join(answer).decode() if answer.streaming else answer.content.decode()
        assert not any(word in text for word in ("zz", "4,711", "4711")), path
    assert ">SECRET-1</a>" in registrar.get("/duties/benefits/").content.decode()
    for path in ("benefits/?q=zzwhat", "benefits/given/?q=zzproof"):
        assert ">SECRET-1</a>" not in registrar.get(f"/duties/{path}").content.decode(), path
    assert registrar.get(f"/duties/benefits/promises/{promise.pk}/").status_code == 403
    with pytest.raises(RestrictedPaperError):
        actions.close_promise(promise, by=by, why="done")
    with pytest.raises(RestrictedPaperError):
        actions.add_given(by=by, why="entered", promise=promise, code="M-h", what="x", on=TODAY, evidence="y")
    registrar.force_login(register.person(Role.COMPLIANCE))
    page = registrar.get("/duties/benefits/").content.decode()
    assert "zzwhat" in page and "EUR\u00a04,711" in page


def test_list_narrows_orders_and_exports(registrar: Client) -> None:
    paper = register.paper("ABS-7", jurisdiction="GE")
    duties.promise(paper, what="Late course", due_on=date(2020, 1, 1))
    duties.promise(what="Copies of papers", code="N-k", country="NO", quantity=2, unit="copies")
    page = registrar.get("/duties/benefits/?state=overdue").content.decode()
    assert "Late course" in page and "Copies of papers" not in page and "1 promise is late" in page
    assert "Late course" not in registrar.get("/duties/benefits/?country=NO").content.decode()
    assert "Late course" not in registrar.get("/duties/benefits/?code=N-k").content.decode()
    ordered = registrar.get("/duties/benefits/?sort=-code").content.decode()
    assert ordered.index("Copies of papers") < ordered.index("Late course")
    lines = b"".join(registrar.get("/duties/benefits/export.csv?paper=ABS-7")).decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(lines))
    assert (row["what"], row["open"], row["unit"], row["state"], row["by"]) == (
        "Late course", "3", "days", "Late", "2020-01-01",
    )  # fmt: skip
    book = load_workbook(io.BytesIO(b"".join(registrar.get("/duties/benefits/export.xlsx"))))
    assert [cell.value for cell in book.active["E"]] == ["what", "Late course", "Copies of papers"]
    assert registrar.get("/duties/benefits/export.pdf").status_code == 404


def test_queries_do_not_grow(registrar: Client, django_assert_num_queries: QueryCount) -> None:
    """Of 3 promises and of 30 the same number of queries."""
    paper = register.paper("ABS-7")
    for count in (3, 27):
        for _ in range(count):
            duties.given(duties.promise(paper))
            duties.given(None, paper=paper)
        with django_assert_num_queries(12):
            registrar.get("/duties/benefits/")
    with django_assert_num_queries(8):
        registrar.get("/duties/benefits/given/")
