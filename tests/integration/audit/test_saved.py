"""Saved questions: who keeps and sees them, when they are asked again and for whom, what counts as a change, who is
told of it and how."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from smtplib import SMTPException
from typing import Any
from unittest import mock

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from lxml import html
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.history import record
from accessions.people.models import Role, User
from governance.audit.actions import asking_again, following, saving
from governance.audit.actions.asking_again import ask_again, ask_due, rows_hash
from governance.audit.actions.errors import AuditError
from governance.audit.asking import Answer, Asked, Column, ListedRows, Row
from governance.audit.composer.conditions import Composed, Condition, Group, Subject, to_object
from governance.audit.models import AnswerTaken, Follower, SavedQuestion
from governance.audit.queries.saved import due, due_since, on_today, visible
from tests.factories import register
from tests.factories.audit import WHOLE, also_asked

pytestmark = pytest.mark.django_db

PAPERS = to_object(Composed(Subject.PAPERS))
BY_ISSUER = to_object(Composed(Subject.PAPERS, (Group((Condition("issuer", "contains", "Nazvri"),)),)))


def registrar(**more: Any) -> User:
    return register.person(Role.REGISTRAR, **more)


def auditor(**more: Any) -> User:
    return register.person(Role.AUDITOR, **more)


def saved(by: User | None = None, title: str = "All papers", composed: Any = PAPERS, **more: Any) -> SavedQuestion:
    """A shared question that is asked every day, which its owner follows by e-mail too."""
    values = {"title": title, "is_shared": more.pop("is_shared", True), "schedule": more.pop("schedule", "daily")}
    asked = {"ready": "", "asked": {}, "composed": composed, "is_mailed": True, **more}
    return saving.save_question(values=values, by=by or registrar(), **asked)


def today() -> date:
    return timezone.localdate()


def tomorrow() -> Iterator[None]:
    """All answers that were taken were taken the day before."""
    for one in AnswerTaken.objects.all():
        AnswerTaken.objects.filter(pk=one.pk).update(asked_at=one.asked_at - timedelta(days=1))
    yield None


class TestKeeping:
    def test_only_the_keeper_changes_and_removes_it(self) -> None:
        """An administrator may clear up shared questions, whose owner may have left; nobody else's private ones."""
        one, admin = saved(), register.person(Role.ADMINISTRATOR)
        with pytest.raises(AuditError, match="Only the person who saved"):
            saving.remove_question(saved=one, by=auditor())
        assert saving.change_question(saved=one, values={"title": "Papers"}, by=admin, why="shorter") == ["title"]
        saving.change_question(saved=one, values={"is_shared": False}, by=registrar(), why="mine")
        with pytest.raises(AuditError):
            saving.remove_question(saved=one, by=admin)
        assert not visible(auditor()).exists()

    def test_what_was_removed_can_be_put_back_with_followers_and_answers(self) -> None:
        one = saved()
        ask_again(saved=one, by=registrar())
        saving.remove_question(saved=one, by=registrar())
        assert not visible(registrar()).exists()
        assert due(today() + timedelta(days=40)) == []
        again = saved()  # the title is free now
        with pytest.raises(ValidationError, match="another question under this title"):
            saving.put_back(saved=one, by=registrar())
        saving.remove_question(saved=again, by=registrar())
        saving.put_back(saved=one, by=registrar())
        assert visible(registrar()).get() == one
        assert (one.followers.count(), one.answers.count()) == (1, 1)
        with pytest.raises(AuditError, match="not among those"):
            saving.put_back(saved=one, by=registrar())
        reasons = one.history.order_by("history_id").values_list("history_change_reason", flat=True)  # type: ignore[attr-defined]
        assert list(reasons) == ["saved", "removed", "put back"]

    def test_following_and_not(self) -> None:
        one = saved()
        assert following.follow(saved=one, is_on_today=True, is_mailed=False, by=auditor())
        assert not following.follow(saved=one, is_on_today=True, is_mailed=False, by=auditor())
        assert following.follow(saved=one, is_on_today=False, is_mailed=False, by=auditor())
        assert one.followers.count() == 1
        SavedQuestion.objects.update(is_shared=False)
        with pytest.raises(AuditError, match="no longer shared"):
            following.follow(saved=one, is_on_today=True, is_mailed=False, by=auditor())


