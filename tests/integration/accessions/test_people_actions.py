"""Who may sign in, in which role: the actions, on the database."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from pytest_django import Settings

from accessions.people import actions
from accessions.people.editing import NotEditableError
from accessions.people.models import Role, SignInFailure, User
from tests.factories import register

pytestmark = pytest.mark.django_db

GOOD = "four calm words here"


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Hashing is slow on purpose, and these tests are not about it."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]


@pytest.fixture
def admin() -> User:
    return register.person(Role.ADMINISTRATOR)


def add(admin: User, **fields: Any) -> User:
    values = {"username": "tove", "role": Role.CURATOR, "password": GOOD} | fields
    return actions.add_person(by=admin, why="new at work", **values)


class TestAddPerson:
    def test_may_sign_in_with_the_password(self, admin: User) -> None:
        made = add(admin, first_name="Tove", last_name="Berglind")
        assert made.is_active
        assert made.check_password(GOOD)
        assert (made.shown_name, made.initials, made.role) == ("Tove Berglind", "TB", "curator")

    def test_history_says_who_and_why_and_no_password(self, admin: User) -> None:
        entry = add(admin).history.get()
        assert (entry.history_user, entry.history_change_reason) == (admin, "new at work")
        assert not hasattr(entry, "password")

    def test_all_problems_at_once(self, admin: User) -> None:
        with pytest.raises(ValidationError) as refusal:
            add(admin, username="to ve", role="owner", password="short")
        assert {"username", "role", "password"} <= refusal.value.message_dict.keys()
        assert not User.objects.filter(role="curator").exists()

    def test_name_that_is_taken(self, admin: User) -> None:
        add(admin)
        with pytest.raises(ValidationError) as refusal:
            add(admin)
        assert list(refusal.value.message_dict) == ["username"]

    @pytest.mark.parametrize("password", ["", "nine char", "password123", "toveberglind"])
    def test_weak_password(self, admin: User, password: str) -> None:
        """Too short by one, a word that everybody uses, or the person's own name."""
        with pytest.raises(ValidationError) as refusal:
            add(admin, username="tove", first_name="Tove", last_name="toveberglind", password=password)
        assert list(refusal.value.message_dict) == ["password"]

    def test_ten_characters_are_enough(self, admin: User) -> None:
        assert add(admin, password="qvz 7 kwxj").check_password("qvz 7 kwxj")


class TestRoles:
    def test_change_holds_and_is_kept(self, admin: User) -> None:
        person = add(admin)
        actions.change_role(person, by=admin, why="moved to the register", role=Role.REGISTRAR)
        person.refresh_from_db()
        assert person.role == "registrar"
        assert [entry.role for entry in person.history.all()] == ["registrar", "curator"]

    def test_unknown_role(self, admin: User) -> None:
        with pytest.raises(ValidationError, match="Choose one of the roles"):
            actions.change_role(add(admin), by=admin, why="", role="owner")

    def test_last_administrator_keeps_the_role(self, admin: User) -> None:
        with pytest.raises(ValidationError, match="only active administrator"):
            actions.change_role(admin, by=admin, why="", role=Role.CURATOR)
        admin.refresh_from_db()
        assert admin.role == "administrator"

    def test_last_administrator_may_be_given_the_same_role(self, admin: User) -> None:
        actions.change_role(admin, by=admin, why="", role=Role.ADMINISTRATOR)
        assert admin.role == "administrator"

    def test_one_of_two_administrators_may_go(self, admin: User) -> None:
        other = add(admin, username="other", role=Role.ADMINISTRATOR)
        actions.change_role(admin, by=other, why="", role=Role.CURATOR)
        admin.refresh_from_db()
        assert admin.role == "curator"

    def test_deactivated_administrator_does_not_count(self, admin: User) -> None:
        other = add(admin, username="other", role=Role.ADMINISTRATOR)
        actions.deactivate(other, by=admin, why="left")
        with pytest.raises(ValidationError, match="only active administrator"):
            actions.change_role(admin, by=admin, why="", role=Role.CURATOR)


class TestDeactivate:
    def test_and_let_in_again(self, admin: User) -> None:
        person = add(admin)
        actions.deactivate(person, by=admin, why="left")
        person.refresh_from_db()
        assert not person.is_active
        actions.reactivate(person, by=admin, why="back")
        person.refresh_from_db()
        assert person.is_active
        assert [entry.history_change_reason for entry in person.history.all()] == ["back", "left", "new at work"]

    def test_last_administrator_stays(self, admin: User) -> None:
        with pytest.raises(ValidationError, match="only active administrator"):
            actions.deactivate(admin, by=admin, why="")
        admin.refresh_from_db()
        assert admin.is_active


class TestPasswords:
    def test_new_one_holds_and_ends_the_wait(self, admin: User) -> None:
        person = add(admin)
        SignInFailure.objects.create(name_key="tove", failed_at="2026-11-25T12:00:00Z")
        actions.set_password(person, by=admin, why="forgotten", password="other calm words")
        person.refresh_from_db()
        assert person.check_password("other calm words")
        assert not SignInFailure.objects.exists()

    def test_weak_one_changes_nothing(self, admin: User) -> None:
        person = add(admin)
        with pytest.raises(ValidationError):
            actions.set_password(person, by=admin, why="", password="short")
        person.refresh_from_db()
        assert person.check_password(GOOD)

    def test_own(self) -> None:
        volunteer = register.person(Role.VOLUNTEER)
        actions.change_own_password(by=volunteer, why="own", password="other calm words")
        volunteer.refresh_from_db()
        assert volunteer.check_password("other calm words")


class TestEditPerson:
    def test_only_what_may_be_edited(self, admin: User) -> None:
        with pytest.raises(NotEditableError, match="is_superuser"):
            actions.edit_person(admin, by=admin, why="", is_superuser=True)

    def test_bad_address(self, admin: User) -> None:
        with pytest.raises(ValidationError) as refusal:
            actions.edit_person(admin, by=admin, why="", email="nobody")
        assert list(refusal.value.message_dict) == ["email"]

    def test_recorded_as(self, admin: User) -> None:
        agent = register.agent()
        actions.edit_person(admin, by=admin, why="", agent=agent, last_name="Holm")
        admin.refresh_from_db()
        assert (admin.agent, admin.last_name) == (agent, "Holm")
