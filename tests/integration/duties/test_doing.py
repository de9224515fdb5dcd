"""What becomes of duties: each step, what it refuses, what is taken back, several at once; and the page of one."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import EVERY_ROLE, NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.duties.actions import doing
from governance.duties.actions.errors import DutyError
from governance.duties.actions.rules import change_rule
from governance.duties.actions.working_out import work_out
from governance.duties.models import Duty, DutyRule
from governance.duties.queries.nil_returns import taken_in_its_time
from governance.duties.queries.one_duty import duty_page
from governance.papers.models import Paper
from tests.factories import duties as made
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

YESTERDAY = date(2026, 11, 25)


@pytest.fixture
def by() -> User:
    return register.person(Role.REGISTRAR)


def fresh(duty: Duty) -> Duty:
    return Duty.objects.get(pk=duty.pk)


class TestSteps:
    """Done, accepted, waived, and the way back."""

    def test_from_due_to_accepted_and_back(self, by: User) -> None:
        """Each step keeps who and when, and the history keeps what was taken back."""
        duty, scan = made.duty(kind="return"), scans.scan()
        doing.mark_done(duty=duty, on=YESTERDAY, how=" sent by letter ", is_nil=True, scan=scan, by=by)
        done = fresh(duty)
        assert (done.done_on, done.done_how, done.is_nil, done.done_scan) == (YESTERDAY, "sent by letter", True, scan)
        assert (done.done_by, done.done_at is not None) == (by, True)
        doing.accept(duty=duty, on=YESTERDAY, how="letter of the office", by=by)
        assert fresh(duty).accepted_how == "letter of the office"
        assert doing.take_back(duty=duty, by=by, why="wrong letter") == "accepted"
        assert (fresh(duty).accepted_on, fresh(duty).done_on) == (None, YESTERDAY)
        assert doing.take_back(duty=duty, by=by, why="never sent") == "done"
        back = fresh(duty)
        assert (back.done_on, back.done_how, back.is_nil, back.done_scan, back.done_by) == (None, "", False, None, None)
        told = list(duty.history.order_by("history_id").values_list("history_change_reason", flat=True))
        assert told[1:] == ["done", "accepted", "wrong letter", "never sent"]

    def test_waived_and_back(self, by: User) -> None:
        duty = made.duty()
        doing.waive(duty=duty, on=YESTERDAY, why="the office wrote so", by=by)
        assert (fresh(duty).waived_why, fresh(duty).waived_by) == ("the office wrote so", by)
        with pytest.raises(DutyError, match="Take the waiver back first"):
            doing.mark_done(duty=duty, on=YESTERDAY, how="sent", by=by)
        doing.take_waiver_back(duty=duty, by=by, why="they wrote again")
        assert (fresh(duty).waived_on, fresh(duty).waived_why, fresh(duty).waived_by) == (None, "", None)

    def test_what_was_done_is_not_waived(self, by: User) -> None:
        with pytest.raises(DutyError, match="20 January 2027"):
            doing.waive(duty=made.done_duty(), on=YESTERDAY, why="letter", by=by)

    @pytest.mark.parametrize(
        ("values", "words"),
        [
            ({"on": date(2999, 1, 1), "how": "sent"}, "1 January 2999 is still to come"),
            ({"on": YESTERDAY, "how": "  "}, "where the proof is"),
            ({"on": YESTERDAY, "how": "sent", "is_nil": True}, "Only a report or a return"),
        ],
    )
    def test_refuses(self, by: User, values: dict[str, Any], words: str) -> None:
        duty = made.duty(kind="notice")
        with pytest.raises(DutyError, match=words):
            doing.mark_done(duty=duty, by=by, **values)
        assert fresh(duty).done_on is None

    def test_two_people_at_one_duty(self, by: User) -> None:
        """The second learns what stands: both had the page open before."""
        duty = made.duty()
        doing.mark_done(duty=duty, on=YESTERDAY, how="first", by=by)
        with pytest.raises(DutyError, match="done already, on 25 November 2026"):
            doing.mark_done(duty=duty, on=YESTERDAY, how="second", by=by)
        assert fresh(duty).done_how == "first"

    def test_not_accepted_before_it_was_done(self, by: User) -> None:
        with pytest.raises(DutyError, match="Mark it first"):
            doing.accept(duty=made.duty(), on=YESTERDAY, how="letter", by=by)
        duty = made.done_duty(done_on=YESTERDAY)
        with pytest.raises(DutyError, match="cannot be accepted before"):
            doing.accept(duty=duty, on=YESTERDAY - timedelta(1), how="letter", by=by)

    def test_what_another_record_says_is_changed_there(self, by: User) -> None:
        """A notice that stands with a plan would be marked as done again by the next working out."""
        duty = made.duty(done_on=YESTERDAY, done_how="as recorded in plan FP-1", done_at=timezone.now())
        with pytest.raises(DutyError, match="plan FP-1"):
            doing.take_back(duty=duty, by=by, why="mistake")

    def test_nothing_to_take_back(self, by: User) -> None:
        with pytest.raises(DutyError, match="Nothing is recorded"):
            doing.take_back(duty=made.duty(), by=by, why="mistake")
        with pytest.raises(DutyError, match="not waived"):
            doing.take_waiver_back(duty=made.duty(), by=by, why="mistake")

    def test_closed_paper_refuses_all_but_giving_to_somebody(self) -> None:
        curator = register.person(Role.CURATOR)
        duty = made.duty(paper=closed_paper())
        for step in (
            lambda: doing.mark_done(duty=duty, on=YESTERDAY, how="sent", by=curator),
            lambda: doing.accept(duty=duty, on=YESTERDAY, how="letter", by=curator),
            lambda: doing.take_back(duty=duty, by=curator, why="mistake"),
            lambda: doing.set_note(duty=duty, note="note", by=curator),
        ):
            with pytest.raises(NotAllowedError):
                step()
        assert doing.assign(duties=[duty], to=curator, by=curator) == 1


def closed_paper() -> Paper:
    return register.paper("LND-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="names of owners")


class TestSeveral:
    """One deed, one proof."""

    def test_all_with_one_proof(self, by: User) -> None:
        letter = SimpleUploadedFile("receipt.txt", b"received with thanks", "text/plain")
        chosen = [made.duty(), made.duty(kind="payment")]
        doing.mark_several_done(duties=chosen, on=YESTERDAY, how="sent together", letter=letter, by=by)
        found = [fresh(duty) for duty in chosen]
        assert {duty.done_how for duty in found} == {"sent together"}
        assert len({duty.done_scan_id for duty in found} - {None}) == 1

    def test_none_if_one_cannot_be(self, by: User) -> None:
        """All that cannot be marked are told at once; a proof that came along is not kept then."""
        good, done = made.duty(), made.done_duty(label="2027")
        waived = made.duty(label="plan 7", waived_on=YESTERDAY, waived_why="letter", waived_at=timezone.now(),
                           waived_by=by)  # fmt: skip
        with pytest.raises(DutyError, match=r"Send a report, 2027, 31 January 2027: It is done already.*plan 7.*waive"):
            doing.mark_several_done(duties=[good, done, waived], on=YESTERDAY, how="sent", by=by)
        assert fresh(good).done_on is None

    def test_closed_paper_is_named_and_not_told(self) -> None:
        duty = made.duty(paper=closed_paper(), what="Zzwhat")
        with pytest.raises(DutyError) as caught:
            doing.mark_several_done(duties=[duty], on=YESTERDAY, how="sent", by=register.person(Role.CURATOR))
        assert "LND-1" in str(caught.value)
        assert "Zzwhat" not in str(caught.value)

    def test_none_and_too_many(self, by: User) -> None:
        with pytest.raises(DutyError, match="at least one"):
            doing.assign(duties=[], to=by, by=by)
        with pytest.raises(DutyError, match="At most 100"):
            doing.assign(duties=[Duty(pk=number) for number in range(101)], to=by, by=by)

    def test_given_to_somebody_who_may_keep_duties(self, by: User) -> None:
        mine, other = made.duty(assignee=by), made.duty()
        assert doing.assign(duties=[mine, other], to=by, by=by) == 1
        assert fresh(other).assignee == by
        for nobody in (register.person(Role.AUDITOR), register.person(Role.CURATOR, username="gone", is_active=False)):
            with pytest.raises(DutyError, match="may not keep duties"):
                doing.assign(duties=[mine], to=nobody, by=by)
        assert doing.assign(duties=[mine], to=None, by=by) == 1
        assert fresh(mine).assignee is None


class TestTakenBack:
    """What was settled kept its day; open again, it is due as the rule says now, without a run."""

    @pytest.fixture
    def moved(self, by: User) -> Duty:
        """300 days after 1 May 2026 by a slip: 30 days after 1 May 2026 is 31 May, 300 days is 25 February 2027."""
        made.duty_house()
        paper = register.paper(issued_on=date(2026, 5, 1))
        register.version(paper, "2026-05-01", None)
        made.duty_rule(paper, when="after-issue", number=300)
        work_out(by=None, why="a test")
        return Duty.objects.get()

    @staticmethod
    def _correct(by: User) -> None:
        change_rule(rule=DutyRule.objects.get(), values={"number": 30}, by=by, why="slip of the pen")
        work_out(by=None, why="the rule was corrected")

    def test_done(self, moved: Duty, by: User) -> None:
        doing.mark_done(duty=moved, on=YESTERDAY, how="sent", by=by)
        self._correct(by)
        assert fresh(moved).due_on == date(2027, 2, 25)
        doing.take_back(duty=moved, by=by, why="never sent")
        assert (fresh(moved).due_on, fresh(moved).done_on) == (date(2026, 5, 31), None)
        assert moved.history.latest().due_on == date(2026, 5, 31)

    def test_waived(self, moved: Duty, by: User) -> None:
        doing.waive(duty=moved, on=YESTERDAY, why="the office wrote so", by=by)
        self._correct(by)
        doing.take_waiver_back(duty=moved, by=by, why="they wrote again")
        assert fresh(moved).due_on == date(2026, 5, 31)

    def test_no_longer_asked_for(self, moved: Duty, by: User) -> None:
        """The paper was only applied for, as is learnt now: nothing is owed under it."""
        doing.mark_done(duty=moved, on=YESTERDAY, how="sent", by=by)
        paper = moved.paper
        assert paper is not None
        paper.statuses.create(state="applied", from_on=date(2026, 4, 1))
        doing.take_back(duty=moved, by=by, why="never sent")
        assert fresh(moved).dropped_on == timezone.localdate()


class TestPages:
    """The way of one duty through its pages, by people."""

    def test_from_due_to_accepted(self, client: Client, by: User) -> None:
        client.force_login(by)
        duty = made.duty(what="Send the report", due_on=timezone.localdate() + timedelta(3))
        page = self._read(client, duty)
        assert "in 3 days." in page
        assert page.count('class="btn go"') == 1
        assert reverse("duties:duty-done", args=[duty.pk]) in page
        letter = SimpleUploadedFile("receipt.txt", b"received with thanks", "text/plain")
        told = {"on": "2026-11-25", "how": "sent by letter", "is_nil": "on", "letter": letter}
        answer = client.post(reverse("duties:duty-done", args=[duty.pk]), told, follow=True)
        page = answer.content.decode()
        assert "The duty is marked as done." in page
        assert "Done: nil return" in page
        assert "receipt.txt" in page
        assert page.count('class="btn go"') == 1
        told = {"on": "2026-11-25", "how": "letter of the office"}
        page = client.post(reverse("duties:duty-accept", args=[duty.pk]), told, follow=True).content.decode()
        assert "Accepted on 25 November 2026." in page
        assert 'class="btn go"' not in page
        page = client.post(
            reverse("duties:duty-undo", args=[duty.pk]), {"why": "mistake"}, follow=True
        ).content.decode()
        assert "That it was accepted is not recorded." in page

    @staticmethod
    def _read(client: Client, duty: Duty) -> str:
        return client.get(reverse("duties:duty", args=[duty.pk])).content.decode()

    def test_mistakes_are_told_all_at_once(self, client: Client, by: User) -> None:
        client.force_login(by)
        duty = made.duty(kind="notice")
        answer = client.post(reverse("duties:duty-done", args=[duty.pk]), {"on": "2999-01-01"})
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "2999-01-01 is still to come" in page
        assert "Say how it was done, and where the proof is." in page
        assert "is_nil" not in page

    def test_a_refusal_stands_on_the_form(self, client: Client, by: User) -> None:
        client.force_login(by)
        answer = client.post(
            reverse("duties:duty-accept", args=[made.duty().pk]), {"on": "2026-11-25", "how": "letter"}
        )
        assert answer.status_code == 422
        assert "Mark it first" in answer.content.decode()

    def test_waived_and_back(self, client: Client, by: User) -> None:
        client.force_login(by)
        duty = made.duty()
        address = reverse("duties:duty-waive", args=[duty.pk])
        page = client.post(address, {"on": "2026-11-25", "how": "the office wrote so"}, follow=True).content.decode()
        assert "Waived on 25 November 2026." in page
        assert "the office wrote so" in page
        page = client.post(address, {"why": "they wrote again"}, follow=True).content.decode()
        assert "The waiver was taken back" in page

    def test_given_and_noted(self, client: Client, by: User) -> None:
        client.force_login(by)
        duty = made.duty()
        client.post(reverse("duties:duty-assign", args=[duty.pk]), {"to": str(by.pk)})
        page = client.post(
            reverse("duties:duty-note", args=[duty.pk]), {"note": "Ask the warden."}, follow=True
        ).content.decode()
        assert "Ask the warden." in page
        assert fresh(duty).assignee == by

    def test_several(self, client: Client, by: User) -> None:
        client.force_login(by)
        chosen = [made.duty(what="One"), made.duty(what="Two")]
        query = {"pick": [duty.pk for duty in chosen] + ["x", "99999999999999999999"]}
        page = client.get(reverse("duties:duties-done"), query).content.decode()
        assert "2 duties are chosen." in page
        told = query | {"on": "2026-11-25", "how": "sent together"}
        page = client.post(reverse("duties:duties-done"), told, follow=True).content.decode()
        assert "2 duties are marked as done." in page
        page = client.post(reverse("duties:duties-assign"), query | {"to": str(by.pk)}, follow=True).content.decode()
        assert "2 duties changed hands." in page

    def test_clause_in_its_words_and_why(self, by: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """Of a rule its own clause; of what stands with the conditions, the condition of the newest version."""
        paper = register.paper()
        rule = made.duty_rule(paper, clause="Within 30 days.", clause_number="7")
        because = {"code": "day-not-known", "values": {"of": "after-expiry"}}
        duty = made.duty(rule=rule, due_on=None, because=because)
        with django_assert_num_queries(3):
            page = duty_page(duty, by, YESTERDAY)
        assert page.clause is not None
        assert (page.clause.text, page.clause.number) == ("Within 30 days.", "7")
        assert page.why == "30 days after the last day of validity, which is not known here."
        made.condition(register.version(paper, "2024-01-01", "2024-12-31"), text="The old words.")
        made.condition(register.version(paper, "2025-01-01", "2025-12-31"), text="The new words.", page=4)
        found = duty_page(made.duty(paper=paper, source=f"paper-{paper.pk}/report/01-31"), by, YESTERDAY).clause
        assert found is not None
        assert (found.text, found.page) == ("The new words.", 4)

    def test_evidence_that_is_not_open_is_only_said_to_be_there(self, client: Client) -> None:
        scan = scans.scan(original_name="zz.pdf")
        type(scan).objects.filter(pk=scan.pk).update(restricted_to=role_bits([Role.REGISTRAR]))
        duty = made.done_duty(done_scan=scan)
        client.force_login(register.person(Role.CURATOR))
        page = self._read(client, duty)
        assert "A scan that is open to some roles only" in page
        assert "zz.pdf" not in page

    def test_who_may_only_read_sees_no_step(self, client: Client) -> None:
        client.force_login(register.person(Role.AUDITOR))
        page = self._read(client, made.duty())
        assert "Nothing is recorded yet." in page
        for words in ("Mark as done", "Waive", "Give to somebody", "Write a note"):
            assert words not in page


class TestProofs:
    """A file that proves what was done under a restricted paper."""

    def test_is_as_open_as_the_paper(self, by: User) -> None:
        letter = SimpleUploadedFile("zz.txt", b"received with thanks, for Zzowner", "text/plain")
        duty = made.duty(paper=closed_paper())
        doing.mark_done(duty=duty, on=YESTERDAY, how="sent", letter=letter, by=by)
        scan = fresh(duty).done_scan
        assert scan is not None
        assert scan.open_to == role_bits([Role.REGISTRAR])
        assert [row.restricted_to for row in type(scan).history.filter(id=scan.pk)] == [scan.open_to]  # never wider

    def test_what_was_on_file_stays_as_open_as_it_was(self, by: User) -> None:
        known = b"a letter that everybody reads"
        doing.mark_done(duty=made.duty(), on=YESTERDAY, how="sent", letter=SimpleUploadedFile("a.txt", known), by=by)
        duty = made.duty(paper=closed_paper())
        doing.mark_done(duty=duty, on=YESTERDAY, how="sent", letter=SimpleUploadedFile("b.txt", known), by=by)
        scan = fresh(duty).done_scan
        assert scan is not None
        assert scan.open_to == EVERY_ROLE

    def test_a_file_that_is_refused_leaves_the_duty_as_it_was(self, client: Client, by: User) -> None:
        client.force_login(by)
        duty = made.duty()
        told = {"on": "2026-11-25", "how": "sent", "letter": SimpleUploadedFile("a.exe", b"MZ\x90\x00" * 40)}
        answer = client.post(reverse("duties:duty-done", args=[duty.pk]), told)
        assert answer.status_code == 422
        assert "id_letter" in answer.content.decode()
        assert fresh(duty).done_on is None


class TestNilReturn:
    """Nobody should say by mistake that nothing was taken."""

    def test_what_was_or_may_have_been_taken_in_its_time(self, client: Client, by: User) -> None:
        """Of the year 2026: on its first and its last day, across its end, on a day that is not known; not before."""
        paper, accession = register.paper(), register.accession()
        register.link(paper, by=by, accession=accession)
        spans = [("2026-01-01", "2026-01-01"), ("2026-12-31", "2027-01-02"), (None, None), ("2025-12-30", "2025-12-31"),
                 ("2027-01-01", "2027-01-01")]  # fmt: skip
        for first, last in spans:
            event = register.event(earliest_on=first, latest_on=last)
            register.specimen(accession=accession, event=event)
        duty = made.duty(paper=paper, about_from=date(2026, 1, 1), about_to=date(2026, 12, 31))
        assert taken_in_its_time(fresh(duty)) == 3
        client.force_login(by)
        page = client.get(reverse("duties:duty-done", args=[duty.pk])).content.decode()
        assert "3 specimens that were taken under this paper in that time" in page
        told = {"on": "2026-11-25", "how": "sent", "is_nil": "on"}
        answer = client.post(reverse("duties:duty-done", args=[duty.pk]), told)
        assert answer.status_code == 422
        assert "Nothing taken cannot be recorded: 3 specimens" in answer.content.decode()
        assert fresh(duty).done_on is None
        doing.mark_done(duty=duty, on=YESTERDAY, how="sent", by=by)
        assert (fresh(duty).done_on, fresh(duty).is_nil) == (YESTERDAY, False)

    def test_nothing_is_said_where_nothing_is_known(self) -> None:
        assert taken_in_its_time(made.duty()) == 0
        assert taken_in_its_time(made.duty(paper=register.paper(), about_from=YESTERDAY, about_to=YESTERDAY)) == 0
