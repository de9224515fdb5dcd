"""Evidence files: at once where they are small, in the background where they are large, kept for a day."""

from __future__ import annotations

import io
import logging
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import IO, Any, Final
from uuid import uuid4

from django.core.files.base import File
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import NotAllowedError, Verb, check
from accessions.people.models import User
from governance.audit.actions.errors import AuditError
from governance.audit.asking import UnknownValueError
from governance.audit.bundle.answer_part import row_count
from governance.audit.bundle.frame import Step
from governance.audit.bundle.subjects import Subject, scan_bytes, subject_of
from governance.audit.bundle.writing import Written, write_bundle
from governance.audit.clocks import AsKnownError, as_known, moment_of
from governance.audit.clocks.guard import is_guarded
from governance.audit.models import EvidenceBundle
from governance.papers.models import Paper
from governance.papers.restriction import is_readable, opens
from governance.scans.models import Scan
from governance.scans.queries.visible import opens as lets_out
from governance.scans.store import drop, errors_of_the_store, store
from governance.usedesk.queries.material import among

_log: Final = logging.getLogger("governance.audit")

FOLDER: Final = "evidence"
"""Where the store keeps them; ``scans.queries.intact`` knows that these are no scans."""

KEPT: Final = timedelta(days=1)
LONGEST_SILENCE: Final = timedelta(hours=2)
"""Work that gave no sign for so long does not go on any more; inside an earlier moment of the register it cannot give
one."""

MOST_SPECIMENS_AT_ONCE: Final = 2_000
MOST_PAPERS_AT_ONCE: Final = 100
MOST_BYTES_AT_ONCE: Final = 200 << 20
_SIGN_EVERY_S: Final = 1.0

State = EvidenceBundle.State


@dataclass(frozen=True)
class Wanted:
    """What a bundle is wanted of. values: the rest of its address, both clocks among them."""

    of: str
    values: Mapping[str, str]
    on: date
    known: date | None = None

    @property
    def known_at(self) -> Any:
        """The moment of the register; today's is now."""
        return moment_of(self.known) if self.known and self.known < timezone.localdate() else None


def make(*, wanted: Wanted, by: Any) -> tuple[IO[bytes], Subject] | EvidenceBundle:
    """The file with what it is about; of a large one the row of the work that makes it.

    Raises:
        UnknownValueError: the register holds no such thing, or did not then.
        AsKnownError: the register of that moment cannot be shown.
        NotAllowedError: the person may not take files, or not read the report.
        OSError: the store cannot be read, or another error of ``errors_of_the_store``.
    """
    check(by, Verb.EXPORT)
    drop_old()
    with as_known(wanted.known_at):
        subject = subject_of(wanted.of, wanted.values, by)
        is_large = _is_large(subject)
    if subject.question is not None:
        is_large = row_count(subject, by) > MOST_SPECIMENS_AT_ONCE
    return _in_background(wanted, subject, by) if is_large else _at_once(wanted, by)


def _is_large(subject: Subject) -> bool:
    if len(subject.specimens) > MOST_SPECIMENS_AT_ONCE or len(subject.papers) > MOST_PAPERS_AT_ONCE:
        return True
    return scan_bytes(subject) > MOST_BYTES_AT_ONCE


def _at_once(wanted: Wanted, by: Any) -> tuple[IO[bytes], Subject]:
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115  (the answer closes it when it was sent)
    try:
        written = _write(file, wanted, by)
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file, written.subject


def _write(file: IO[bytes], wanted: Wanted, by: Any, step: Step = lambda _words, _done, _of: None) -> Written:
    return write_bundle(
        file, wanted.of, wanted.values, reader=by, on=wanted.on, known_at=wanted.known_at, step=step
    )  # fmt: skip


# In the background ----------------------------------------------------------------------------------------------------


def _in_background(wanted: Wanted, subject: Subject, by: Any) -> EvidenceBundle:
    from governance.audit.tasks import make_bundle

    values = {**wanted.values, "on": wanted.on.isoformat(), "known": wanted.known.isoformat() if wanted.known else ""}
    row = EvidenceBundle.objects.create(
        of=wanted.of, values=values, title=subject.title[:300], role=by.role, sign_at=timezone.now(), asked_by=by
    )
    make_bundle.enqueue(row.pk)
    row.refresh_from_db()
    return row


