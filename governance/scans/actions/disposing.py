"""Destroys content, words and pictures of scans whose day of keeping has passed; their rows stay."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from accessions.people.history import record
from governance.scans.drawing.kept import picture_path
from governance.scans.models import Scan, ScanPage
from governance.scans.store import drop, errors_of_the_store

_log = logging.getLogger("governance.scans")


def empty_scans(*, scans: Sequence[Scan], on: date, by: Any, why: str) -> None:
    """Inside the transaction of the action that disposes of them: the files go when it is committed. A file that cannot
    be removed then is left over, and ``check_files_intact`` names it."""
    for scan in scans:
        ScanPage.objects.filter(scan=scan).delete()
        scan.disposed_on, scan.text_state, scan.text_note = on, Scan.TextState.WITHOUT, gettext_noop("disposed of")
        record(scan, by=by, why=why, fields=["disposed_on", "text_state", "text_note"])
    keys = [(scan.stored_name, scan.sha256) for scan in scans]
    transaction.on_commit(lambda: _destroy(keys), robust=True)


def _destroy(keys: Sequence[tuple[str, str]]) -> None:
    for stored_name, sha256 in keys:
        try:
            drop(stored_name)
        except errors_of_the_store():
            _log.exception("%s was disposed of, but the store still holds it", stored_name)
        shutil.rmtree(picture_path(sha256, 1, 1).parent, ignore_errors=True)
