"""``manage.py add_person``: lets somebody in from the command line, as for the first administrator."""

from __future__ import annotations

import getpass
import os
import sys
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from accessions.people.actions import add_person_from_shell
from accessions.people.models import Role


class Command(BaseCommand):
    """Add a person who may sign in."""

    help = "Add a person who may sign in. Asks for the password, or takes it from an environment variable."

    def add_arguments(self, parser: CommandParser) -> None:
        """The name, the role, and where the password comes from; never the password: lists of processes show it."""
        parser.add_argument("name", help="what the person signs in as: letters, digits and @ . + - _")
        parser.add_argument("--role", required=True, choices=Role.values, help="what the person may do")
        parser.add_argument("--given-name", default="", help="given name, for screens")
        parser.add_argument("--family-name", default="", help="family name, for screens")
        parser.add_argument(
            "--password-from-env", metavar="VARIABLE", help="take the password from this environment variable"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Add the person, or say all that is wrong.

        Raises:
            CommandError: no password, or values that the register does not hold.
        """
        password = _from_env(options["password_from_env"]) if options["password_from_env"] else _asked()
        try:
            person = add_person_from_shell(
                username=options["name"],
                role=options["role"],
                password=password,
                first_name=options["given_name"],
                last_name=options["family_name"],
            )
        except ValidationError as refusal:
            raise CommandError("Nobody was added.\n" + "\n".join(_lines(refusal))) from refusal
        self.stdout.write(f"{person.shown_name} may sign in as {person.username}, {person.get_role_display()}.")


def _lines(refusal: ValidationError) -> list[str]:
    """All problems, each with what it is of."""
    return [f"- {field}: {words}" for field, errors in refusal.message_dict.items() for words in errors]


def _from_env(variable: str) -> str:
    password = os.environ.get(variable, "")
    if not password:
        raise CommandError(f"The environment variable {variable} is not set or empty. Put the password into it.")
    return password


def _asked() -> str:
    if not sys.stdin.isatty():
        raise CommandError("There is no terminal to ask for the password on. Use --password-from-env VARIABLE.")
    password = getpass.getpass("Password: ")
    if password != getpass.getpass("Password again: "):
        raise CommandError("The two passwords differ. Nobody was added.")
    return password