def make_now(row: EvidenceBundle) -> bool:
    """Make a large one; whether it was made. What stopped it stands with it."""
    by = row.asked_by
    _save(row, state=State.RUNNING)
    try:
        check(by, Verb.EXPORT)
        _keep(row, by)
    except (AuditError, UnknownValueError, AsKnownError, NotAllowedError) as error:
        return _stopped(row, str(error))
    except errors_of_the_store() as error:
        _log.warning("evidence %s was not made: %s", row.pk, error)
        return _stopped(row, _("The store of the files cannot be used now. Try again later."))
    except Exception:
        _stopped(row, _("An error that is no fault of yours; the log of the server has it."))
        raise
    return True


def _keep(row: EvidenceBundle, by: User) -> None:
    told = row.values
    known = date.fromisoformat(told["known"]) if told["known"] else None
    wanted = Wanted(row.of, told, date.fromisoformat(told["on"]), known)
    with tempfile.TemporaryFile() as file:
        written = _write(file, wanted, by, _signs(row))
        size = file.seek(0, io.SEEK_END)
        file.seek(0)
        name = store().save(f"{FOLDER}/{uuid4().hex}.zip", File(file))
    _save(
        row, state=State.DONE, stored_name=name, size_bytes=size, papers=list(written.papers),
        scans=list(written.scans), step="",
    )  # fmt: skip


def _stopped(row: EvidenceBundle, words: str) -> bool:
    _save(row, state=State.FAILED, step=words[:200])
    return False


def _save(row: EvidenceBundle, **values: Any) -> None:
    values["sign_at"] = timezone.now()
    for name, value in values.items():
        setattr(row, name, value)
    row.save(update_fields=list(values))


def _signs(row: EvidenceBundle) -> Step:
    """Writes how far it is, once a second at most; not inside an earlier moment, where nothing can be written."""
    newest = [0.0]

    def tell(words: str, done: int, of: int) -> None:
        if time.monotonic() - newest[0] >= _SIGN_EVERY_S and not is_guarded():
            newest[0] = time.monotonic()
            _save(row, step=words[:200], done=done, total=of)

    return tell


def goes_on(row: EvidenceBundle) -> bool:
    """Whether the work waits or runs, and gave a sign of life not long ago."""
    return row.state in (State.WAITING, State.RUNNING) and timezone.now() - row.sign_at < LONGEST_SILENCE


def kept_file(*, row: EvidenceBundle, by: Any) -> Any:
    """The file of one that was made.

    Raises:
        AuditError: it is not made, gone, somebody else's, or something in it is no longer open to the person.
        NotAllowedError: the person may not take files.
    """
    check(by, Verb.EXPORT)
    if row.asked_by_id != by.pk:
        raise AuditError(_("It was made for somebody else. Make one for yourself: it may hold other parts."))
    if row.state != State.DONE:
        raise AuditError(_("It is not made yet."))
    if not _is_still_open(row, by):
        raise AuditError(_("Something in it was restricted since, or your role changed. Make it anew."))
    try:
        return store().open(row.stored_name, "rb")
    except errors_of_the_store() as error:
        raise AuditError(_("It was kept for a day and is gone. Make it anew.")) from error


def _is_still_open(row: EvidenceBundle, by: Any) -> bool:
    """What is let out is noted as opened, each time. A paper that is not open to the person, and was changed since,
    counts as restricted since: histories, uses and duties may tell of others than those that have a page."""
    since = Paper.history.filter(history_date__gte=row.asked_at).values("id")
    if row.role != by.role or not all(is_readable(one, by) for one in Paper.objects.filter(pk__in=since)):
        return False
    papers = Paper.objects.filter(among("pk", row.papers)).only("restricted_to")
    scans = Scan.objects.filter(among("pk", row.scans))
    return all(opens(paper, by) for paper in papers) and all(lets_out(by, scan) for scan in scans)


def drop_old() -> None:
    """Take away what was kept for a day."""
    for row in EvidenceBundle.objects.filter(asked_at__lt=timezone.now() - KEPT):
        if row.stored_name:
            drop(row.stored_name)
        row.delete()
