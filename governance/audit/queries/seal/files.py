"""Files against their hashes: scans in the store, and the files of issued reports."""

from __future__ import annotations

import hashlib

from django.utils.translation import gettext as _

from governance.audit.queries.seal.chain import Step
from governance.audit.queries.seal.problems import Problem, ProblemKind, Problems
from governance.reports.models import ReportFile
from governance.scans.queries.intact import bytes_to_check, check_intact

_MIB = 1 << 20


def check_files(problems: Problems, step: Step) -> int:
    """How many files were read."""
    total, done = bytes_to_check() // _MIB, 0

    def tell(size_bytes: int) -> None:
        nonlocal done
        done += size_bytes
        step(_("Reading the store (MiB)"), done // _MIB, total)

    found = check_intact(step=tell)
    for wrong in found.missing:
        _tell(
            problems, wrong.name, _("its file is not in the store: %(key)s.") % {"key": wrong.stored_name}, wrong.scan
        )
    for wrong in found.altered:
        what = _("the file %(key)s is not the one that was received: its hash is another.") % {"key": wrong.stored_name}
        _tell(problems, wrong.name, what, wrong.scan)
    for orphan in found.orphaned:
        _tell(problems, orphan.stored_name, _("the store holds it, but no record names it."))
    return found.scans + _check_reports(problems)


def _check_reports(problems: Problems) -> int:
    count = 0
    for file in ReportFile.objects.select_related("report").iterator(chunk_size=10):
        count += 1
        if hashlib.sha256(bytes(file.data)).hexdigest() != file.sha256:
            _tell(
                problems, f"{file.report}, {file.name}", _("its content does not have the hash of its issue."), file.pk
            )
    return count


def _tell(problems: Problems, record: str, what: str, key: int | None = None) -> None:
    problems.add(Problem(ProblemKind.FILE, _("files"), record, what, key))
