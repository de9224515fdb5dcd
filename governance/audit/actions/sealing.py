"""Writes about the seal: checks that were made, heads that are kept elsewhere, rows that are sealed late."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.files.base import ContentFile
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.announcing import Told
from accessions.people.history import record
from accessions.people.sealing import head, seal
from governance.audit.actions.errors import AuditError
from governance.audit.models import KeptHead, SealCheck
from governance.audit.queries.seal.heads import FOLDER
from governance.audit.queries.seal.problems import Problem
from governance.audit.queries.seal.rows import unsealed_rows
from governance.audit.queries.seal_checking import SealReport, check_seal
from governance.audit.queries.seal_state import head_in_words, is_ours, takes_long
from governance.scans.store import store
from governance.verdicts.models import Run
from governance.verdicts.storing.run_seals import keep_run_seal

_LATE_AT_ONCE: Final = 100_000
"""Rows in one late write: the chain is held while they are sealed."""
_PROBLEMS_KEPT: Final = 100


def check_now(*, by: Any) -> SealCheck:
    """Check everything, and keep what was found.

    Raises:
        NotAllowedError: the person may not have the seal checked.
        OSError: the store cannot be read.
    """
    check(by, Verb.KEEP_SEAL)
    return keep_check(check_seal(), by=by)


def ask_to_check(*, by: Any) -> SealCheck | None:
    """Check everything at once, or in the background where it takes long: then None."""
    from governance.audit.seal_tasks import check_whole_seal

    check(by, Verb.KEEP_SEAL)
    if not takes_long():
        return check_now(by=by)
    check_whole_seal.enqueue(by.pk)
    return None


def keep_check(report: SealReport, *, by: Any) -> SealCheck:
    """Keep what a whole check found. by: None for a command."""
    if by is not None:
        check(by, Verb.KEEP_SEAL)
    return SealCheck.objects.create(
        number=report.entries, sha256=report.sha256, entries=report.entries, files=report.files,
        problems=[_as_json(one) for one in report.problems.named[:_PROBLEMS_KEPT]],
        problem_count=report.problems.count, seconds=report.seconds, checked_by=by,
    )  # fmt: skip


def _as_json(problem: Problem) -> dict[str, str]:
    return {"kind": problem.kind.value, "what": str(problem), "todo": problem.todo}


def note_head(*, number: int, sha256: str, where: str, by: Any) -> KeptHead:
    """Note that a head of the chain is kept somewhere besides.

    Raises:
        AuditError: it is no head of this register, or nothing says where it is kept.
        NotAllowedError: the person may not keep heads.
    """
    check(by, Verb.KEEP_SEAL)
    where = " ".join(where.split())
    if not where:
        raise AuditError(_("Say where it is kept."))
    with transaction.atomic():
        if not is_ours(number, sha256):
            raise AuditError(
                _("Entry %(number)s of this register does not have this hash. Look at the number and the hash again.")
                % {"number": intcomma(number)}
            )
        made = KeptHead(number=number, sha256=sha256.lower(), where=where[:300], kept_by=by)
        record(made, by=by, why=gettext_noop("kept: %(where)s") % {"where": where})
    return made


def keep_head_in_store() -> str:
    """Write the head of today into the store; the key of its file.

    Raises:
        AuditError: nothing is sealed yet.
    """
    number, sha256 = _head_to_keep()
    now = timezone.localtime()
    key = f"{FOLDER}/{now:%Y-%m-%d-%H%M%S}.txt"
    return store().save(key, ContentFile(head_in_words(number, sha256, now).encode()))


def mail_head(address: str) -> None:
    """Send the head to somebody who keeps it.

    Raises:
        AuditError: nothing is sealed yet.
        OSError: the mail server cannot be reached, or refuses it.
    """
    number, sha256 = _head_to_keep()
    now = timezone.localtime()
    told = {"day": f"{now:%Y-%m-%d}", "number": intcomma(number)}
    subject = _("Seal of the register, %(day)s: entry %(number)s") % told
    EmailMessage(subject, head_in_words(number, sha256, now), to=[address]).send()


def _head_to_keep() -> tuple[int, str]:
    number, sha256 = head()
    if not number:
        raise AuditError(_("Nothing is sealed yet, so there is no head to keep."))
    return number, sha256


def seal_late(*, by: Any, why: str) -> int:
    """Give entries to the rows that have none; how many. The writes are marked as late for ever.

    Raises:
        AuditError: no reason is given.
        NotAllowedError: the person may not do it.
    """
    check(by, Verb.KEEP_SEAL)
    why = " ".join(why.split())
    if not why:
        raise AuditError(_("Say why they are sealed late: what stopped the register, or since when it has a seal."))
    rows, sealed = _unsealed(), 0
    while some := list(islice(rows, _LATE_AT_ONCE)):
        sealed += seal(some, by=by, late=why)
    for run in Run.objects.filter(state=Run.State.DONE, seal__isnull=True).order_by("pk").values_list("pk", flat=True):
        keep_run_seal(run)
        sealed += 1
    return sealed


def _unsealed() -> Iterator[Told]:
    for unsealed in unsealed_rows():
        yield from ((unsealed.model, key) for key in unsealed.keys)