class TestSchedule:
    @pytest.mark.parametrize(
        ("schedule", "day", "since"),
        [  # 26 November 2026 is a Thursday
            ("daily", "2026-11-26", "2026-11-26"), ("weekly", "2026-11-26", "2026-11-23"),
            ("weekly", "2026-11-23", "2026-11-23"), ("weekly", "2026-11-22", "2026-11-16"),
            ("monthly", "2026-11-26", "2026-11-01"), ("monthly", "2026-12-01", "2026-12-01"),
        ],
    )  # fmt: skip
    def test_the_day_on_which_it_asked_last(self, schedule: str, day: str, since: str) -> None:
        assert due_since(schedule, date.fromisoformat(day)) == date.fromisoformat(since)

    def test_each_role_that_follows_is_asked_once(self) -> None:
        """Two registrars and an auditor: two. Nobody is asked for who has left, may not keep questions any more, or
        does not see the question."""
        one, private = saved(), saved(title="Mine", is_shared=False)
        saved(title="Never", schedule="none")
        for user in (registrar(username="second"), auditor(), register.person(Role.CURATOR, is_active=False),
                     register.person(Role.VOLUNTEER)):  # fmt: skip
            for question in (one, private):
                Follower.objects.create(question=question, user=user)
        waiting = [(item.saved.title, item.reader.role) for item in due(today())]
        assert sorted(waiting) == [("All papers", "auditor"), ("All papers", "registrar"), ("Mine", "registrar")]
        assert len(ask_due(today=today()).taken) == 3
        assert due(today()) == []
        assert len(due(today() + timedelta(days=1))) == 3

    def test_what_there_was_no_time_for_is_asked_first_by_the_next_run(self) -> None:
        first, second = saved(title="Zoology"), saved(title="Algae")
        ask_again(saved=second, by=registrar())
        next(tomorrow())
        ran = ask_due(today=today(), seconds=0)
        assert ([*ran.taken], [item.saved for item in ran.left]) == ([], [first, second])

    def test_an_answer_is_that_of_the_followers_role_never_of_the_owner(self) -> None:
        """The owner, a registrar, reads the paper; the auditor who follows does not, and is told nothing of it."""
        register.paper("SHUT-1", issuer="Nazvri", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="private")
        one = saved(composed=BY_ISSUER)
        following.follow(saved=one, is_on_today=True, is_mailed=False, by=auditor())
        ask_due(today=today())
        counts = dict(AnswerTaken.objects.values_list("role", "count"))
        assert counts == {"registrar": 1, "auditor": 0}
        (line,) = on_today(auditor(), timezone.now())
        assert line.last is not None
        assert line.last.count == 0


class TestChange:
    def test_first_same_other(self) -> None:
        one = saved()
        told = []
        for paper in ("", "P-1", "", "P-2"):
            if paper:
                register.paper(paper)
            told.append((ask_again(saved=one, by=registrar())).changed)
        assert told == [False, True, False, True]

    def test_other_rows_of_the_same_number_are_a_change(self) -> None:
        paper, one = register.paper("P-1"), saved()
        ask_again(saved=one, by=registrar())
        paper.reference = "P-2"
        paper.save()
        taken = ask_again(saved=one, by=registrar())
        assert (taken.count, taken.changed) == (1, True)

    def test_neither_the_order_of_rows_nor_days_that_pass_are_a_change(self) -> None:
        columns = (Column("paper", "Paper"), Column("left", "Days left", unit="days"))
        rows = (Row("a", ("P-1", 10)), Row("b", ("P-2", 20)))
        first = Answer("", columns, ListedRows(rows))
        later = Answer("", columns, ListedRows((Row("b", ("P-2", 19)), Row("a", ("P-1", 9)))))
        other = Answer("", columns, ListedRows((Row("b", ("P-3", 19)), Row("a", ("P-1", 9)))))
        assert rows_hash(first) == rows_hash(later) != rows_hash(other)

    def test_what_cannot_be_answered_any_more_says_so_once(self) -> None:
        register.paper("P-1")
        gone = to_object(Composed(Subject.DUTIES, (Group((Condition("paper", "is", "P-1"),)),)))
        one = saved(composed=gone)
        assert ask_again(saved=one, by=registrar()).problem == ""
        register.paper("P-2")
        SavedQuestion.objects.filter(pk=one.pk).update(
            composed=to_object(Composed(Subject.DUTIES, (Group((Condition("paper", "is", "GONE"),)),)))
        )
        one.refresh_from_db()
        taken = [ask_again(saved=one, by=registrar()) for _time in range(2)]
        assert [(t.problem, t.changed) for t in taken] == [
            ("The register has no paper “GONE”.", True), ("The register has no paper “GONE”.", False),
        ]  # fmt: skip

    def test_one_that_fails_does_not_stop_the_others(self) -> None:
        def broken(asked: Asked) -> Answer:
            raise RuntimeError("a mistake in a question")

        with also_asked(replace(WHOLE, key="test-broken", answer=broken)), mock.patch.object(asking_again, "_log"):
            saved(title="Broken", composed={}, ready="test-broken")
            saved(title="Gone", composed={}, ready="was-never-there")
            saved(title="Whole")
            ran = ask_due(today=today())
        problems = {one.question.title: one.problem for one in ran.taken}
        assert problems["Whole"] == ""
        assert "fault of the register" in problems["Broken"]  # what it is stands in the log, not on a page
        assert "was-never-there" in problems["Gone"]


