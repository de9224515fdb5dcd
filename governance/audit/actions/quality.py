"""Rows of data quality noted as right as they are, and the counts of a day."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.audit.actions.errors import AuditError
from governance.audit.models import QualityCount, QualityNote
from governance.audit.questions.quality import RULE, RULES
from governance.audit.questions.quality.rule import NOTE_VERB, Rule, counted, plain, row_said

LONGEST_WHY: Final = 300


def note_as_right(*, question: str, row: str, digest: str, why: str, by: Any, today: date) -> QualityNote:
    """A row of a question is right as it is. It is left out of the counts until it says something else. An older note
    of the row that says something else by now is withdrawn with it.

    digest: of what the person saw.

    Raises:
        NotAllowedError: the person may not decide.
        AuditError: no reason; the row is not found any more, or says something else than what was seen; somebody noted
            it already.
    """
    check(by, NOTE_VERB)
    rule, why = _rule(question), _reason(why, _("Say why it is right as it is."))
    with transaction.atomic():
        said = row_said(rule, today, row, by)
        if said is None:
            raise AuditError(_("This row is not found any more: somebody mended it, or the question has no such row."))
        if said[1] != digest:
            raise AuditError(_("The row says something else by now. Look at it again before you decide."))
        _withdraw_outdated(question, row, digest, by)
        made = QualityNote(question=question, row=row, digest=digest, said=plain(said[0]), why=why, noted_by=by)
        try:
            with transaction.atomic():
                record(made, by=by, why=why)
        except IntegrityError as error:
            raise AuditError(_("Somebody noted this row as right already.")) from error
        count_one(rule, today)
    return made


def take_note_back(*, of: QualityNote, why: str, by: Any, today: date) -> QualityNote:
    """Take a note back: its row counts again. The note stays in the record.

    Raises:
        NotAllowedError: the person may not decide.
        AuditError: no reason, or it was withdrawn already.
    """
    check(by, NOTE_VERB)
    why = _reason(why, _("Say why the note is taken back."))
    with transaction.atomic():
        current = QualityNote.objects.select_for_update().get(pk=of.pk)
        if current.withdrawn_at is not None:
            raise AuditError(_("This note was taken back already."))
        _end(current, why, by)
        if current.question in RULE:
            count_one(RULE[current.question], today)
    return current


def _withdraw_outdated(question: str, row: str, digest: str, by: Any) -> None:
    standing = QualityNote.objects.select_for_update().filter(question=question, row=row, withdrawn_at__isnull=True)
    for older in standing.exclude(digest=digest):
        _end(older, _("what the row says changed"), by)


def _end(current: QualityNote, why: str, by: Any) -> None:
    current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, why
    record(current, by=by, why=why, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])


def _rule(question: str) -> Rule:
    if question not in RULE:
        raise AuditError(_("“%(text)s” is no question of data quality.") % {"text": question})
    return RULE[question]


def _reason(why: str, words: str) -> str:
    text = " ".join(why.split())
    if not text:
        raise AuditError(words)
    if len(text) > LONGEST_WHY:
        raise AuditError(_("The reason has %(n)d letters; write %(most)d at most.") % {
            "n": len(text), "most": LONGEST_WHY})  # fmt: skip
    return text


def count_one(rule: Rule, today: date) -> QualityCount:
    """Count a question and keep the number of the day; the newest stands."""
    left, noted = counted(rule, today)
    values = {"count": left, "noted": noted}
    made, _is_new = QualityCount.objects.update_or_create(question=rule.key, on=today, defaults=values)
    return made


def count_all(today: date) -> list[QualityCount]:
    """Count every question, each in a transaction of its own: for a timer, and for people who ask for it."""
    return [count_one(rule, today) for rule in RULES]


def ask_to_count(*, by: Any) -> None:
    """Have every question counted in the background.

    Raises:
        NotAllowedError: the person may not have things worked out again.
    """
    from governance.audit.tasks import count_quality

    check(by, Verb.ASSESS)
    count_quality.enqueue()
