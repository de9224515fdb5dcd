"""Loans: out and back, late, extended, lent on, kept, lost; nothing leaves twice.

That onward loan and retention are uses by third parties, which the terms decide: Nagoya Protocol, Art. 6(3)(g)(iii).
The days of loans, and what counts as overdue: common practice, no source.
"""

from __future__ import annotations

import threading
from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.db import connection, connections
from django.test import Client
from django.utils import timezone
from openpyxl import load_workbook

from accessions.material.models import PoolMember, Specimen
from accessions.people.models import Role
from governance.engine.uses import Answer, Said, Use
from governance.papers.models import Paper
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import (
    Taken,
    due_after,
    edit_use,
    months_after,
    newest_seen,
    record_use,
    void_use,
)
from governance.usedesk.actions.remedies import add_remedy, edit_remedy, end_remedy, take_up_again
from governance.usedesk.actions.returning import extend, take_back, undo_return
from governance.usedesk.actions.sequences import add_sequences, remove_sequence
from governance.usedesk.models import DeskRules, LoanReturn, MadeUse, Remedy, Sequence, UseItem
from governance.usedesk.queries.made import Wanted, counts, overdue_days, uses
from governance.usedesk.queries.one_use import item_rows, items_of, loan_counts
from governance.usedesk.queries.overdue import waiting
from governance.usedesk.queries.whereabouts import gone_of, still_out
from tests.factories import register
from tests.factories.usedesk import made_use, recipient, use_term

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)


@pytest.fixture
def by() -> Any:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def registrar(client: Client, by: Any) -> Client:
    client.force_login(by)
    return client


def lent(by: Any, *specimens: Specimen, on: date = ON, **values: Any) -> MadeUse:
    values = {"recipient": recipient(), **values}
    return record_use(deed="loan", on=on, ids=[one.pk for one in specimens], by=by, why="lent", **values)


def from_loan(by: Any, deed: str, loan: MadeUse, *specimens: Specimen, on: date = ON, **values: Any) -> MadeUse:
    ids = [one.pk for one in specimens]
    return record_use(deed=deed, on=on, ids=ids, parent=loan, by=by, why=deed, recipient=recipient(), **values)


def back(by: Any, loan: MadeUse, *specimens: Specimen, on: date = ON, note: str = "") -> LoanReturn:
    return take_back(loan, [one.pk for one in specimens], on=on, note=note, by=by, why="back")


def states(loan: MadeUse) -> list[str]:
    return [row.state for row in item_rows(loan, list(items_of(loan)))]


# Days -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on", "months", "due"),
    [
        ((2026, 3, 2), 12, (2027, 3, 2)), ((2024, 2, 29), 12, (2025, 2, 28)), ((2024, 2, 29), 48, (2028, 2, 29)),
        ((2026, 8, 31), 6, (2027, 2, 28)), ((2026, 12, 31), 1, (2027, 1, 31)), ((2026, 1, 31), 1, (2026, 2, 28)),
        ((2026, 11, 30), 1, (2026, 12, 30)), ((2026, 10, 31), 2, (2026, 12, 31)),
    ],
)  # fmt: skip
def test_months_after(on: tuple[int, int, int], months: int, due: tuple[int, int, int]) -> None:
    """By the calendar, counted by hand: the same day, or the last of a month that has no such day."""
    assert months_after(date(*on), months) == date(*due)


def test_due_by_the_rules_of_the_desk(by: Any) -> None:
    assert due_after(ON) == date(2027, 3, 2)
    DeskRules.objects.create(pk=1, loan_months=6)
    assert lent(by, register.specimen()).due_on == date(2026, 9, 2)
    assert lent(by, register.specimen(), due_on=date(2026, 4, 1)).due_on == date(2026, 4, 1)


@pytest.mark.parametrize(
    ("due", "out", "grace", "days"),
    [(1, 3, 0, 0), (0, 3, 0, 0), (-1, 3, 0, 1), (-7, 3, 7, 0), (-8, 3, 7, 8), (-30, 0, 0, 0)],
)
def test_overdue_from_the_day_after(due: int, out: int, grace: int, days: int) -> None:
    """The due day itself is in time, and so are the days of grace; what is back is not late."""
    today = date(2026, 11, 26)
    assert overdue_days(today + timedelta(due), out, today, grace) == days


