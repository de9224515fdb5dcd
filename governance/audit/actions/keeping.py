"""Rules of keeping, and the end of utilisation as a person states it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.audit.actions.errors import AuditError
from governance.audit.models import Disposal, KeepingRule, KeptKind, UtilisationEnd
from governance.audit.queries.keeping import kind_of
from governance.engine.keeping import MOST_YEARS
from governance.papers.models import Paper, TitleRecord
from governance.papers.restriction import check_readable


def adopt_rule(*, kind: str, years: int | None, source: str, by: Any, why: str) -> KeepingRule:
    """Write the rule of the house for one sort of record, with where the number comes from. years: None for ever.

    Raises:
        NotAllowedError: the person may not edit house rules.
        AuditError: no such sort; no source or reason; a number that no rule has; title that is not kept for ever.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    source, why = _text(source, _("Say where the number comes from.")), _text(why, _("Say why the rule changes."))
    if kind not in KeptKind.values:
        raise AuditError(_("“%(kind)s” is no sort of record that is kept.") % {"kind": kind})
    if years is not None and not 0 <= years <= MOST_YEARS:
        raise AuditError(_("Write 0 to %(most)d years, or leave it blank for ever.") % {"most": MOST_YEARS})
    with transaction.atomic():
        rule = KeepingRule.objects.select_for_update().filter(kind=kind).first() or KeepingRule(kind=kind)
        is_new = rule._state.adding
        rule.years, rule.source = years, source
        _validate(rule)
        record(rule, by=by, why=why, fields=None if is_new else ["years", "source"])
    return rule


def _validate(rule: KeepingRule) -> None:
    try:
        rule.full_clean()
    except ValidationError as error:
        raise AuditError(" ".join(error.messages)) from error


def state_end(*, paper: Paper, ended_on: date, evidence: str, by: Any, today: date) -> UtilisationEnd:
    """State the day on which utilisation under a paper ended, with what shows it. Its period of keeping starts.

    Raises:
        NotAllowedError: the person may not dispose, or may not read the paper.
        AuditError: a day to come; nothing that shows it; another end stands; the paper is none of access, or was
            disposed of.
    """
    check(by, Verb.DISPOSE)
    evidence = _text(evidence, _("Say what shows that utilisation ended."))
    if ended_on > today:
        raise AuditError(_("Utilisation cannot have ended on a day to come. State it when it has ended."))
    with transaction.atomic():
        held = Paper.objects.select_for_update().get(pk=paper.pk)
        check_readable(held, by)
        _check_takes_an_end(held)
        made = UtilisationEnd(paper=held, ended_on=ended_on, evidence=evidence, recorded_by=by)
        try:
            with transaction.atomic():
                record(made, by=by, why=evidence)
        except IntegrityError as error:
            raise AuditError(_("An end of utilisation stands for this paper already. Withdraw it first.")) from error
    return made


def _check_takes_an_end(paper: Paper) -> None:
    is_title = TitleRecord.objects.filter(paper=paper).exists()
    if kind_of(paper, is_title=is_title) is not KeptKind.ABS:
        raise AuditError(_("This paper is not kept by the end of utilisation; its rule is another one."))
    if Disposal.objects.filter(paper=paper).exists():
        raise AuditError(_("This paper was disposed of already."))


def withdraw_end(*, of: UtilisationEnd, why: str, by: Any) -> UtilisationEnd:
    """Take such a statement back: utilisation is open again. It stays in the record.

    Raises:
        NotAllowedError: the person may not dispose, or may not read the paper.
        AuditError: no reason; withdrawn already; the paper was disposed of by it.
    """
    check(by, Verb.DISPOSE)
    why = _text(why, _("Say why it is withdrawn."))
    with transaction.atomic():
        current = UtilisationEnd.objects.select_for_update(of=("self",)).select_related("paper").get(pk=of.pk)
        check_readable(current.paper, by)
        if current.withdrawn_at is not None:
            raise AuditError(_("It was withdrawn already."))
        if Disposal.objects.filter(paper=current.paper).exists():
            raise AuditError(_("The paper was disposed of by this day; what it rested on stays as it was."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, why
        record(current, by=by, why=why, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    return current


def _text(text: str, problem: str) -> str:
    joined = " ".join(text.split())
    if not joined:
        raise AuditError(problem)
    return joined