class TestTelling:
    """The command, from asking to mail."""

    def run(self, **options: Any) -> str:
        out = StringIO()
        call_command("ask_saved_questions", stdout=out, **options)
        return out.getvalue()

    @pytest.fixture
    def changed(self) -> SavedQuestion:
        """Two questions of a registrar, followed by an auditor too, whose answers changed since yesterday."""
        owner = registrar(email="nora@lindmark.example")
        one = saved(owner, composed=BY_ISSUER, title="Papers of Nazvri")
        saved(owner, title="All papers")
        following.follow(saved=one, is_on_today=False, is_mailed=True, by=auditor(email="audit@lindmark.example"))
        self.run()
        assert mail.outbox == []
        next(tomorrow())
        register.paper("SHUT-1", issuer="Nazvri", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="private")
        return one

    def test_one_mail_a_person_with_the_view_of_their_role(self, changed: SavedQuestion) -> None:
        register.paper("OPEN-1", issuer="Nazvri")
        said = self.run()
        assert "Asked 3: 3 changed, 0 without an answer." in said
        mails = {message.to[0]: message for message in mail.outbox}
        assert len(mail.outbox) == len(mails) == 2
        assert mails["nora@lindmark.example"].subject == "Audit: 2 answers changed"
        assert "Number 2. 2 papers: issuer contains “Nazvri”." in mails["nora@lindmark.example"].body
        auditors = mails["audit@lindmark.example"]
        assert auditors.subject == "Audit: 1 answer changed"
        assert "Number 1. 1 paper: issuer contains “Nazvri”." in auditors.body
        assert reverse("audit:saved-one", args=[changed.pk]) in auditors.body
        self.run()
        assert len(mail.outbox) == 2  # nobody is told twice

    def test_what_did_not_change_for_a_role_is_not_told_to_it(self, changed: SavedQuestion) -> None:
        self.run()
        assert [message.to for message in mail.outbox] == [["nora@lindmark.example"]]

    def test_a_mail_that_fails_is_sent_by_the_next_run(self, changed: SavedQuestion) -> None:
        with (
            mock.patch("django.core.mail.EmailMessage.send", side_effect=SMTPException("busy")),
            pytest.raises(CommandError, match="busy"),
        ):
            self.run()
        assert "would go to Nora Registrar" in self.run(dry_run=True)
        assert mail.outbox == []
        self.run()
        assert len(mail.outbox) == 1

    def test_who_follows_later_is_not_told_of_what_was(self, changed: SavedQuestion) -> None:
        ask_due(today=today())
        late = registrar(username="late", email="late@lindmark.example")
        following.follow(saved=changed, is_on_today=True, is_mailed=False, by=late)
        following.follow(saved=changed, is_on_today=True, is_mailed=True, by=late)
        self.run()
        assert [message.to for message in mail.outbox] == [["nora@lindmark.example"]]


# Pages ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def client() -> Client:
    found = Client()
    found.force_login(registrar(email="nora@lindmark.example"))
    return found


