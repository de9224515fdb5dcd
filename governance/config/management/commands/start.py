"""``manage.py start``: a register of one's own, from nothing to the sign-in page."""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import Error as DatabaseError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from governance.config.held import Held, held
from governance.config.quick_tables import quick_tables
from governance.config.serving import HOST, PortTakenError, check_port, serve
from governance.guide.actions.founding import Founded, check_answers, found_register
from governance.papers.forms.places import code_of

QUESTIONS = {
    "institution": ("--name", "Name of your institution"),
    "country": ("--country", "Its country (two letters, or the name)"),
    "full_name": ("--full-name", "Your name"),
    "username": ("--user", "A short name to sign in with"),
    "password": ("--password-from-env", "A password, ten characters or more"),
}
"""What a register begins with: the option that says it, and how it is asked for."""


class Command(BaseCommand):
    """Makes an empty register where the database is free, serves the one that is there, refuses anything else."""

    help = "Start a register of your own: make its tables, let you in, and serve it on this machine."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """All that is asked for can be told instead, but for the password: lists of processes show it."""
        parser.add_argument("--name", dest="institution", metavar="NAME", help="name of the institution")
        parser.add_argument("--country", help="country of the institution: two letters of ISO 3166-1, or its name")
        parser.add_argument("--full-name", metavar="NAME", help="your name, as it stands beside what you enter")
        parser.add_argument("--user", dest="username", metavar="NAME", help="what you sign in as")
        parser.add_argument("--password-from-env", metavar="VARIABLE", help="take the password from this variable")
        parser.add_argument("--port", type=int, default=8000, help=f"port on {HOST} (default: 8000)")
        parser.add_argument("--no-serve", action="store_true", help="make it, and end")

    def handle(self, *args: Any, port: int, no_serve: bool, **options: Any) -> None:
        """Make what is missing, then serve.

        Raises:
            CommandError: the port is taken, the database holds something else, or an answer does not hold.
        """
        if not no_serve:
            _check_port(port)
        found = _held()
        if found is Held.REGISTER:
            self._keep()
        else:
            self._begin(found, options)
        if not no_serve:
            self._serve(port)

    def _keep(self) -> None:
        """The register stays as it is; an older one gets the tables of this release, and that is said."""
        if not _migrations_to_do():
            self.stdout.write(f"The register in {_database()} is there; nothing was asked or changed.")
            return
        self.stdout.write(f"Bringing the tables in {_database()} up to this release ...")
        call_command("migrate", verbosity=0, interactive=False)
        self.stdout.write("The register is there; its tables were changed, and nothing was asked.")

    def _begin(self, found: Held, options: Mapping[str, Any]) -> None:
        answers = self._sound(self._told(options))
        self.stdout.write(f"\nMaking the tables in {_database()} ...")
        _make_tables(is_empty=found is Held.NOTHING)
        self._tell(found_register(**answers))

    def _sound(self, answers: dict[str, str]) -> dict[str, str]:
        """The answers, those that do not hold asked for again: before anything is made."""
        while True:
            try:
                check_answers(**answers)
                return answers
            except ValidationError as refusal:
                if not _is_terminal():
                    raise CommandError(_refused(refusal), returncode=2) from refusal
                self.stdout.write(_refused(refusal))
                answers |= {name: _asked(name) for name in QUESTIONS if name in refusal.error_dict}

    def _told(self, options: Mapping[str, Any]) -> dict[str, str]:
        """The answers of the options; what they leave open is asked for, where there is a terminal."""
        told = {name: _told_as(name, options[name]) for name in QUESTIONS if options.get(name) is not None}
        if options["password_from_env"]:
            told["password"] = _password_of(options["password_from_env"])
        missing = [name for name in QUESTIONS if name not in told]
        if missing and not _is_terminal():
            flags = ", ".join(QUESTIONS[name][0] for name in missing)
            raise CommandError(f"There is no terminal to ask on. Say it with the options: {flags}.", returncode=2)
        if missing:
            self.stdout.write("A register of your own, empty, on this machine.")
            if len(missing) > 1:
                self.stdout.write(f"{len(missing)} questions; you can change the answers later. Ctrl-C ends it.\n")
        return told | {name: _asked(name) for name in missing}

    def _tell(self, founded: Founded) -> None:
        worker, administrator = founded.worker, founded.administrator
        self.stdout.write(
            f"\nYou sign in as {worker.username}, {worker.get_role_display()}: for all the work with specimens and "
            f"papers.\nTo let others in, sign in as {administrator.username}, {administrator.get_role_display()}. "
            "It has the same password."
        )

    def _serve(self, port: int) -> None:
        self.stdout.write(
            f"\nOpen http://{HOST}:{port}/ in a browser. Stop with Ctrl-C; start it again with the same command.\n"
            'It is served to this machine alone. For others on a network: README, "Start a register of your own".'
        )
        serve(port)


def _held() -> Held:
    """What the database holds, where a register can begin or is.

    Raises:
        CommandError: something else is in it, or it cannot be opened.
    """
    try:
        found = held()
    except DatabaseError as error:
        raise CommandError(f"{_database()} cannot be opened as a database: {error}. {_ANOTHER}",
                           returncode=2) from error  # fmt: skip
    if found in (Held.DEMO, Held.FOREIGN):
        raise CommandError(f"{_database()} holds {found.value}; nothing was touched. {_ANOTHER}", returncode=2)
    return found


_ANOTHER = "Name another database: DATABASE_URL=sqlite:///my-register.sqlite3 uv run manage.py start"


def _migrations_to_do() -> int:
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _make_tables(*, is_empty: bool) -> None:
    if not is_empty:
        call_command("migrate", verbosity=0, interactive=False)
        return
    with quick_tables():
        call_command("migrate", verbosity=0, interactive=False)


def _check_port(port: int) -> None:
    try:
        check_port(port, command="start")
    except PortTakenError as error:
        raise CommandError(str(error), returncode=2) from error


def _told_as(name: str, text: str) -> str:
    """A country by its code where it is known; what is not known is refused later, with all the rest."""
    return (code_of(text) or code_of(text.upper()) or text) if name == "country" else text.strip()


def _asked(name: str) -> str:
    try:
        if name != "password":
            return _told_as(name, input(f"{QUESTIONS[name][1]}: "))
        return _asked_twice()
    except (EOFError, KeyboardInterrupt) as end:
        raise CommandError("\nNothing was asked further; start again with the same command.", returncode=1) from end


def _asked_twice() -> str:
    while True:
        password = getpass.getpass(f"{QUESTIONS['password'][1]}: ")
        if password == getpass.getpass("The same password again: "):
            return password
        print("The two differ. Type it again.")


def _password_of(variable: str) -> str:
    password = os.environ.get(variable, "")
    if not password:
        raise CommandError(f"The environment variable {variable} is not set or empty. Put the password into it.",
                           returncode=2)  # fmt: skip
    return password


def _refused(refusal: ValidationError) -> str:
    lines = [f"- {QUESTIONS[field][1]}: {words}" for field, errors in refusal.message_dict.items() for words in errors]
    return "\n".join(["This cannot stay as it is:", *lines])


def _is_terminal() -> bool:
    return sys.stdin.isatty()


def _database() -> str:
    return str(connection.settings_dict["NAME"])
