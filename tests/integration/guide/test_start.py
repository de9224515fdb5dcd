"""``manage.py start``: what it makes, what it asks, and what it never touches. Served as a person runs it:
tests/browser/test_first_hour.py begins with it."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection

from accessions.people.models import Role, User
from governance.config import held as reading
from governance.config.held import Held, held
from governance.config.management.commands import start
from governance.guide.actions.founding import FoundedError, found_register
from governance.usedesk.models import DeskRules
from tests.factories import register

pytestmark = pytest.mark.django_db

SOUND = {"institution": "Vendel House of Nature", "country": "Sweden", "full_name": "Asta Vendel", "username": "asta"}
WORD = "a quiet shelf of jars"


@pytest.fixture
def free(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A database with tables and nobody in it; these tests make none."""
    monkeypatch.setattr(start, "held", lambda: Held.NOBODY)
    monkeypatch.setattr(start, "_make_tables", lambda **_: None)
    monkeypatch.setenv("WORD", WORD)
    yield


def run(**told: Any) -> str:
    said = StringIO()
    call_command("start", no_serve=True, stdout=said, **told)
    return said.getvalue()


def test_two_accounts_and_the_institution(free: None) -> None:
    """Who works with papers does not let people in; both are the same person's."""
    said = run(**SOUND, password_from_env="WORD")
    assert dict(User.objects.values_list("username", "role")) == {
        "asta": Role.REGISTRAR, "asta-admin": Role.ADMINISTRATOR,
    }  # fmt: skip
    assert all(user.check_password(WORD) and user.get_full_name() == "Asta Vendel" for user in User.objects.all())
    house = DeskRules.objects.get()
    assert (house.institution, house.country) == ("Vendel House of Nature", "SE")
    assert house.history.get().history_change_reason == "register started"
    assert "You sign in as asta, Registrar" in said