def test_overdue_list_and_count(by: Any) -> None:
    late, back_again, later = (lent(by, register.specimen(), due_on=date(2026, 6, n)) for n in (1, 2, 3))
    back(by, back_again, back_again.items.get().specimen)
    today = date(2026, 6, 3)
    assert list(uses(Wanted(show="overdue"), today)) == [late]
    assert counts(today).overdue == 1
    DeskRules.objects.create(pk=1, overdue_grace_days=5)
    assert list(uses(Wanted(show="overdue"), today)) == []
    assert {row.pk for row in uses(Wanted(show="out"), today)} == {late.pk, later.pk}


# Out and back ---------------------------------------------------------------------------------------------------------


def test_what_is_out_cannot_be_lent_again(by: Any) -> None:
    specimen = register.specimen("LMN-FW-0000001")
    first = lent(by, specimen, reference="L-2026-07", recipient=recipient(name="Hafnarvík Institute"))
    for deed in ("loan", "gift", "exchange", "disposal", "return"):
        with pytest.raises(
            DeskError, match="LMN-FW-0000001 is out on loan L-2026-07 to Hafnarvík Institute since 2 March 2026"
        ):
            record_use(deed=deed, on=ON, ids=[specimen.pk], by=by, why="x", recipient=recipient())
    back(by, first, specimen)
    assert lent(by, specimen).items.count() == 1


def test_a_late_record_of_an_older_loan_is_refused_while_it_is_out(by: Any) -> None:
    specimen = register.specimen()
    lent(by, specimen)
    with pytest.raises(DeskError, match="is out on loan"):
        lent(by, specimen, on=date(2020, 1, 1))


def test_partial_return_says_what_is_missing(registrar: Client, by: Any) -> None:
    """Three of five come back: by number, by tick, and by a list; two stay out."""
    specimens = [register.specimen(f"LMN-FW-000000{n}") for n in range(1, 6)]
    loan = lent(by, *specimens, due_on=date(2027, 1, 1))
    data = {"on": "2026-05-01", "which": "some", "numbers": "lmn-fw-0000001\nLMN-FW-0000002", "item": [specimens[2].pk]}
    answer = registrar.post(f"/desk/uses/{loan.pk}/return/", data, follow=True)
    text = answer.content.decode()
    assert "3 specimens came back. 2 specimens are still out, due on 1 January 2027." in text
    assert "2 of 5 specimens are still out." in text
    assert states(loan) == ["back", "back", "back", "out", "out"]
    assert (loan_counts(loan).out, loan_counts(loan).back) == (2, 3)  # type: ignore[union-attr]
    answer = registrar.post(f"/desk/uses/{loan.pk}/return/", {"on": "2026-06-01", "which": "all"}, follow=True)
    assert "Nothing of the loan is out any more." in answer.content.decode()
    assert loan.returns.count() == 2


@pytest.mark.parametrize(
    ("on", "again", "words"),
    [
        (date(2026, 3, 1), False, "It left on 2 March 2026 and cannot come back before"),
        (timezone.localdate() + timedelta(1), False, "lies ahead"),
        (ON, True, "Not out on this loan, or back already: LMN-FW-0000001"),
    ],
)
def test_returns_that_cannot_be(by: Any, on: date, again: bool, words: str) -> None:
    specimen = register.specimen("LMN-FW-0000001")
    loan = lent(by, specimen)
    if again:
        back(by, loan, specimen)
    with pytest.raises(DeskError, match=words):
        back(by, loan, specimen, on=on)


def test_return_of_what_is_in_no_loan(by: Any) -> None:
    loan, other = lent(by, register.specimen()), register.specimen("LMN-FW-0000009")
    with pytest.raises(DeskError, match="LMN-FW-0000009"):
        back(by, loan, other)
    with pytest.raises(DeskError, match="at least one"):
        back(by, loan)
    with pytest.raises(DeskError, match="no loan"):
        back(by, made_use(other, deed="study"), other)


def test_undone_return_is_out_again(by: Any) -> None:
    specimen = register.specimen()
    loan = lent(by, specimen)
    one = back(by, loan, specimen)
    undo_return(one, by=by, why="wrong box")
    assert states(loan) == ["out"]
    assert LoanReturn.history.filter(use_id=loan.pk, history_type="-", history_change_reason="wrong box").exists()
    again = back(by, loan, specimen)
    lent(by, specimen)
    with pytest.raises(DeskError, match="Lent again since"):
        undo_return(again, by=by, why="wrong box")


