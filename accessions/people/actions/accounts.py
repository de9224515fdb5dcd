"""Accounts: who may sign in, in which role."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import change
from accessions.people.history import record
from accessions.people.models import Agent, Role, SignInFailure, User
from accessions.people.queries import active_administrators, sign_in_key

EDITABLE = ("first_name", "last_name", "email", "agent")
"""What ``edit_person`` may change. Role, state and password have actions of their own."""


@transaction.atomic
def add_person(
    *, by: User, why: str, username: str, role: str, password: str, first_name: str = "", last_name: str = "",
    email: str = "", agent: Agent | None = None,
) -> User:  # fmt: skip
    """Let a person in, with a role and a first password.

    Raises:
        NotAllowedError: ``by`` may not manage people.
        ValidationError: the name is taken or not a name, the role unknown, or the password too weak; by field.
    """
    check(by, Verb.MANAGE_PEOPLE)
    person = User(
        username=username, role=role, first_name=first_name, last_name=last_name, email=email, agent=agent
    )  # fmt: skip
    return _let_in(person, password, by=by, why=why)


@transaction.atomic
def add_person_from_shell(
    *, username: str, role: str, password: str, first_name: str = "", last_name: str = ""
) -> User:
    """Let somebody in from the command line: the first administrator has nobody to let them in.

    No right is asked for: who can run commands on the server holds the database already.

    Raises:
        ValidationError: as ``add_person``.
    """
    person = User(username=username, role=role, first_name=first_name, last_name=last_name)
    return _let_in(person, password, by=None, why="added from the command line")


def _let_in(person: User, password: str, *, by: User | None, why: str) -> User:
    problems: dict[str, Any] = {}
    try:
        person.full_clean(exclude=["password"])
    except ValidationError as found:
        problems = found.update_error_dict(problems)
    try:
        validate_password(password, person)
    except ValidationError as found:
        problems["password"] = found.error_list
    if problems:
        raise ValidationError(problems)
    person.set_password(password)
    record(person, by=by, why=why)
    return person


@transaction.atomic
def edit_person(person: User, *, by: User, why: str, **changes: Any) -> User:
    """Change the name, the e-mail address, or the agent as which somebody is recorded.

    Raises:
        NotAllowedError: ``by`` may not manage people.
        NotEditableError: a field that is not in ``EDITABLE``.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.MANAGE_PEOPLE)
    change(person, changes, editable=EDITABLE, by=by, why=why)
    return person


@transaction.atomic
def change_role(person: User, *, by: User, why: str, role: str) -> User:
    """Give a person another role; it holds from their next click on.

    Raises:
        NotAllowedError: ``by`` may not manage people.
        ValidationError: the role is unknown, or the register would be left without an administrator.
    """
    check(by, Verb.MANAGE_PEOPLE)
    if role not in Role.values:
        raise ValidationError({"role": _("Choose one of the roles.")})
    if role != Role.ADMINISTRATOR:
        _keep_an_administrator(person)
    person.role = role
    record(person, by=by, why=why, fields=["role"])
    return person


@transaction.atomic
def deactivate(person: User, *, by: User, why: str) -> User:
    """End a person's access; what they did stays under their name. Their open sessions end with their next click.

    Raises:
        NotAllowedError: ``by`` may not manage people.
        ValidationError: the register would be left without an administrator.
    """
    check(by, Verb.MANAGE_PEOPLE)
    _keep_an_administrator(person)
    person.is_active = False
    record(person, by=by, why=why, fields=["is_active"])
    return person


@transaction.atomic
def reactivate(person: User, *, by: User, why: str) -> User:
    """Let a person in again, in the role they had."""
    check(by, Verb.MANAGE_PEOPLE)
    person.is_active = True
    record(person, by=by, why=why, fields=["is_active"])
    return person


def _keep_an_administrator(person: User) -> None:
    """Refuse to take away the last administrator.

    The rows of the administrators are locked: two who demote each other at once would both see the other still there.
    """
    others = [other for other in active_administrators().select_for_update() if other.pk != person.pk]
    if not others:
        raise ValidationError(
            _("%(name)s is the only active administrator. Give that role to somebody else first.")
            % {"name": person.shown_name}
        )


@transaction.atomic
def set_password(person: User, *, by: User, why: str, password: str) -> User:
    """Give a person a new password, which ends their sessions and lifts the wait after wrong passwords.

    Raises:
        NotAllowedError: ``by`` may not manage people.
        ValidationError: the password is too weak; under "password".
    """
    check(by, Verb.MANAGE_PEOPLE)
    return _new_password(person, password, by=by, why=why)


@transaction.atomic
def change_own_password(*, by: User, why: str, password: str) -> User:
    """Give oneself a new password.

    Raises:
        NotAllowedError: nobody is signed in.
        ValidationError: the password is too weak; under "password".
    """
    check(by, Verb.READ)
    return _new_password(by, password, by=by, why=why)


def _new_password(person: User, password: str, *, by: User, why: str) -> User:
    try:
        validate_password(password, person)
    except ValidationError as found:
        raise ValidationError({"password": found.error_list}) from found
    person.set_password(password)
    record(person, by=by, why=why, fields=["password"])
    SignInFailure.objects.filter(name_key=sign_in_key(person.username)).delete()
    return person
