"""The way in and out: the page, the wait after wrong passwords, where people land, and what ends a session."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse
from pytest_django import Settings

from accessions.people import actions, queries
from accessions.people.models import Role, SignInFailure, User
from tests.factories import register

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
SIGN_IN = "/sign-in/"


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Hashing is slow on purpose, and these tests are not about it."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]


@pytest.fixture
def tove() -> User:
    person = register.person(Role.CURATOR, username="tove")
    person.set_password(register.PASSWORD)
    person.save()
    return person


def send(client: Client, username: str = "tove", password: str = register.PASSWORD, **more: str):  # type: ignore[no-untyped-def]
    return client.post(SIGN_IN, {"username": username, "password": password, **more})


def is_signed_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


class TestPage:
    def test_right_password(self, client: Client, tove: User) -> None:
        answer = send(client)
        assert (answer.status_code, answer["Location"]) == (302, reverse("verdicts:today"))
        assert is_signed_in(client)

    def test_leaves_no_history(self, client: Client, tove: User) -> None:
        """That somebody came in is no change of the person; ``last_login`` says when it was."""
        before = tove.history.count()
        send(client)
        assert tove.history.count() == before
        tove.refresh_from_db()
        assert tove.last_login is not None

    def test_page_has_labels_and_the_caution(self, client: Client) -> None:
        text = client.get(SIGN_IN).content.decode()
        assert '<label for="id_username">' in text
        assert '<label for="id_password">' in text
        assert "no legal advice" in text
        assert 'autocomplete="current-password"' in text

    def test_page_is_kept_by_no_cache(self, client: Client) -> None:
        assert "no-store" in client.get(SIGN_IN)["Cache-Control"]

    @pytest.mark.parametrize("username", ["tove", "nobody"])
    def test_wrong_password_says_the_same_of_every_name(self, client: Client, tove: User, username: str) -> None:
        """Whether a name exists is nobody's business."""
        answer = send(client, username, "wrong")
        assert answer.status_code == 422
        assert "This name and password do not go together." in answer.content.decode()
        assert not is_signed_in(client)

    def test_typed_password_does_not_come_back(self, client: Client) -> None:
        assert "wrong-secret" not in send(client, "tove", "wrong-secret").content.decode()

    def test_deactivated_account(self, client: Client, tove: User) -> None:
        User.objects.filter(pk=tove.pk).update(is_active=False)
        assert send(client).status_code == 422

    @pytest.mark.parametrize("given", [{"username": "", "password": ""}, {"username": "tove\x00", "password": "x"}])
    def test_nothing_and_signs_that_are_none(self, client: Client, given: dict[str, str]) -> None:
        assert client.post(SIGN_IN, given).status_code == 422
        assert not SignInFailure.objects.exists()

    def test_whoever_is_in_goes_on(self, client: Client, tove: User) -> None:
        client.force_login(tove)
        assert client.get(SIGN_IN)["Location"] == reverse("verdicts:today")

    def test_form_of_another_site_is_not_taken(self, tove: User) -> None:
        """Nor one without the token of the session; the page says what to do."""
        answer = send(Client(enforce_csrf_checks=True))
        assert answer.status_code == 403
        assert "Please send it again" in answer.content.decode()


class TestNext:
    """A link must not lead through our sign-in to another site (OWASP, Unvalidated Redirects and Forwards)."""

    def test_page_that_was_asked_for(self, client: Client, tove: User) -> None:
        refused = client.get("/agents/?q=ek")
        assert refused["Location"] == "/sign-in/?next=/agents/%3Fq%3Dek"
        assert 'name="next" value="/agents/?q=ek"' in client.get(refused["Location"]).content.decode()
        assert send(client, next="/agents/?q=ek")["Location"] == "/agents/?q=ek"

    @pytest.mark.parametrize(
        "address",
        [
            "https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example", "http:///elsewhere.example",
            "javascript:alert(1)", "data:text/html,x", "\thttps://elsewhere.example/", "https:elsewhere.example",
            "ftp://testserver/",
        ],
    )  # fmt: skip
    def test_other_places(self, client: Client, tove: User, address: str) -> None:
        assert send(client, next=address)["Location"] == reverse("verdicts:today")

    def test_over_tls_not_back_to_plain(self, client: Client, tove: User) -> None:
        answer = client.post(
            SIGN_IN,
            {"username": "tove", "password": register.PASSWORD, "next": "http://testserver/agents/"},
            secure=True,
            headers={"referer": "https://testserver/"},
        )
        assert answer["Location"] == reverse("verdicts:today")

    def test_who_is_in_is_not_sent_away_either(self, client: Client, tove: User) -> None:
        client.force_login(tove)
        assert client.get(SIGN_IN, {"next": "//elsewhere.example/"})["Location"] == reverse("verdicts:today")


