"""A register that nobody uses yet gets its institution and the first accounts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.actions import add_person_from_shell
from accessions.people.models import Role, User
from governance.jurisdictions.codes import is_country
from governance.usedesk.actions.rules import set_house

ADMINISTRATOR_SUFFIX = "-admin"
"""What the name of the account has at its end that lets others in."""


_LONGEST_NAME = 300
"""Characters of the column."""


class FoundedError(Exception):
    """Somebody may sign in already: the register is in use."""


@dataclass(frozen=True)
class Founded:
    """The two accounts of the person who began: rights come from one role, and letting people in is another's than
    working with papers."""

    worker: User
    administrator: User


def check_answers(*, institution: str, country: str, full_name: str, username: str, password: str) -> None:
    """Whether a register can begin with this. Asks no database: the tables may not be there yet.

    Raises:
        ValidationError: all that does not hold, by ``institution``, ``country``, ``full_name``, ``username`` and
            ``password``.
    """
    first_name, last_name = _parted(full_name)
    person = User(username=f"{username}{ADMINISTRATOR_SUFFIX}", role=Role.ADMINISTRATOR,
                  first_name=first_name, last_name=last_name)  # fmt: skip
    problems: dict[str, Any] = {} if username else {"username": _("Write a name to sign in with.")}
    try:
        person.clean_fields(exclude=["password"])
    except ValidationError as refusal:
        problems = _as_asked(refusal) | problems
    try:
        validate_password(password, User(username=username, first_name=first_name, last_name=last_name))
    except ValidationError as refusal:
        problems["password"] = refusal.error_list
    if problems := problems | _problems_of_house(institution, country, full_name):
        raise ValidationError(problems)


@transaction.atomic
def found_register(*, institution: str, country: str, full_name: str, username: str, password: str) -> Founded:
    """Say whose register it is, and let the first person in: as registrar, and as administrator under a second name.

    No right is asked for: who can run commands on the server holds the database already.

    Raises:
        FoundedError: there are people in the register.
        ValidationError: as ``check_answers``.
    """
    if User.objects.exists():
        raise FoundedError
    check_answers(institution=institution, country=country, full_name=full_name, username=username, password=password)
    first_name, last_name = _parted(full_name)
    worker, administrator = (
        add_person_from_shell(username=name, role=role, password=password, first_name=first_name, last_name=last_name)
        for name, role in ((username, Role.REGISTRAR), (f"{username}{ADMINISTRATOR_SUFFIX}", Role.ADMINISTRATOR))
    )
    set_house(values={"institution": institution.strip(), "country": country}, by=administrator,
              why=gettext_noop("register started"))  # fmt: skip
    return Founded(worker, administrator)


def _problems_of_house(institution: str, country: str, full_name: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if not institution.strip():
        found["institution"] = _("Write the name of the institution.")
    elif len(institution.strip()) > _LONGEST_NAME:
        found["institution"] = _("Write the name in at most %(n)s characters.") % {"n": _LONGEST_NAME}
    if not is_country(country):
        found["country"] = _("This is no country of ISO 3166-1. Write its two letters, such as SE, or its name.")
    if not full_name.strip():
        found["full_name"] = _("Write a name: it stands beside what you enter.")
    return found


def _as_asked(refusal: ValidationError) -> dict[str, Any]:
    """The problems of an account under the names of what was asked."""
    asked = {"first_name": "full_name", "last_name": "full_name"}
    return {asked.get(field, field): errors for field, errors in refusal.error_dict.items()}


def _parted(full_name: str) -> tuple[str, str]:
    """Given and family name: the last word is the family name."""
    given, _blank, family = full_name.strip().rpartition(" ")
    return given, family