class TestPages:
    def test_from_the_composer_to_today(self, client: Client) -> None:
        """Without script: choose a field, then say how and against what; ask; save; and its number stands on Today."""
        register.paper("P-1", issuer="Nazvri")
        page = client.get(reverse("audit:compose"), {"subject": "papers", "f": "issuer", "t": "", "v": "", "g": "1"})
        assert b'value="contains"' in page.content  # what can be said of the field is offered, nothing is asked yet
        told = {"subject": "papers", "f": "issuer", "t": "contains", "v": "Nazvri", "g": "1"}
        page = client.get(reverse("audit:compose"), told)
        assert "1 paper: issuer contains “Nazvri”." in page.content.decode()
        save = f"{reverse('audit:saved-new')}?{page.context['asked_with']}"
        assert client.get(save).context["form"].initial["title"] == "Papers: issuer contains “Nazvri”"
        client.post(save, {"title": "Of Nazvri", "schedule": "daily", "follows": "on"})
        one = SavedQuestion.objects.get()
        assert one.composed["groups"][0]["conditions"] == [["issuer", "contains", "Nazvri"]]
        assert "Of Nazvri" in client.get("/").content.decode()
        assert AnswerTaken.objects.get().count == 1

    def test_lines_come_and_go_by_buttons(self, client: Client) -> None:
        told: dict[str, Any] = {
            "subject": "material",
            "f": ["country", "day"],
            "t": ["is", "before"],
            "v": ["GE", "x"],
            "g": ["1", "2"],
        }
        address = reverse("audit:compose")

        def lines(**more: str) -> list[list[str]]:
            form = client.get(address, told | more).context["form"]
            return [[line.condition.field for line in group.lines] for group in form.groups]

        assert lines() == [["country"], ["day"]]
        assert lines(add="1") == [["country", ""], ["day"]]
        assert lines(drop="2") == [["country"]]
        assert lines(drop="1") == [["day"]]
        assert lines(**{"add-group": "1"}) == [["country"], ["day"], [""]]

    @pytest.mark.parametrize("pressed, line", [
        ({}, None), ({"add": "1"}, 3), ({"add-group": "1"}, 4), ({"drop": "1"}, 1), ({"drop": "3"}, 2),
        ({"add": "9"}, None),
    ])  # fmt: skip
    def test_one_goes_on_in_the_line_that_a_button_made(
        self, client: Client, pressed: dict[str, str], line: int | None
    ) -> None:
        """Three lines in two groups; the focus is in the list of fields of the line, no keys are spent on the way."""
        client.force_login(auditor())
        asked = {"subject": "papers", "f": ["kind", "issuer", "state"], "t": ["is"] * 3, "v": ["", "x", ""],
                 "g": ["1", "1", "2"], **pressed}  # fmt: skip
        page = html.fromstring(client.get(reverse("audit:compose"), asked).content)
        assert page.xpath("//*[@autofocus]/@id") == ([f"f{line}"] if line else [])

    def test_mistakes_stand_beside_their_lines(self, client: Client) -> None:
        told: dict[str, Any] = {"subject": "material", "f": ["day", "paper"], "t": ["is"], "v": ["31/04/2019", "NOPE"]}
        page = client.get(reverse("audit:compose"), told | {"known": "2099-01-01"})
        assert page.status_code == 422
        assert "That day is to come" in page.content.decode()
        page = client.get(reverse("audit:compose"), told)
        assert page.status_code == 422
        assert "“31/04/2019” is no day" in page.content.decode()
        assert "The register has no paper “NOPE”." in page.content.decode()
        assert client.get(reverse("audit:compose-csv"), told).status_code == 302

    def test_files_hold_all_rows(self, client: Client) -> None:
        for number in range(30):
            register.paper(f"P-{number:02}")
        text = self.file(client, "audit:compose-csv", subject="papers", col="kind").decode()
        assert all(f"P-{number:02}" in text for number in range(30))
        assert self.file(client, "audit:compose-xlsx", subject="papers").startswith(b"PK")

    def file(self, client: Client, name: str, **asked: str) -> bytes:
        """What is in a file; closing the answer as a whole would close the connection of the test too."""
        page: Any = client.get(reverse(name), asked)
        found = b"".join(page.streaming_content)
        for close in page._resource_closers:
            if close.__name__ == "close":
                close()
        return found

    def test_a_private_question_is_not_there_for_others(self, client: Client) -> None:
        mine, theirs = saved(is_shared=False, title="Mine"), saved(auditor(), is_shared=False, title="Theirs")
        assert client.get(reverse("audit:saved-one", args=[mine.pk])).status_code == 200
        for name in ("saved-one", "saved-edit", "saved-remove"):
            assert client.get(reverse(f"audit:{name}", args=[theirs.pk])).status_code == 404
        for name in ("saved-follow", "saved-ask", "saved-back"):
            assert client.post(reverse(f"audit:{name}", args=[theirs.pk])).status_code == 404
        assert b"Theirs" not in client.get(reverse("audit:saved")).content

    def test_removed_by_a_confirmation_and_put_back_from_the_list(self, client: Client) -> None:
        one = saved()
        address = reverse("audit:saved-remove", args=[one.pk])
        assert b"Remove the question" in client.get(address).content
        assert b"Put back" in client.post(address, follow=True).content
        client.post(reverse("audit:saved-back", args=[one.pk]))
        one.refresh_from_db()
        assert one.removed_at is None

    def test_ready_questions_keep_their_parameters(self, client: Client) -> None:
        with also_asked(WHOLE):
            client.post(
                f"{reverse('audit:saved-new')}?ready=test-whole&on=2026-03-01", {"title": "W", "schedule": "none"}
            )
            one = SavedQuestion.objects.get()
            assert (one.ready, one.values["on"]) == ("test-whole", "2026-03-01")
            assert b"test-whole/?on=2026-03-01" in client.get(reverse("audit:saved-one", args=[one.pk])).content
        assert AnswerTaken.objects.get().count == 3
        assert client.get(f"{reverse('audit:saved-new')}?ready=nix").status_code == 404

    def test_words_of_before_a_paper_was_closed_are_hidden(self, client: Client) -> None:
        """What an answer says of a paper that is restricted afterwards goes with it; once asked again it stands."""
        paper, reader = register.paper(), auditor()
        record(paper, by=None, why="entered")
        one = saved(composed=PAPERS)
        ask_again(saved=one, by=reader)
        client.force_login(reader)
        page = reverse("audit:saved-one", args=[one.pk])
        words = AnswerTaken.objects.get().sentence.encode()
        assert words in client.get(page).content
        closed = role_bits([Role.REGISTRAR, Role.COMPLIANCE])
        paper.restricted_to, paper.restricted_why = closed, "asked for"
        record(paper, by=None, why="asked for", fields=["restricted_to", "restricted_why"])
        shown = client.get(page).content
        assert words not in shown and b"something was restricted" in shown and b"The number is 1." in shown
        ask_again(saved=one, by=reader)
        assert words in client.get(page).content
        client.force_login(one.owner)  # a registrar, to whom it is open
        ask_again(saved=one, by=one.owner)
        assert b"something was restricted" not in client.get(page).content

    def test_asked_the_first_time_nothing_is_said_of_a_change(self, client: Client) -> None:
        one, reader = saved(), auditor()
        client.force_login(reader)
        assert b"Ask now" in client.get(reverse("audit:saved-one", args=[one.pk])).content
        said = [client.post(reverse("audit:saved-ask", args=[one.pk]), follow=True).content for _time in range(2)]
        assert b"did not change" not in said[0] and b"The answer did not change." in said[1]

    def test_the_last_number_stays_where_it_could_not_be_answered(self, client: Client) -> None:
        one, reader = saved(), auditor()
        for number, problem in ((7, ""), (0, "The day is no day.")):
            AnswerTaken.objects.create(question=one, role="auditor", asked_at=timezone.now(), count=number,
                                       problem=problem)  # fmt: skip
        client.force_login(reader)
        shown = client.get(reverse("audit:saved")).content
        assert b'<td class="num">7</td>' in shown and b"It could not be answered on" in shown

    def test_queries(self, client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The list costs the same with one question and with ten."""
        for number in range(10):
            one = saved(title=f"Q {number}")
            AnswerTaken.objects.create(
                question=one, role="registrar", asked_at=datetime(2026, 11, 25, tzinfo=UTC), count=1
            )
            if number in (0, 9):
                with django_assert_num_queries(8):
                    client.get(reverse("audit:saved"))
