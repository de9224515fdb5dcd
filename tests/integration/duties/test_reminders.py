"""The feed that calendar programs read (RFC 5545, read by vobject), its secret address, and the daily mails."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
import vobject
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.duties.actions.addresses import end_address, new_address
from governance.duties.actions.digests import send_digests
from governance.duties.actions.wishes import set_wish
from governance.duties.models import CalendarAddress, Duty, ReminderSent
from governance.duties.site import site_address, site_name
from tests.factories import duties as made
from tests.factories import register

pytestmark = pytest.mark.django_db

SITE = "https://register.example.org"


@pytest.fixture
def today() -> date:
    return timezone.localdate()


def reader(role: str = Role.CURATOR, **fields: Any) -> User:
    return register.person(role, **{"email": f"{role}@example.org", **fields})


def feed(client: Client, secret: str) -> Any:
    return client.get(reverse("duties:feed", args=[secret]))


def events(client: Client, secret: str) -> dict[str, Any]:
    """By the part of the identifier before the @, as vobject reads the feed."""
    calendar = vobject.readOne(feed(client, secret).content.decode())
    return {event.uid.value.partition("@")[0]: event for event in calendar.contents.get("vevent", [])}


class TestFeed:
    """Each open duty on its day."""

    def test_whole_days_with_an_alarm(self, client: Client, today: date) -> None:
        """RFC 5545, 3.6.1: the end of a whole day is not part of it; 3.8.6.3: an alarm before the start is negative."""
        me, soon = reader(), today + timedelta(40)
        duty = made.duty(what="Send the report; by letter, twice", paper=register.paper("COL-1"), due_on=soon,
                         to_whom="Directorate", assignee=me)  # fmt: skip
        event = events(client, new_address(is_all=False, by=me))[f"duty-{duty.pk}"]
        assert (event.dtstart.value, event.dtend.value) == (soon, soon + timedelta(1))
        assert event.dtstart.params == {"VALUE": ["DATE"]}
        assert event.summary.value == "Send the report; by letter, twice (COL-1)"
        assert "To Directorate." in event.description.value
        assert event.url.value == f"http://testserver/duties/{duty.pk}/"
        assert event.valarm.trigger.value == timedelta(days=-7)

    def test_what_is_late_stays_and_what_is_done_goes(self, client: Client, today: date) -> None:
        me = reader()
        late = made.duty(due_on=today - timedelta(3), assignee=me)
        made.done_duty(assignee=me)
        made.duty(due_on=None, assignee=me)
        found = events(client, new_address(is_all=False, by=me))
        assert list(found) == [f"duty-{late.pk}"]
        event = found[f"duty-{late.pk}"]
        assert event.summary.value == "Late: Send the report"
        assert "3 days late" in event.description.value

    def test_days_are_those_of_the_house(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        """20:00 of 25 November in UTC is 26 November, 9:00, in Auckland (UTC+13 in summer): due on 25, 1 day late."""
        me = reader()
        duty = made.duty(due_on=date(2026, 11, 25), assignee=me)
        secret = new_address(is_all=False, by=me)
        monkeypatch.setattr(timezone, "now", lambda: datetime(2026, 11, 25, 20, tzinfo=UTC))
        with timezone.override("Pacific/Auckland"):
            event = events(client, secret)[f"duty-{duty.pk}"]
        assert event.summary.value == "Late: Send the report"
        assert "1 day late on 2026-11-26." in event.description.value

    def test_identifier_stays_when_the_day_moves(self, client: Client, today: date) -> None:
        me = reader()
        duty = made.duty(due_on=today, assignee=me)
        secret = new_address(is_all=False, by=me)
        before = events(client, secret)[f"duty-{duty.pk}"].uid.value
        Duty.objects.filter(pk=duty.pk).update(due_on=today + timedelta(9))
        moved = events(client, secret)[f"duty-{duty.pk}"]
        assert (moved.uid.value, moved.dtstart.value) == (before, today + timedelta(9))

    def test_own_or_all(self, client: Client, today: date) -> None:
        me = reader()
        made.duty(due_on=today, assignee=me)
        made.duty(due_on=today)
        made.duty(due_on=today, assignee=reader(Role.REGISTRAR))
        assert len(events(client, new_address(is_all=False, by=me))) == 1
        assert len(events(client, new_address(is_all=True, by=me))) == 3

    @pytest.mark.parametrize(("role", "is_told"), [(Role.CURATOR, False), (Role.REGISTRAR, True)])
    def test_words_of_a_closed_paper_by_role(self, client: Client, today: date, role: str, is_told: bool) -> None:
        paper = register.paper("LND-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="names of owners")
        made.duty(what="Zzwhat", to_whom="Zzwhom", paper=paper, due_on=today, note="Zznote")
        data = feed(client, new_address(is_all=True, by=reader(role))).content.decode()
        assert ("Zzwhat" in data, "Zzwhom" in data, "Zznote" in data) == (is_told, is_told, False)
        assert "LND-1" in data

    def test_queries_do_not_grow(self, client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        secret = new_address(is_all=True, by=reader())
        feed(client, secret)
        for number in range(3):
            made.duty(paper=register.paper(f"P-{number}"), assignee=reader())
            with django_assert_num_queries(3):
                feed(client, secret)


class TestAddress:
    """A secret that is shown once."""

    def test_only_its_hash_is_kept(self) -> None:
        """43 letters of base64 hold 32 bytes (RFC 4648, section 5: 4 letters for 3 bytes, without padding)."""
        me = reader()
        secret = new_address(is_all=False, by=me)
        kept = CalendarAddress.objects.get(user=me)
        assert re.fullmatch(r"[A-Za-z0-9_-]{43}", secret)
        assert kept.secret_sha256 == hashlib.sha256(secret.encode("ascii")).hexdigest()
        assert secret not in repr(CalendarAddress.objects.values())

    def test_answer_is_for_nobody_else_to_keep(self, client: Client) -> None:
        answer = feed(client, new_address(is_all=False, by=reader()))
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "private, no-store"
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        assert answer["X-Robots-Tag"] == "noindex"
        assert not answer.cookies

    def test_unknown_and_ended_look_alike(self, client: Client) -> None:
        """A new address ends the old; nobody learns whether one was ever there."""
        me = reader()
        old = new_address(is_all=False, by=me)
        new = new_address(is_all=False, by=me)
        assert [feed(client, secret).status_code for secret in (old, new, "x" * 43)] == [404, 200, 404]
        end_address(by=me)
        assert feed(client, new).status_code == 404
        assert CalendarAddress.objects.filter(ended_by=me).count() == 2

    def test_closed_with_the_person_or_their_right(self, client: Client) -> None:
        me = reader()
        secret = new_address(is_all=False, by=me)
        User.objects.filter(pk=me.pk).update(role=Role.VOLUNTEER)
        assert feed(client, secret).status_code == 404
        User.objects.filter(pk=me.pk).update(role=Role.CURATOR, is_active=False)
        assert feed(client, secret).status_code == 404
        with pytest.raises(NotAllowedError):
            new_address(is_all=False, by=reader(Role.VOLUNTEER))

    def test_day_of_reading_is_written_once_a_day(
        self, client: Client, today: date, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        secret = new_address(is_all=False, by=reader())
        with django_assert_num_queries(4):
            feed(client, secret)
        assert CalendarAddress.objects.get().read_on == today
        with django_assert_num_queries(3):
            feed(client, secret)

    def test_pages(self, client: Client) -> None:
        """Made, shown once, read by the program, ended."""
        client.force_login(reader())
        page = client.post(reverse("duties:reminder-address"), {"which": "all"})
        found = re.search(r'value="http://testserver(/duties/feed/[^"]+\.ics)"', page.content.decode())
        assert found
        assert "no-store" in page["Cache-Control"]
        assert Client().get(found[1]).status_code == 200
        shown = client.get(reverse("duties:reminders")).content.decode()
        assert "all duties" in shown
        assert found[1] not in shown
        page = client.post(reverse("duties:reminder-address-end"), follow=True)
        assert "The calendar address has ended." in page.content.decode()
        assert Client().get(found[1]).status_code == 404
        page = client.post(reverse("duties:reminder-address-end"), follow=True)
        assert "You have no calendar address." in page.content.decode()


def sent(today: date, **more: Any) -> dict[str, str]:
    """By address the text of the mails that go out."""
    mail.outbox.clear()
    send_digests(today=today, site=SITE, **more)
    return {message.to[0]: f"{message.subject}\n{message.body}" for message in mail.outbox}


class TestDigests:
    """One mail a day, to who wants it and has something to be told."""

    def test_late_due_and_new_in_words(self, today: date) -> None:
        me = reader(first_name="Nora", last_name="Ek")
        paper = register.paper("COL-1")
        made.duty(what="Send the old report.", paper=paper, due_on=today - timedelta(1), assignee=me,
                  to_whom="Directorate")  # fmt: skip
        made.duty(what="Pay the fee", due_on=today + timedelta(30))
        made.duty(what="Far ahead", due_on=today + timedelta(31), assignee=me)
        made.duty(what="No day", due_on=None, assignee=me)
        text = sent(today)["curator@example.org"]
        assert text.startswith("Duties: 1 late, 1 due within 30 days, 1 new, 1 of which the day is not known\n")
        assert "1 day late: Send the old report. To Directorate. COL-1. Nora Ek." in text
        assert "in 30 days: Pay the fee. nobody sees to it." in text
        assert "in 31 days: Far ahead. Nora Ek." in text
        assert f"{SITE}/duties/" in text
        assert "The day is not known (1)\n\n- No day. Nora Ek." in text

    def test_a_day_that_is_not_known_is_told_when_it_is_new_and_then_beside(self, today: date) -> None:
        """Such duties stay for years: alone they make one mail, not one each day."""
        me = reader()
        duty = made.duty(what="No day", due_on=None, assignee=me)
        assert "No day" in sent(today)["curator@example.org"]
        duty.history.update(history_date=timezone.now() - timedelta(1))
        assert sent(today + timedelta(1)) == {}
        made.duty(what="Late", due_on=today, assignee=me)
        assert "No day" in sent(today + timedelta(2))["curator@example.org"]

    def test_once_a_day_and_what_was_told_is_not_new(self, today: date) -> None:
        me = reader()
        far = made.duty(what="Far ahead", due_on=today + timedelta(99), assignee=me)
        made.duty(what="Late", due_on=today - timedelta(9), assignee=me)
        first = today + timedelta(1)
        assert "Far ahead" in sent(first)["curator@example.org"]
        assert sent(first) == {}
        far.history.update(history_date=timezone.now() - timedelta(1))
        assert "Far ahead" not in sent(first + timedelta(1))["curator@example.org"]
        assert ReminderSent.objects.count() == 2

    def test_nothing_to_say_no_mail(self, today: date) -> None:
        me = reader()
        made.duty(due_on=today, assignee=reader(Role.REGISTRAR, email=""))
        duty = made.duty(due_on=today + timedelta(99), assignee=me)
        duty.history.update(history_date=timezone.now() - timedelta(9))
        assert sent(today) == {}
        assert ReminderSent.objects.count() == 0

    def test_wishes(self, today: date) -> None:
        """Own: also what nobody sees to, for who may keep duties; all; nothing. Who has gone is told nothing."""
        people = [reader(role) for role in (Role.CURATOR, Role.REGISTRAR, Role.COMPLIANCE, Role.AUDITOR)]
        curator, registrar, compliance, auditor = people
        reader(Role.CURATOR, username="gone", email="gone@example.org", is_active=False)
        made.duty(what="Of nobody", due_on=today)
        made.duty(what="Of the curator", due_on=today, assignee=curator)
        set_wish(wish="all", by=auditor)
        set_wish(wish="none", by=registrar)
        found = sent(today)
        told = {to: [what for what in ("Of nobody", "Of the curator") if what in text] for to, text in found.items()}
        assert told == {
            "curator@example.org": ["Of nobody", "Of the curator"], "compliance@example.org": ["Of nobody"],
            "auditor@example.org": ["Of nobody", "Of the curator"],
        }  # fmt: skip
        assert compliance.email in found

    def test_closed_paper_by_role(self, today: date) -> None:
        paper = register.paper("LND-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="names of owners")
        made.duty(what="Zzwhat", to_whom="Zzwhom", paper=paper, due_on=today)
        reader(), reader(Role.REGISTRAR)
        found = sent(today)
        assert "Zzwhat" in found["registrar@example.org"]
        assert "Zz" not in found["curator@example.org"]
        assert "Send a report. LND-1." in found["curator@example.org"]

    def test_queries_grow_by_people_alone(self, today: date, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        reader()
        for number in range(3):
            made.duty(paper=register.paper(f"P-{number}"), due_on=today)
            with django_assert_num_queries(6):
                send_digests(today=today, site=SITE, dry_run=True)


class TestCommand:
    """``send_reminders``, as a timer runs it."""

    def test_sends_and_says_so(self, today: date) -> None:
        reader()
        made.duty(due_on=today)
        out = StringIO()
        call_command("send_reminders", "--dry-run", stdout=out)
        assert "would go to Nora Curator <curator@example.org>: Duties: 1 due within 30 days" in out.getvalue()
        assert (len(mail.outbox), ReminderSent.objects.count()) == (0, 0)
        call_command("send_reminders", stdout=out)
        assert "sent to Nora Curator <curator@example.org>" in out.getvalue()
        assert len(mail.outbox) == 1
        out = StringIO()
        call_command("send_reminders", stdout=out)
        assert out.getvalue() == "Nobody has anything to be told today.\n"
        assert len(mail.outbox) == 1

    def test_works_the_duties_out_first(self, today: date) -> None:
        """A rule that nobody worked out: the house's return, due within 30 days."""
        reader()
        soon = today + timedelta(7)
        made.duty_rule(what="Send the return", month_day=soon.strftime("%m-%d"))
        call_command("send_reminders", stdout=StringIO())
        assert "in 7 days: Send the return" in str(mail.outbox[0].body)

    def test_one_address_that_fails_does_not_stop_the_others(
        self, today: date, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """It is told, and tried again by the next run."""
        reader(), reader(Role.REGISTRAR)
        made.duty(due_on=today)
        send = EmailBackend.send_messages

        def refusing(self: EmailBackend, messages: Any) -> int:
            if messages[0].to == ["curator@example.org"]:
                raise ConnectionRefusedError("no server here")
            return int(send(self, messages))

        with monkeypatch.context() as patched:
            patched.setattr(EmailBackend, "send_messages", refusing)
            with pytest.raises(CommandError, match=r"1 of the mails.*\n.*curator@example.org>: ConnectionRefusedError"):
                call_command("send_reminders", stdout=StringIO())
        assert [message.to for message in mail.outbox] == [["registrar@example.org"]]
        call_command("send_reminders", stdout=StringIO())
        assert [message.to for message in mail.outbox][1:] == [["curator@example.org"]]


class TestWish:
    """What a person wants to be told of."""

    def test_page(self, client: Client) -> None:
        me = reader()
        client.force_login(me)
        assert "A daily mail tells you of your duties." in client.get(reverse("duties:reminders")).content.decode()
        page = client.post(reverse("duties:reminders"), {"wish": "none"}, follow=True).content.decode()
        assert "No mail tells you of duties." in page
        assert client.post(reverse("duties:reminders"), {"wish": "weekly"}).status_code == 422
        set_wish(wish="all", by=me)
        assert me.reminder_wish.history.count() == 2

    def test_who_has_no_address_is_told_so(self, client: Client) -> None:
        client.force_login(reader(Role.VOLUNTEER, email=""))
        page = client.get(reverse("duties:reminders")).content.decode()
        assert "No mail address of yours is known" in page
        assert "Make an address" not in page


class TestSite:
    """Links of mails, which no request is there to tell."""

    def test_as_set_or_from_the_hosts(self, settings: Any) -> None:
        settings.FIELDWRIT_ADDRESS = SITE
        assert (site_address(), site_name()) == (SITE, "register.example.org")
        settings.FIELDWRIT_ADDRESS = ""
        settings.ALLOWED_HOSTS = ["*", ".museum.example", "other.example"]
        assert site_address() == "http://museum.example"
        settings.ALLOWED_HOSTS = ["*"]
        assert site_address() == "http://localhost"