class TestWait:
    """Five wrong passwords within 15 minutes; then none is tried until 15 minutes after the fifth."""

    def fail(self, at: datetime, name: str = "tove") -> str:
        with pytest.raises(actions.SignInRefusedError) as refusal:
            actions.sign_in(RequestFactory().post(SIGN_IN), username=name, password="wrong", now=at)
        return str(refusal.value)

    def fail_five_times(self) -> None:
        for minute in range(5):
            self.fail(NOON + timedelta(minutes=minute))

    def test_fourth_does_not_wait(self) -> None:
        assert ["do not go together" in self.fail(NOON) for _ in range(4)] == [True] * 4

    def test_fifth_says_for_how_long(self) -> None:
        for _ in range(4):
            self.fail(NOON)
        assert "wrong 5 times. It can be tried again in 15 minutes" in self.fail(NOON)

    @pytest.mark.parametrize(
        ("seconds", "words"), [(0, "in 15 minutes"), (61, "in 14 minutes"), (14 * 60, "in 1 minute,")]
    )
    def test_minutes_are_rounded_up(self, seconds: int, words: str) -> None:
        self.fail_five_times()
        assert words in self.fail(NOON + timedelta(minutes=4, seconds=seconds))

    def test_right_password_waits_too(self, client: Client, tove: User) -> None:
        for _ in range(5):
            send(client, password="wrong")
        answer = send(client)
        assert answer.status_code == 422
        assert "can be tried again in 15 minutes" in answer.content.decode()
        assert not is_signed_in(client)

    def test_wait_ends_to_the_second(self) -> None:
        """The fifth failure is at 12:04, so the wait ends at 12:19:00."""
        self.fail_five_times()
        assert queries.waiting_until("tove", NOON + timedelta(minutes=18, seconds=59)) == NOON + timedelta(minutes=19)
        assert queries.waiting_until("tove", NOON + timedelta(minutes=19)) is None

    def test_tries_while_waiting_do_not_prolong_it(self) -> None:
        self.fail_five_times()
        for minute in range(5, 19):
            self.fail(NOON + timedelta(minutes=minute))
        assert queries.waiting_until("tove", NOON + timedelta(minutes=19)) is None

    def test_slow_failures_do_not_add_up(self) -> None:
        for quarter in range(8):
            assert "do not go together" in self.fail(NOON + timedelta(minutes=15 * quarter))

    def test_other_names_do_not_wait(self) -> None:
        self.fail_five_times()
        assert queries.waiting_until("ivar", NOON + timedelta(minutes=5)) is None

    def test_name_in_other_dress_waits(self) -> None:
        self.fail_five_times()
        assert queries.waiting_until(" TOVE ", NOON + timedelta(minutes=5)) is not None

    def test_success_starts_anew(self, client: Client, tove: User) -> None:
        for _ in range(4):
            send(client, password="wrong")
        send(client)
        assert not SignInFailure.objects.exists()

    def test_old_failures_are_forgotten(self) -> None:
        self.fail_five_times()
        self.fail(NOON + timedelta(hours=1), name="ivar")
        assert list(SignInFailure.objects.values_list("name_key", flat=True)) == ["ivar"]


class TestSessions:
    def test_sign_out_takes_a_post(self, client: Client, tove: User) -> None:
        """A picture on another page must not sign somebody out."""
        client.force_login(tove)
        assert client.get("/sign-out/").status_code == 405
        assert is_signed_in(client)
        assert client.post("/sign-out/")["Location"] == SIGN_IN
        assert not is_signed_in(client)

    def test_session_has_a_new_key_after_sign_in(self, client: Client, tove: User) -> None:
        """A key that was planted before is worth nothing (OWASP, Session Fixation)."""
        session = client.session
        session["planted"] = "yes"
        session.save()
        before = session.session_key
        send(client)
        assert client.session.session_key != before

    def test_deactivation_ends_it(self, client: Client, tove: User) -> None:
        client.force_login(tove)
        actions.deactivate(tove, by=register.person(Role.ADMINISTRATOR), why="left")
        assert not is_signed_in(client)

    def test_new_role_holds_with_the_next_click(self, client: Client, tove: User) -> None:
        client.force_login(tove)
        assert client.get("/people/").status_code == 403
        actions.change_role(tove, by=register.person(Role.ADMINISTRATOR), why="", role=Role.ADMINISTRATOR)
        assert client.get("/people/").status_code == 200

    def test_given_password_ends_it_everywhere(self, client: Client, tove: User) -> None:
        client.force_login(tove)
        actions.set_password(tove, by=register.person(Role.ADMINISTRATOR), why="", password="other calm words")
        assert not is_signed_in(client)

    def test_own_password_ends_it_on_other_devices(self, client: Client, tove: User) -> None:
        elsewhere = Client()
        elsewhere.force_login(tove)
        client.force_login(tove)
        given = {"present": register.PASSWORD, "password": "other calm words", "again": "other calm words"}
        assert client.post("/account/password/", given).status_code == 302
        assert is_signed_in(client)
        assert not is_signed_in(elsewhere)


class TestCookies:
    """Source: OWASP, Session Management Cheat Sheet."""

    def test_session_cookie(self, client: Client, tove: User) -> None:
        send(client)
        cookie = client.cookies["sessionid"]
        assert cookie["httponly"] is True
        assert cookie["samesite"] == "Lax"
        assert cookie["max-age"] == 12 * 60 * 60

    def test_over_tls_only_in_production(self, client: Client, tove: User, settings: Settings) -> None:
        """The settings turn it on (tests/integration/test_settings.py); here the cookie follows them."""
        settings.SESSION_COOKIE_SECURE = True
        send(client)
        assert client.cookies["sessionid"]["secure"] is True


def test_passwords_are_hashed_slowly() -> None:
    """OWASP, Password Storage Cheat Sheet (2023): PBKDF2 with HMAC-SHA256 takes at least 600,000 rounds."""
    from django.conf import global_settings
    from django.utils.module_loading import import_string

    from governance.config import settings as our_settings

    hasher = import_string(global_settings.PASSWORD_HASHERS[0])()
    assert hasher.algorithm == "pbkdf2_sha256"
    assert hasher.iterations >= 600_000
    assert not hasattr(our_settings, "PASSWORD_HASHERS"), "the ways of Django stand"
