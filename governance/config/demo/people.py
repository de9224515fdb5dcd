"""People of the demo: those who sign in, and those whom records name."""

from __future__ import annotations

from typing import Any

from accessions.people.actions import add_agent, add_name_form, add_person, add_person_from_shell, edit_person
from accessions.people.models import Agent, Role, User

WHY = "demo"


def add_accounts(source: dict[str, Any]) -> dict[str, User]:
    """One person for each role, by the name they sign in with; the administrator lets the others in."""
    accounts = {name: dict(zip(("first_name", "last_name", "role"), row, strict=False))
                for name, row in source["accounts"].items()}  # fmt: skip
    found: dict[str, User] = {}
    for name, values in sorted(accounts.items(), key=lambda item: item[1]["role"] != Role.ADMINISTRATOR):
        if values["role"] == Role.ADMINISTRATOR:
            administrator = add_person_from_shell(username=name, password=source["password"], **values)
            found[name] = administrator
        else:
            found[name] = add_person(by=administrator, why=WHY, username=name, password=source["password"], **values)
    return found


def add_agents(source: dict[str, Any], *, by: User) -> dict[str, Agent]:
    """Collectors with the forms of their names, and organisations; by name."""
    agents = {}
    for name, forms in source["people"].items():
        agents[name] = add_agent(by=by, why=WHY, name=name)
        for form in forms:
            add_name_form(agents[name], by=by, why=WHY, form=form)
    for name, contact in source["organisations"].items():
        agents[name] = add_agent(by=by, why=WHY, name=name, kind=Agent.Kind.ORGANISATION, contact=contact)
    return agents


def connect(source: dict[str, Any], accounts: dict[str, User], agents: dict[str, Agent], *, by: User) -> None:
    """Say as which agents the people who sign in are recorded."""
    for name, (*_, agent) in source["accounts"].items():
        if agent:
            edit_person(accounts[name], by=by, why=WHY, agent=agents[agent])
