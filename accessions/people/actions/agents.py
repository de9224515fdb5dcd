"""Agents and the forms of their names."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record, remove
from accessions.people.models import Agent, AgentName, User
from accessions.people.name_keys import fold_name
from accessions.values.blanks import is_blank

EDITABLE = ("kind", "name", "contact", "remarks")
"""What ``edit_agent`` may change."""


@transaction.atomic
def add_agent(
    *, by: User, why: str, name: str, kind: str = Agent.Kind.PERSON, contact: str = "", remarks: str = ""
) -> Agent:
    """Add a person or organisation; its name is its first form.

    Raises:
        NotAllowedError: ``by`` may not enter facts.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.ENTER_FACTS)
    agent = Agent(kind=kind, name=" ".join(name.split()), contact=contact, remarks=remarks)
    _check_name(agent.name, field="name")
    add(agent, by=by, why=why)
    _keep_form(agent, agent.name, by=by, why=why)
    return agent


@transaction.atomic
def edit_agent(agent: Agent, *, by: User, why: str, **changes: Any) -> Agent:
    """Change an agent. A new name becomes one more form; the forms that were there stay, since labels bear them.

    Raises:
        NotAllowedError: ``by`` may not enter facts.
        NotEditableError: a field that is not in ``EDITABLE``.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.ENTER_FACTS)
    if "name" in changes:
        changes["name"] = " ".join(changes["name"].split())
        _check_name(changes["name"], field="name")
    change(agent, changes, editable=EDITABLE, by=by, why=why)
    _keep_form(agent, agent.name, by=by, why=why)
    return agent


@transaction.atomic
def add_name_form(agent: Agent, *, by: User, why: str, form: str) -> AgentName:
    """Add a form in which the name is written on labels and papers.

    Raises:
        NotAllowedError: ``by`` may not enter facts.
        ValidationError: no name, or a form that is already listed (case, blanks, full stops and order do not count).
    """
    check(by, Verb.ENTER_FACTS)
    form = " ".join(form.split())
    _check_name(form, field="form")
    added = AgentName(agent=agent, form=form, key=fold_name(form))
    add(added, by=by, why=why)
    return added


@transaction.atomic
def remove_name_form(form: AgentName, *, by: User, why: str) -> None:
    """Take a form off an agent.

    Raises:
        NotAllowedError: ``by`` may not enter facts.
        ValidationError: it is the name in which lists show the agent.
    """
    check(by, Verb.ENTER_FACTS)
    if form.key == fold_name(form.agent.name):
        raise ValidationError(_("Lists show the agent under this form. Give the agent another name first."))
    remove(form, by=by, why=why)


def _check_name(name: str, *, field: str) -> None:
    if is_blank(name) or not fold_name(name):
        raise ValidationError({field: _("“%(name)s” names nobody. Write the name as labels do.") % {"name": name}})


def _keep_form(agent: Agent, name: str, *, by: User, why: str) -> None:
    """The name itself is always one of the forms."""
    if not agent.names.filter(key=fold_name(name)).exists():
        record(AgentName(agent=agent, form=name, key=fold_name(name)), by=by, why=why)
