"""Files against their hashes: scans in the store, and the files of issued reports."""

from __future__ import annotations

from django.utils.translation import gettext as _

from governance.audit.models import Disposal
from governance.audit.queries.seal.chain import Step
from governance.audit.queries.seal.problems import Problem, ProblemKind, Problems
from governance.reports.models import Report
from governance.reports.queries.seals import seals_of
from governance.scans.models import Scan
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
    _check_disposed(problems)
    return found.scans + _check_reports(problems)


def _check_disposed(problems: Problems) -> None:
    """What is said to be disposed of stands in a disposal, with its hash."""
    told = {file.get("sha256") for files in Disposal.objects.values_list("files", flat=True) for file in files}
    for scan in Scan.objects.exclude(disposed_on=None):
        if scan.sha256 not in told:
            _tell(problems, scan.original_name, _("it is said to be disposed of, but no disposal names it."), scan.pk)


def _check_reports(problems: Problems) -> int:
    """Files, rows and contents of issued reports: the contents keep no history, but the hash of the issue does."""
    count = 0
    for report in Report.objects.exclude(issued_at=None).iterator(chunk_size=10):
        for seal in seals_of(report):
            count += seal.kind == "file"
            if not seal.holds:
                what = _("%(part)s: not what was issued, its hash is another.") % {"part": f"{seal.kind} {seal.name}"}
                _tell(problems, str(report), what, report.pk)
    return count


def _tell(problems: Problems, record: str, what: str, key: int | None = None) -> None:
    problems.add(Problem(ProblemKind.FILE, _("files"), record, what, key))
