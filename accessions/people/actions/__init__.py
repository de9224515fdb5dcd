"""What changes people and agents."""

from accessions.people.actions.accounts import (
    add_person,
    add_person_from_shell,
    change_own_password,
    change_role,
    deactivate,
    edit_person,
    reactivate,
    set_password,
)
from accessions.people.actions.agents import add_agent, add_name_form, edit_agent, remove_name_form
from accessions.people.actions.signing_in import SignInRefusedError, sign_in

__all__ = [
    "SignInRefusedError",
    "add_agent",
    "add_name_form",
    "add_person",
    "add_person_from_shell",
    "change_own_password",
    "change_role",
    "deactivate",
    "edit_agent",
    "edit_person",
    "reactivate",
    "remove_name_form",
    "set_password",
    "sign_in",
]