def test_extension_with_a_reason(by: Any) -> None:
    specimen = register.specimen()
    loan = lent(by, specimen)
    seen = newest_seen(loan)
    with pytest.raises(DeskError, match="Say why"):
        extend(loan, due_on=date(2028, 1, 1), by=by, why=" ")
    extend(loan, due_on=date(2028, 1, 1), by=by, why="revision goes on", seen=seen)
    assert loan.due_on == date(2028, 1, 1)
    with pytest.raises(DeskError, match="meanwhile"):
        extend(loan, due_on=date(2029, 1, 1), by=by, why="again", seen=seen)
    with pytest.raises(DeskError, match="cannot be due before"):
        extend(loan, due_on=date(2026, 1, 1), by=by, why="again")
    back(by, loan, specimen)
    with pytest.raises(DeskError, match="Nothing of this entry is out"):
        extend(loan, due_on=date(2029, 1, 1), by=by, why="again")


# What came from a loan ------------------------------------------------------------------------------------------------


def test_onward_loan_is_of_what_is_out(by: Any) -> None:
    one, two = register.specimen("LMN-FW-0000001"), register.specimen("LMN-FW-0000002")
    loan = lent(by, one, two)
    back(by, loan, two)
    with pytest.raises(DeskError, match="LMN-FW-0000002"):
        from_loan(by, "onward-loan", loan, one, two)
    onward = from_loan(by, "onward-loan", loan, one)
    assert (onward.parent, onward.use) == (loan, Use.ONWARD_LOAN)
    assert states(loan) == ["lent-on", "back"]
    with pytest.raises(DeskError, match="Already lent on"):
        from_loan(by, "onward-loan", loan, one)
    back(by, loan, one)  # the house has it again: the onward loan is over, too
    assert not still_out("onward-loan").exists()
    assert states(onward) == ["back"]


def test_onward_loan_that_is_not_allowed_is_marked(by: Any) -> None:
    specimen = register.specimen()
    paper = register.paper("MTA-1")
    register.link(paper, by=by, specimen=specimen)
    use_term(register.version(paper, "2024-01-01", None), Use.ONWARD_LOAN, Said.NOT_ALLOWED)
    onward = from_loan(by, "onward-loan", lent(by, specimen), specimen)
    assert (onward.answer, onward.is_outside) == (Answer.NOT_ALLOWED, True)
    assert onward.remedies.count() == 1


def test_retention_is_for_good(registrar: Client, by: Any) -> None:
    """No longer due back, with the borrower, gone; and the page says so before."""
    one, two = register.specimen("LMN-FW-0000001"), register.specimen("LMN-FW-0000002")
    loan = lent(by, one, two, due_on=date(2026, 4, 1))
    page = registrar.get(f"/desk/uses/{loan.pk}/retention/").content.decode()
    assert "changes hands for good" in page and "no longer due back" in page
    data = {"on": "2026-03-20", "loan_number": f"#{loan.pk}", "of_loan": "none", "numbers": "LMN-FW-0000001",
            "recipient": loan.recipient_id}  # fmt: skip
    assert registrar.post(f"/desk/uses/{loan.pk}/retention/", data).status_code == 422
    assert registrar.post(f"/desk/uses/{loan.pk}/retention/", data | {"understood": "on"}).status_code == 302
    kept = MadeUse.objects.get(deed="retention")
    assert (kept.parent, kept.use, kept.recipient) == (loan, Use.RETENTION, loan.recipient)
    assert states(loan) == ["kept", "out"]
    assert set(gone_of([one.pk, two.pk])) == {one.pk}
    with pytest.raises(DeskError, match="is no longer here: Kept by the borrower"):
        lent(by, one, on=date(2026, 3, 21))
    with pytest.raises(DeskError, match="Not out on this loan"):
        back(by, loan, one, on=date(2026, 3, 21))
    back(by, loan, two, on=date(2026, 3, 21))
    assert counts(date(2026, 11, 26)).overdue == 0


