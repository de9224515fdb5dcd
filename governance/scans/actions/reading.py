"""Writes down the words of scans. They are read outside every transaction, and written in a short one.

The same content gives the same words: two readers at once do no harm.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Sequence
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.scans.models import Scan, ScanPage
from governance.scans.queries.store import content_on_disk
from governance.scans.queries.visible import check_open
from governance.scans.reading.child import PageWords
from governance.scans.reading.content import read_pages
from governance.scans.reading.folding import folded_words
from governance.scans.reading.printed import printed_page
from governance.scans.reading.recognising import missing

_log = logging.getLogger(__name__)

AT_ONCE_SECONDS: Final = 10
"""So long one task reads on before it lets others in: verdicts that wait go first."""

_AT_ONCE_PAGES: Final = 200
_NOTE_LENGTH: Final = 300


def read(*, scan: Scan) -> Scan:
    """Read all pages that are not read yet; the scan as it is then. Called again it finds nothing to do."""
    while read_some(scan=scan):
        pass
    scan.refresh_from_db()
    return scan


def read_some(*, scan: Scan) -> bool:
    """Read some pages that are not read yet, for about ``AT_ONCE_SECONDS``; whether others are left.

    The machine does this for everybody, so nobody's right is asked. Two at once read the same pages and write the same.
    """
    scan.refresh_from_db()
    wanted = _unread(scan)
    languages: Sequence[str] = settings.FIELDWRIT_OCR_LANGUAGES
    lack = missing(languages) if scan.page_count else ""
    if not wanted and scan.pages.exists():
        return _write(scan, [], lack)
    try:
        with content_on_disk(scan) as path:
            pages = read_pages(
                path, scan.media_type, wanted[:_AT_ONCE_PAGES], () if lack else languages, seconds=AT_ONCE_SECONDS
            )
    except FileNotFoundError:
        _log.exception("the store has lost the content of scan %s", scan.pk)
        return _fail(scan, _("The file is not in the store. The command check_files_intact lists what is missing."))
    return _write(scan, pages, lack)


def read_again(*, scan: Scan, by: Any, why: str = "") -> None:
    """Forget the words of a scan and have them read anew, because a language was added or a page was misread.

    Raises:
        NotAllowedError: the person may not file scans, or not open this one.
    """
    from governance.scans.tasks import read_scan

    check(by, Verb.ATTACH_SCANS)
    check_open(by, scan)
    if scan.disposed_on is not None:  # there is nothing to read
        return
    with transaction.atomic():
        _forget(scan, by=by, why=why or gettext_noop("to be read again"))
        transaction.on_commit(lambda: read_scan.enqueue(scan.pk))


def forget(*, scan: Scan) -> None:
    """Forget the words of a scan, for a command that reads them anew at once."""
    with transaction.atomic():
        _forget(scan, by=None, why=gettext_noop("to be read again"))


def _forget(scan: Scan, *, by: Any, why: str) -> None:
    ScanPage.objects.filter(scan=scan).delete()
    _say(scan, Scan.TextState.WAITING, "", by=by, why=why)


def _unread(scan: Scan) -> list[int]:
    read = set(ScanPage.objects.filter(scan=scan).values_list("number", flat=True))
    return [number for number in range(1, (scan.page_count or 0) + 1) if number not in read]


def _write(scan: Scan, pages: Sequence[PageWords], lack: str) -> bool:
    """Write what was read, and once no page is left what came of it. Folding is done before the transaction."""
    for page in pages:
        if page.problem:
            _log.warning("scan %s, page %s could not be read: %s", scan.pk, page.number, page.problem)
    rows = [_row(scan, page) for page in pages]
    with transaction.atomic():
        Scan.objects.select_for_update().get(pk=scan.pk)
        ScanPage.objects.filter(scan=scan, number__in=[row.number for row in rows]).delete()
        ScanPage.objects.bulk_create(rows, batch_size=50)
        return bool(_unread(scan)) or _settle(scan, lack)


def _row(scan: Scan, page: PageWords) -> ScanPage:
    printed = printed_page(page.text) or (None, None)
    return ScanPage(
        scan=scan, number=page.number, text=page.text, folded=folded_words(page.text), words=page.words,
        source=page.source, printed_page=printed[0], printed_of=printed[1],
    )  # fmt: skip


def _settle(scan: Scan, lack: str) -> bool:
    """Say what came of the reading, once all pages are read; no more is left to do."""
    pages = list(ScanPage.objects.filter(scan=scan).order_by("number").values_list("number", "source", "folded"))
    not_read = [number for number, source, _folded in pages if not source]
    has_words = any(folded for _number, _source, folded in pages)
    states = Scan.TextState
    if not_read and lack:
        _say(scan, states.NO_READER, lack)
    elif not_read and not has_words:
        _say(scan, states.FAILED, _("Its pages could not be read. They can still be looked at and filed."))
    elif not_read:
        _say(scan, states.READ, _could_not_be_read(not_read))
    else:
        _say(scan, states.READ if has_words else states.WITHOUT, "")
    return False


def _could_not_be_read(numbers: Iterable[int]) -> str:
    listed = ", ".join(map(str, numbers))
    return _("These pages could not be read: %(pages)s.") % {"pages": listed}


def _fail(scan: Scan, note: str) -> bool:
    with transaction.atomic():
        _say(scan, Scan.TextState.FAILED, note)
    return False


def _say(scan: Scan, state: str, note: str, *, by: Any = None, why: str = "") -> None:
    shortened = note if len(note) <= _NOTE_LENGTH else note[: _NOTE_LENGTH - 1] + "…"
    if (scan.text_state, scan.text_note) == (state, shortened):
        return
    scan.text_state, scan.text_note = state, shortened
    record(scan, by=by, why=why or gettext_noop("words read"), fields=["text_state", "text_note"])
