"""What a person notes about a scan: illegible, incomplete, a translation of another, superseded."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import add
from accessions.people.history import record
from governance.scans.models import Scan, ScanMark
from governance.scans.queries.visible import check_open


def mark(*, scan: Scan, kind: str, other: Scan | None = None, note: str = "", by: Any, why: str) -> ScanMark:
    """Note something about a scan. A mark changes no verdict: it tells the next reader what to expect.

    other: of a translation the scan that it translates, of a superseded scan the one that came after it.

    Raises:
        NotAllowedError: ``by`` may not add scans, or not open one of the two.
        ValidationError: the mark stands already, or names what it may not.
    """
    check(by, Verb.ATTACH_SCANS)
    for named in filter(None, (scan, other)):
        check_open(by, named)
    made = ScanMark(scan=scan, kind=kind, other=other, note=note, marked_by=by)
    with transaction.atomic():
        Scan.objects.select_for_update().get(pk=scan.pk)  # two people who mark it at once
        add(made, by=by, why=why)
    return made


def withdraw_mark(*, mark: ScanMark, by: Any, why: str) -> ScanMark:
    """Withdraw a mark; it stays in the history, with both names.

    Raises:
        NotAllowedError: ``by`` may not add scans, or not open this one.
        ValidationError: it was withdrawn meanwhile.
    """
    check(by, Verb.ATTACH_SCANS)
    check_open(by, mark.scan)
    with transaction.atomic():
        standing = ScanMark.objects.select_for_update().get(pk=mark.pk)
        if standing.withdrawn_at is not None:
            raise ValidationError(_("The mark was withdrawn already."))
        standing.withdrawn_at, standing.withdrawn_by = timezone.now(), by
        record(standing, by=by, why=why, fields=("withdrawn_at", "withdrawn_by"))
    return standing