def test_loss_at_the_borrower(by: Any) -> None:
    one, two = register.specimen(), register.specimen()
    loan = lent(by, one, two)
    from_loan(by, "loss", loan, one, taken={one.pk: Taken(is_used_up=True)})
    from_loan(by, "loss", loan, two, taken={two.pk: Taken(is_used_up=False)})  # damaged: still out
    assert states(loan) == ["lost", "out"]


def test_a_publication_of_what_was_lent(registrar: Client, by: Any) -> None:
    """A loan may name the specimens of any entry, back or not; the entry does not come from the loan then."""
    one, two = register.specimen(), register.specimen()
    loan = lent(by, one, two)
    back(by, loan, one)
    data = {"on": "2026-06-01", "citation": "Ek 2026", "loan_number": f"#{loan.pk}", "of_loan": "out"}
    assert registrar.post("/desk/uses/new/publication/", data).status_code == 302
    made = MadeUse.objects.get(deed="publication")
    assert (made.items.count(), made.parent) == (2, None)


@pytest.mark.parametrize("deed", ["study", "publication", "gift"])
def test_what_does_not_come_from_a_loan(by: Any, deed: str) -> None:
    specimen = register.specimen()
    with pytest.raises(DeskError, match="no loan from which this could come"):
        from_loan(by, deed, lent(by, specimen), specimen)


def test_before_the_loan_left(by: Any) -> None:
    specimen = register.specimen()
    with pytest.raises(DeskError, match="The loan left on 2 March 2026"):
        from_loan(by, "retention", lent(by, specimen), specimen, on=date(2026, 3, 1))
    with pytest.raises(DeskError, match="Say from which loan"):
        record_use(deed="retention", on=ON, ids=[specimen.pk], by=by, why="x", recipient=recipient())


def test_a_loan_with_followers_is_not_voided(by: Any) -> None:
    specimen = register.specimen()
    loan = lent(by, specimen)
    kept = from_loan(by, "retention", loan, specimen, on=date(2026, 3, 9))
    with pytest.raises(DeskError, match="Void them first"):
        void_use(loan, by=by, why="wrong")
    with pytest.raises(DeskError, match="came from it"):
        edit_use(loan, by=by, why="day", on=date(2026, 3, 10))
    void_use(kept, by=by, why="wrong")
    assert states(loan) == ["out"]


def test_the_day_of_a_loan_stays_before_its_returns(by: Any) -> None:
    specimen = register.specimen()
    loan = lent(by, specimen)
    back(by, loan, specimen, on=date(2026, 3, 5))
    with pytest.raises(DeskError, match="came back on 5 March 2026 already"):
        edit_use(loan, by=by, why="day", on=date(2026, 3, 6))


@pytest.mark.django_db(transaction=True)
def test_two_people_lend_the_same_specimen_at_once() -> None:
    """On SQLite, whose test database lies in memory and lets nobody wait, one after the other."""
    by, specimen, who = register.person(Role.REGISTRAR), register.specimen(), recipient()
    at_once = connection.vendor == "postgresql"
    meeting = threading.Barrier(2 if at_once else 1, timeout=20)
    said: list[str] = []

    def lend() -> None:
        try:
            meeting.wait()
            record_use(deed="loan", on=ON, ids=[specimen.pk], by=by, why="lent", recipient=who)
            said.append("made")
        except DeskError as problem:
            said.append(str(problem))
        finally:
            connections.close_all()

    both = [threading.Thread(target=lend) for _ in range(2)]
    for one in both:
        one.start()
        if not at_once:
            one.join(timeout=60)
    for one in both:
        one.join(timeout=60)
    assert len(said) == 2
    assert "made" in said and any("is out on loan" in words for words in said)
    assert still_out().count() == 1


# Remedies -------------------------------------------------------------------------------------------------------------


