"""Takes the data of a private person out of the records and of every row of their history.

The chain of the seal holds: these columns are sealed as the hash of a salt and the value. With the value its salt goes,
so that nobody can find the value by trying names.
"""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import WHY_LENGTH, record, remove
from accessions.people.models import Agent, AgentName, PersonalSalt
from governance.audit.actions.errors import AuditError
from governance.audit.models import Minimisation
from governance.audit.queries.minimising import PersonKept, person_kept

_REASON: Final = "data of a private person"


def minimise(*, agent: Agent, why: str, by: Any, today: date) -> Minimisation:
    """Take name, contact, remarks and forms of the name out, in the record and in its history. It cannot be undone.

    Raises:
        NotAllowedError: the person may not dispose.
        AuditError: no reason; before the day; a user of the register, a collector or an organisation; done already.
    """
    check(by, Verb.DISPOSE)
    why = " ".join(why.split())
    if not why:
        raise AuditError(_("Say why the data of the person go."))
    with transaction.atomic():
        held = Agent.objects.select_for_update().get(pk=agent.pk)
        kept = person_kept(held, today)
        if not kept.may_go:
            raise AuditError(kept.problem)
        changes = _take_out(held, by)
        made = Minimisation(agent=held, rule=_rule(kept), why=why, changes=changes, minimised_by=by)
        record(made, by=by, why=why[:WHY_LENGTH])
    return made


def _rule(kept: PersonKept) -> str:
    return kept.rule.told[:400]


def _take_out(agent: Agent, by: Any) -> int:
    """How many entries of the history lost what they said of the person."""
    entries, forms = Agent.history.filter(id=agent.pk), AgentName.history.filter(agent_id=agent.pk)
    keys = list(entries.values_list("pk", flat=True)), list(forms.values_list("pk", flat=True))
    for form in agent.names.all():
        remove(form, by=by, why=_REASON)
    placeholder = gettext_noop("Person %(number)d") % {"number": agent.pk}
    agent.name, agent.contact, agent.remarks = placeholder, "", ""
    record(agent, by=by, why=_REASON, fields=["name", "contact", "remarks"])
    entries.update(name=placeholder, contact="", remarks="")
    forms.update(form="", key="")
    for model, rows in zip((Agent, AgentName), keys, strict=True):
        table = model.history.model._meta.db_table  # type: ignore[attr-defined]
        PersonalSalt.objects.filter(shape__table=table, row__in=rows).update(salt=None)
    return sum(map(len, keys))
