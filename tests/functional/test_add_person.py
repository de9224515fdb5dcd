"""``manage.py add_person``: how the first administrator gets in."""

from __future__ import annotations

import io

import pytest
from django.core.management import CommandError, call_command
from pytest_django import Settings

from accessions.people.models import User

pytestmark = pytest.mark.django_db

GOOD = "four calm words here"


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def add(*arguments: str) -> str:
    out = io.StringIO()
    call_command("add_person", *arguments, stdout=out)
    return out.getvalue()


def test_first_administrator(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIRST_PASSWORD", GOOD)
    said = add("astrid", "--role", "administrator", "--given-name", "Astrid", "--family-name", "Holm",
               "--password-from-env", "FIRST_PASSWORD")  # fmt: skip
    assert said == "Astrid Holm may sign in as astrid, Administrator.\n"
    made = User.objects.get()
    assert (made.role, made.check_password(GOOD), made.is_superuser) == ("administrator", True, False)
    assert made.history.get().history_change_reason == "added from the command line"


def test_all_problems_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FIRST_PASSWORD", "short")
    with pytest.raises(CommandError) as refusal:
        add("as trid", "--role", "administrator", "--password-from-env", "FIRST_PASSWORD")
    assert "username" in str(refusal.value)
    assert "at least 10 characters" in str(refusal.value)
    assert not User.objects.exists()


@pytest.mark.parametrize("value", [None, ""])
def test_variable_that_holds_nothing(monkeypatch: pytest.MonkeyPatch, value: str | None) -> None:
    monkeypatch.delenv("FIRST_PASSWORD", raising=False)
    if value is not None:
        monkeypatch.setenv("FIRST_PASSWORD", value)
    with pytest.raises(CommandError, match="FIRST_PASSWORD is not set or empty"):
        add("astrid", "--role", "administrator", "--password-from-env", "FIRST_PASSWORD")


def test_role_that_is_none() -> None:
    with pytest.raises(CommandError, match="invalid choice: 'owner'"):
        add("astrid", "--role", "owner", "--password-from-env", "FIRST_PASSWORD")


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("second", "is_added"), [(GOOD, True), ("another", False)])
def test_asks_twice(monkeypatch: pytest.MonkeyPatch, second: str, is_added: bool) -> None:
    answers = iter([GOOD, second])
    monkeypatch.setattr("sys.stdin", _Terminal())
    monkeypatch.setattr("getpass.getpass", lambda *_: next(answers))
    try:
        add("astrid", "--role", "administrator")
    except CommandError as refusal:
        assert "The two passwords differ" in str(refusal)
    assert User.objects.exists() is is_added


def test_no_terminal_to_ask_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO())
    with pytest.raises(CommandError, match="no terminal"):
        add("astrid", "--role", "administrator")