def test_life_of_a_remedy(by: Any) -> None:
    made = made_use(register.specimen(), deed="study")
    remedy = add_remedy(made, by=by, why="opened", what="Tell the provider.", due_on=date(2026, 4, 1))
    assert edit_remedy(remedy, by=by, why="day", due_on=date(2026, 5, 1)) == ["due_on"]
    for day, words in ((date(2026, 3, 1), "after that"), (timezone.localdate() + timedelta(1), "lies ahead")):
        with pytest.raises(DeskError, match=words):
            end_remedy(remedy, done_on=day, done_how="agreed", by=by)
    with pytest.raises(DeskError, match="Say how it ended"):
        end_remedy(remedy, done_on=ON, done_how=" ", by=by)
    end_remedy(remedy, done_on=ON, done_how="The provider agreed.", by=by)
    with pytest.raises(DeskError, match="ended already"):
        end_remedy(remedy, done_on=ON, done_how="again", by=by)
    with pytest.raises(DeskError, match="has ended"):
        edit_remedy(remedy, by=by, why="x", what="y")
    take_up_again(remedy, by=by, why="the letter was of another loan")
    remedy.refresh_from_db()
    assert (remedy.done_on, remedy.done_how, remedy.done_by) == (None, "", None)
    assert Remedy.history.filter(id=remedy.pk, done_how="The provider agreed.").exists()


def test_pages_of_a_remedy(registrar: Client, by: Any) -> None:
    made = made_use(register.specimen(), deed="study", is_outside=True)
    registrar.post(f"/desk/uses/{made.pk}/remedies/new/", {"what": "Tell the provider.", "due_on": "2026-04-01"})
    remedy = made.remedies.get()
    assert "Tell the provider." in registrar.get("/desk/remedies/").content.decode()
    assert "has passed" in registrar.get(f"/desk/remedies/{remedy.pk}/").content.decode()
    registrar.post(
        f"/desk/remedies/{remedy.pk}/edit/", {"what": "Write to them.", "due_on": "2026-04-01", "why": "words"}
    )
    assert registrar.post(f"/desk/remedies/{remedy.pk}/end/", {"done_on": "2026-04-02"}).status_code == 422
    registrar.post(f"/desk/remedies/{remedy.pk}/end/", {"done_on": "2026-04-02", "done_how": "They agreed."})
    assert "They agreed." in registrar.get("/desk/remedies/?show=ended").content.decode()
    assert "Write to them." not in registrar.get("/desk/remedies/").content.decode()


# Sequences and pools --------------------------------------------------------------------------------------------------


def test_many_sequences_at_once(registrar: Client, by: Any) -> None:
    one, two = register.specimen("LMN-FW-0000001"), register.specimen("LMN-FW-0000002")
    made = made_use(one, two, deed="sequencing")
    table = (
        "Catalogue number\tAccession\nLMN-FW-0000001\tOR123456.1, OR123457\tCOI-5P\nLMN-FW-0000002\tOR200001-OR200003\n"
    )
    answer = registrar.post(f"/desk/uses/{made.pk}/sequences/", {"table": table, "marker": "16S"}, follow=True)
    assert "5 new accession numbers. Checked form only: nothing was looked up." in answer.content.decode()
    rows = Sequence.objects.values_list("item__specimen__catalog_number", "accession_number", "marker")
    assert set(rows) == {
        ("LMN-FW-0000001", "OR123456.1", "COI-5P"), ("LMN-FW-0000001", "OR123457", "COI-5P"),
        ("LMN-FW-0000002", "OR200001", "16S"), ("LMN-FW-0000002", "OR200002", "16S"),
        ("LMN-FW-0000002", "OR200003", "16S"),
    }  # fmt: skip
    again = registrar.post(f"/desk/uses/{made.pk}/sequences/", {"table": table}, follow=True)
    assert "0 new accession numbers" in again.content.decode()
    remove_sequence(Sequence.objects.get(accession_number="OR123457"), by=by, why="slip")
    assert Sequence.objects.count() == 4


def test_all_mistakes_of_a_table_at_once(registrar: Client) -> None:
    """By line, and nothing is half-saved."""
    made = made_use(register.specimen("LMN-FW-0000001"), deed="sequencing")
    register.specimen("LMN-FW-0000009")
    table = "LMN-FW-0000001\tOR123456\nLMN-NO\tOR123457\nLMN-FW-0000009\tOR123458\nLMN-FW-0000001\tXX\nLMN-FW-0000001\n"
    text = registrar.post(f"/desk/uses/{made.pk}/sequences/", {"table": table}).content.decode()
    for words in ("No specimen has the number LMN-NO", "Line 3: LMN-FW-0000009 is not a specimen of this entry",
                  "Line 4: “XX” has not the form", "Line 5: there is no accession number"):  # fmt: skip
        assert words in text, words
    assert not Sequence.objects.exists()


