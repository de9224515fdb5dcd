"""Papers closed to some roles, and opened again."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.people.access import EVERY_ROLE, VERBS_OF_ROLE, Verb, check, role_bits
from accessions.people.history import record
from accessions.people.models import Role
from governance.papers.actions.scans import refresh_restriction
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.scans.models import Scan


def restrict(*, paper: Paper, roles: Collection[str], why: str, by: Any) -> Paper:
    """Open a paper to these roles only; to all of them: no longer restricted. Its scans follow.

    Verdicts do not change: what a paper covers does not depend on who may read it.

    Raises:
        ValidationError: nobody could open it again, people would shut themselves out, or there is no reason.
    """
    check(by, Verb.RESTRICT)
    with transaction.atomic():
        standing = Paper.objects.select_for_update().get(pk=paper.pk)
        check_readable(standing, by)
        _check_roles(roles, why, by)
        standing.restricted_to = role_bits(roles)
        standing.restricted_why = "" if standing.restricted_to == EVERY_ROLE else why.strip()
        standing.full_clean()
        record(standing, by=by, why=why.strip(), fields=["restricted_to", "restricted_why"])
        for scan in Scan.objects.filter(paperscans__paper=standing, paperscans__taken_off_at=None).distinct():
            refresh_restriction(scan, by=by, why=why.strip())
    return standing


def _check_roles(roles: Collection[str], why: str, by: Any) -> None:
    problems: dict[str, Any] = {}
    if by.role not in roles:
        problems["roles"] = _("Your own role stays among them: you would shut yourself out.")
    elif not any(Verb.RESTRICT in VERBS_OF_ROLE[Role(role)] for role in roles):
        problems["roles"] = _("Keep a role among them that may open it again.")
    if not why.strip():
        problems["why"] = _("Write why it is open to these roles.")
    if problems:
        raise ValidationError(problems)