def test_all_that_does_not_hold_is_said_at_once(free: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SHORT", "jars")
    told = {"institution": " ", "country": "Xland", "full_name": "", "username": "as ta", "password_from_env": "SHORT"}
    with pytest.raises(CommandError) as refused:
        run(**told)
    lines = str(refused.value).splitlines()[1:]
    assert sorted(line[2:].split(": ")[0] for line in lines) == sorted(
        question for _, question in start.QUESTIONS.values()
    )
    assert not User.objects.exists() and not DeskRules.objects.exists()


def test_without_a_terminal_the_missing_options_are_named(free: None) -> None:
    with pytest.raises(CommandError, match="--full-name, --user, --password-from-env"):
        run(institution="Vendel House of Nature", country="SE")
    with pytest.raises(CommandError, match="EMPTY is not set or empty"):
        run(**SOUND, password_from_env="EMPTY")


def test_at_a_terminal_what_does_not_hold_is_asked_again(free: None, monkeypatch: pytest.MonkeyPatch) -> None:
    typed = iter(["Vendel House of Nature", "Swedn", "Asta Vendel", "asta", "sweden"])
    words = iter([WORD, "another jar of shelves", WORD, WORD])
    monkeypatch.setattr(start, "_is_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(typed))
    monkeypatch.setattr("getpass.getpass", lambda _: next(words))
    said = run()
    assert "This is no country of ISO 3166-1" in said
    assert DeskRules.objects.get().country == "SE"
    assert list(typed) == list(words) == []


def test_who_is_there_is_never_added_to(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run asks nothing; nor does the action, whoever calls it."""
    register.person(Role.CURATOR)
    monkeypatch.setattr(start, "held", lambda: Held.REGISTER)
    monkeypatch.setattr(start, "_migrations_to_do", lambda: 0)
    assert "nothing was asked or changed" in run(**SOUND)
    with pytest.raises(FoundedError):
        found_register(institution="X", country="SE", full_name="A B", username="ab", password=WORD)
    assert User.objects.count() == 1


def test_tables_of_an_older_release_are_changed_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    register.person(Role.CURATOR)
    done: list[str] = []
    monkeypatch.setattr(start, "held", lambda: Held.REGISTER)
    monkeypatch.setattr(start, "_migrations_to_do", lambda: 2)
    monkeypatch.setattr(start, "call_command", lambda name, **_: done.append(name))
    said = run(**SOUND)
    assert done == ["migrate"]
    assert "its tables were changed, and nothing was asked" in said
    assert "or changed" not in said


@pytest.mark.parametrize("found", [Held.DEMO, Held.FOREIGN])
def test_another_database_is_refused(monkeypatch: pytest.MonkeyPatch, found: Held) -> None:
    monkeypatch.setattr(start, "held", lambda: found)
    with pytest.raises(CommandError, match=f"holds {found.value}; nothing was touched.*DATABASE_URL="):
        run(**SOUND)


def test_a_file_that_is_no_database_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail() -> Held:
        raise DatabaseError("file is not a database")

    monkeypatch.setattr(start, "held", fail)
    with pytest.raises(CommandError, match="cannot be opened as a database: file is not a database"):
        run(**SOUND)


def test_a_taken_port_is_said_first() -> None:
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(CommandError, match="start --port"):
            call_command("start", port=other.getsockname()[1])


def test_what_a_database_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    columns = "id integer PRIMARY KEY, app varchar(255), name varchar(255), applied timestamp"
    with connection.cursor() as cursor:  # where the tables of these tests were made without migrations
        cursor.execute(f"CREATE TABLE IF NOT EXISTS django_migrations ({columns})")
    assert held() is Held.NOBODY
    register.person()
    assert held() is Held.REGISTER
    with connection.cursor() as cursor:  # another program's tables beside
        cursor.execute("INSERT INTO django_migrations VALUES (999999, 'blog', '0001_initial', '2026-11-26 00:00:00')")
    assert held() is Held.FOREIGN
    for tables, found in ([], Held.NOTHING), (["fieldwrit_demo"], Held.DEMO), (["posts"], Held.FOREIGN):
        monkeypatch.setattr(reading.connection.introspection, "table_names", lambda names=tables: names)
        assert held() is found


def of_rooms(*prefixes: str) -> list[str]:
    """The tables of the register whose names begin so."""
    return [name for name in connection.introspection.table_names() if name.startswith(prefixes)]


@pytest.mark.parametrize(
    ("done", "kept", "beside", "found"),
    [
        (["people"], ["people_"], [], Held.NOBODY),  # the making was stopped after the first room
        (["people"], ["people_"], ["posts"], Held.FOREIGN),
        (["people"], ["people_user"], [], Held.FOREIGN),  # a room of that name, and of our tables one alone
        (["people"], [], ["people_person"], Held.FOREIGN),
        (["people", "material", "sites", "search", "audit"], ["people_"], [], Held.FOREIGN),
        (["people", "sites", "names", "material", "intake"],
         ["people_", "sites_", "names_", "material_", "intake_"], ["posts"], Held.NOBODY),
    ],
)  # fmt: skip
def test_ours_is_known_by_the_tables_of_its_rooms(
    monkeypatch: pytest.MonkeyPatch, done: list[str], kept: list[str], beside: list[str], found: Held
) -> None:
    """Not by the name of one: another project has people, too."""
    tables = [*of_rooms("django_", "auth_", *kept), *beside, "django_migrations"]
    columns = "id integer PRIMARY KEY, app varchar(255), name varchar(255), applied timestamp"
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE IF NOT EXISTS django_migrations ({columns})")
        cursor.execute("DELETE FROM django_migrations")
        for key, app in enumerate(["contenttypes", "auth", *done], start=1):
            cursor.execute("INSERT INTO django_migrations VALUES (%s, %s, '0001_initial', '2026-11-26')", [key, app])
    monkeypatch.setattr(reading.connection.introspection, "table_names", lambda: tables)
    assert held() is found