def test_sequences_of_what_is_not_in_the_entry(by: Any) -> None:
    made, other = made_use(register.specimen(), deed="sequencing"), register.specimen("LMN-FW-0000009")
    with pytest.raises(DeskError, match="Not in this entry: LMN-FW-0000009"):
        add_sequences(made, {other.pk: [("OR123456", "")]}, by=by, why="x")


def test_a_pool_is_made_of_its_members(registrar: Client) -> None:
    """It states of event and name what all share, and nothing else."""
    event = register.event(number="TR-1")
    members = [register.specimen(f"LMN-FW-000000{n}", event=event) for n in (1, 2)]
    other = register.specimen("LMN-FW-0000003", event=register.event(day="2024-06-18"))
    data = {"catalog_number": "LMN-POOL-1", "numbers": "LMN-FW-0000001, LMN-FW-0000002\nLMN-FW-0000003"}
    assert registrar.post("/desk/pools/new/", data).status_code == 302
    pool = Specimen.objects.get(catalog_number="LMN-POOL-1")
    assert set(PoolMember.objects.filter(pool=pool).values_list("member", flat=True)) == {
        *(m.pk for m in members),
        other.pk,
    }
    assert (pool.event.event_date, pool.event.country_code) == ("", "GE")
    assert pool.name.scientific_name == "Calopteryx splendens"
    assert PoolMember.history.filter(pool_id=pool.pk).count() == 3


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"catalog_number": "LMN-POOL-1", "numbers": "LMN-FW-0000001"}, "at least two specimens"),
        ({"catalog_number": "LMN-FW-0000001", "numbers": "LMN-FW-0000001,LMN-FW-0000002"}, "Another specimen has this"),
        ({"catalog_number": "LMN-POOL-1", "numbers": "LMN-FW-0000001, LMN-NO"}, "LMN-NO"),
    ],
)
def test_pools_that_cannot_be(registrar: Client, data: dict[str, str], words: str) -> None:
    for number in (1, 2):
        register.specimen(f"LMN-FW-000000{number}")
    answer = registrar.post("/desk/pools/new/", data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Specimen.objects.count() == 2


# Lists, files, Today --------------------------------------------------------------------------------------------------


def test_list_narrows_and_exports(registrar: Client, by: Any) -> None:
    loan = lent(by, register.specimen("LMN-FW-0000001"), reference="L-1", due_on=date(2026, 4, 1))
    paper = record_use(deed="publication", on=ON, ids=[register.specimen().pk], by=by, why="x", doi="10.1234/abc",
                       reference="P-1")  # fmt: skip
    for query, found in {
        "": {"L-1", "P-1"}, "deed=loan": {"L-1"}, "q=LMN-FW-0000001": {"L-1"}, "q=10.1234": {"P-1"},
        "country=IS": {"L-1"}, "show=overdue": {"L-1"}, "show=outside": set(), "year=2026": {"L-1", "P-1"},
        "year=1999&deed=nonsense": {"L-1", "P-1"}, f"recipient={loan.recipient_id}": {"L-1"},
        "show=voided": set(), "sort=-specimens": {"L-1", "P-1"},
    }.items():  # fmt: skip
        page = registrar.get(f"/desk/uses/?{query}")
        assert {line.made.reference for line in page.context["lines"]} == found, query
    told = b"".join(registrar.get("/desk/uses/export.csv?deed=loan")).decode()
    assert "L-1" in told and "P-1" not in told and "2026-04-01" in told
    book = load_workbook(BytesIO(b"".join(registrar.get("/desk/uses/export.xlsx?deed=loan"))))
    assert [row[0].value for row in book.active.iter_rows()] == ["number", "L-1"]
    assert "10.1234/abc" in registrar.get(f"/desk/uses/{paper.pk}/").content.decode()


def test_today_shows_what_waits(registrar: Client, by: Any) -> None:
    today = timezone.localdate()
    assert not waiting(today, by)
    specimen = register.specimen()
    loan = lent(by, specimen, reference="L-LATE", due_on=date(2026, 4, 1))
    lent(by, register.specimen(), reference="L-SOON", due_on=today + timedelta(3))
    lent(by, register.specimen(), reference="L-FAR", due_on=today + timedelta(300))
    add_remedy(loan, by=by, why="opened", what="Ask for it.", due_on=today)
    text = registrar.get("/").content.decode()
    for words in ("L-LATE", "L-SOON", "Ask for it.", "Overdue loan", "Loan falls due"):
        assert words in text, words
    assert "L-FAR" not in text


def test_how_papers_want_to_be_named(registrar: Client, by: Any, client: Client) -> None:
    """By the version of the day; unread papers are counted; words of a restricted paper stay closed."""
    specimen = register.specimen()
    read, unread = register.paper("ABS-1"), register.paper("ABS-2")
    for paper in (read, unread):
        register.link(paper, by=by, specimen=specimen)
    old, new = register.version(read, "2024-01-01", None), register.version(read, "2026-06-01", None)
    register.version(unread)
    for version, words in ((old, "Thank the Directorate."), (new, "Zznew words.")):
        use_term(version, Use.IMAGING, Said.ALLOWED)
        version.terms_reading.acknowledgement = words
        version.terms_reading.save()
    made = record_use(deed="publication", on=ON, ids=[specimen.pk], by=by, why="x", citation="Ek 2026")
    text = registrar.get(f"/desk/uses/{made.pk}/").content.decode()
    assert "Thank the Directorate." in text and "Zznew" not in text
    assert "2 papers bear on these specimens." in text and "Of 1 nobody has read the terms" in text
    Paper.objects.filter(pk=read.pk).update(restricted_to=4, restricted_why="secret")
    client.force_login(register.person(Role.AUDITOR))
    text = client.get(f"/desk/uses/{made.pk}/").content.decode()
    assert "Thank the Directorate." not in text and "Restricted: open to" in text


@pytest.fixture
def large(by: Any) -> MadeUse:
    """A loan of 3,000 specimens, written past the action: what the page asks is measured, not the action."""
    accession, event, name = register.accession("LMN-2025-900"), register.event(), register.written_name()
    rows = Specimen.objects.bulk_create(
        Specimen(catalog_number=f"LMN-L-{n:05}", accession=accession, event=event, name=name) for n in range(3_000)
    )
    made = MadeUse.objects.create(
        deed="loan", on=ON, due_on=date(2026, 4, 1), recorded_by=by, recipient=recipient(), answer=4
    )
    UseItem.objects.bulk_create(UseItem(use=made, specimen=row, answer=4, reasons=[]) for row in rows)
    return made


@pytest.mark.parametrize(("path", "queries"), [("", 21), ("return/", 8), ("due/", 6), ("edit/", 5), ("void/", 4)])
def test_queries_do_not_grow(registrar: Client, large: MadeUse, django_assert_num_queries: Any, path: str,
                             queries: int) -> None:  # fmt: skip
    """The same for 3,000 specimens as for one."""
    with django_assert_num_queries(queries):
        assert registrar.get(f"/desk/uses/{large.pk}/{path}").status_code == 200
    others = UseItem.objects.filter(use=large).exclude(pk=large.items.first().pk)  # type: ignore[union-attr]
    others._raw_delete("default")  # type: ignore[attr-defined]  # past the history, which takes a row at a time
    with django_assert_num_queries(queries):
        assert registrar.get(f"/desk/uses/{large.pk}/{path}").status_code == 200


@pytest.mark.parametrize(("path", "queries"), [("uses/", 12), ("remedies/", 8)])
def test_queries_of_lists(registrar: Client, large: MadeUse, by: Any, django_assert_num_queries: Any, path: str,
                          queries: int) -> None:  # fmt: skip
    for _ in range(3):
        add_remedy(lent(by, register.specimen()), by=by, why="opened", what="Ask.")
    with django_assert_num_queries(queries):
        assert registrar.get(f"/desk/{path}").status_code == 200


def test_recording_3000_in_one_go(by: Any, django_assert_max_num_queries: Any, large: MadeUse) -> None:
    """Written in bulk: about fifty queries of the desk, and a few of our own, whatever the number."""
    ids = list(large.items.values_list("specimen", flat=True))
    with django_assert_max_num_queries(90):
        made = record_use(deed="exhibition", on=ON, ids=ids, by=by, why="shown")
    assert made.items.count() == 3_000
    assert UseItem.history.filter(use_id=made.pk).count() == 3_000
