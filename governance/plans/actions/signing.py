"""Compliance lets a plan go: a version of it is signed off with a remark, and what the check said then is kept.

Two people at once: the plan is locked while it is signed, and ``seen`` names the version that the signer read, so that
nothing is signed that somebody changed a moment before. Papers and rules are not locked: the check is worked out anew
inside the transaction, and what it says there is compared with what the signer saw (``looked``), and kept.
"""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import WHY_LENGTH, keep_version
from governance.plans.models import FieldPlan, PlanSignOff
from governance.plans.queries.check import PlanCheck, check_plan
from governance.plans.queries.signed import standing_sign_off, strips_of
from governance.verdicts.actions.overrides import OverrideError, sentence


def sign_off(
    *, plan: FieldPlan, remark: str, seen: int | None, by: Any, today: date | None = None, looked: str = ""
) -> PlanSignOff:
    """Sign off a plan as it stands, with what the check says of it now. Open cells do not hinder it.

    It names the newest version. If names of sites or papers changed since that was kept, a version of now is kept.

    Args:
        remark: at least a sentence: what was looked at, and what of the open cells is accepted, and why.
        seen: number of the version that the person read, 0 where the plan had none; None: it does not matter.
        today: the day of the check; None for the day it is.
        looked: ``mark_of`` the check that the person read; "" if that does not matter.

    Raises:
        NotAllowedError: the person may not sign.
        PlanError: no sentence, no stops, changed meanwhile, closed, or signed already just so.
    """
    check(by, Verb.SIGN_OFF_PLANS)
    remark = _sentence(remark)
    with transaction.atomic():
        current = locked(plan, seen)
        version = keep_version(current, by=by, why=gettext_noop("Kept for the sign-off"))
        found = check_plan(current, today=today or timezone.localdate())
        _refuse(current, found, version.pk, looked)
        made = PlanSignOff(
            version=version, signed_by=by, remark=remark, verdicts=strips_of(found), judged=found.bench.record()
        )
        made.full_clean()
        record(made, by=by, why=remark)
    return made


def _refuse(plan: FieldPlan, found: PlanCheck, version: int, looked: str) -> None:
    if not found.loaded.stops:
        raise PlanError(_("This plan has no stops: there is nothing to sign off yet."))
    if looked and looked != mark_of(found):
        raise PlanError(_("The check says something else than when you read it. Read it again, then sign."))
    standing = standing_sign_off(plan)
    if standing is not None and standing.version_id == version and standing.verdicts == strips_of(found):
        raise PlanError(
            _("%(person)s signed off this version already, and the check says the same.")
            % {"person": standing.signed_by.shown_name}
        )


def withdraw_sign_off(*, sign_off: PlanSignOff, why: str, by: Any) -> PlanSignOff:
    """Take a sign-off back. It stays in the record, with who, when and why.

    Raises:
        NotAllowedError: the person may not sign, nor withdraw.
        PlanError: it was withdrawn already, or the reason is no sentence or too long.
    """
    check(by, Verb.SIGN_OFF_PLANS)
    why = _sentence(why)
    if len(why) > WHY_LENGTH:
        raise PlanError(_("The reason has at most %(most)s characters.") % {"most": WHY_LENGTH})
    with transaction.atomic():
        current = PlanSignOff.objects.select_for_update(of=("self",)).get(pk=sign_off.pk)
        if current.withdrawn_at is not None:
            raise PlanError(_("This sign-off was withdrawn already."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_why = timezone.now(), by, why
        record(current, by=by, why=why, fields=["withdrawn_at", "withdrawn_by", "withdrawn_why"])
    return current


def mark_of(found: PlanCheck) -> str:
    """A mark by which it is known again what the check said: SHA-256 of the strips, by stop."""
    text = ";".join(f"{stop}={strip}" for stop, strip in sorted(strips_of(found).items()))
    return hashlib.sha256(text.encode()).hexdigest()


def _sentence(text: str) -> str:
    try:
        return sentence(text)
    except OverrideError as problem:
        raise PlanError(str(problem)) from None
