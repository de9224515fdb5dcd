"""Check the whole seal, and name what is not as it was sealed."""

from __future__ import annotations

import json
import logging
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand
from django.db import DatabaseError
from django.utils import timezone

from governance.audit.actions.sealing import keep_check
from governance.audit.queries.seal.heads import Head, UnreadableHeadError, told_head
from governance.audit.queries.seal_checking import SealReport, check_seal
from governance.audit.queries.seal_state import in_groups
from governance.scans.store import errors_of_the_store

_log = logging.getLogger("governance.audit")
WRONG, CANNOT = 1, 2


class Command(BaseCommand):
    help = (
        "Check the seal: every change of the register against the chain, every record against its history, verdicts "
        "against results, files against their hashes, the chain against heads that are kept elsewhere. "
        "Ends with 0 if all is as it was sealed, 1 if something is not, 2 if it cannot be checked."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--from-head", action="append", default=[], metavar="FILE|NUMBER:HASH",
            help="a head that was kept elsewhere: must be an entry of this chain; can be given several times",
        )  # fmt: skip
        parser.add_argument("--no-files", action="store_true", help="do not read the files of the store")
        parser.add_argument("--json", action="store_true", help="print the report as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            heads = [told_head(told) for told in options["from_head"]]
            report = _with_progress(heads, with_files=not options["no_files"])
        except UnreadableHeadError as error:
            self._stop(str(error))
        except errors_of_the_store() as error:
            self._stop(f"The store cannot be read: {error}. Check FIELDWRIT_FILES and FIELDWRIT_STORE, or --no-files.")
        except DatabaseError as error:
            self._stop(f"The register cannot be read: {error}. Is it migrated (manage.py migrate)?")
        lines = [json.dumps(_as_json(report), indent=2)] if options["json"] else _lines(report)
        for line in lines:
            self.stdout.write(line)
        try:
            keep_check(report, by=None)
        except DatabaseError:  # a copy that may only be read can be checked, too
            _log.warning("The check could not be kept in the register.", exc_info=True)
        if not report.is_whole:
            sys.exit(WRONG)

    def _stop(self, words: str) -> None:
        self.stderr.write(words)
        sys.exit(CANNOT)


def _with_progress(heads: list[Head], *, with_files: bool) -> SealReport:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("", total=None)

        def step(words: str, done: int, total: int) -> None:
            progress.update(task, description=words, completed=done, total=total or None)

        return check_seal(told=heads, with_files=with_files, step=step)


def _as_json(report: SealReport) -> dict[str, Any]:
    return {
        "is_whole": report.is_whole,
        "entries": report.entries,
        "head": report.sha256,
        "since": report.since.isoformat() if report.since else None,
        "files": report.files if report.with_files else None,
        "kept_heads": report.heads,
        "kept_heads_agreeing": report.agreeing,
        "seconds": round(report.seconds, 1),
        "problem_count": report.problems.count,
        "problems": [
            {"kind": one.kind.value, "table": one.table, "record": one.record, "key": one.key, "what": one.what,
             "todo": one.todo}
            for one in report.problems.named
        ],
        "not_named": [
            {"kind": kind.value, "table": table, "count": count}
            for (kind, table), count in report.problems.unnamed.items()
        ],
        "late": [
            {"number": one.number, "at": one.at.isoformat(), "by": one.by and one.by.username, "why": one.why}
            for one in report.late
        ],
    }  # fmt: skip


def _lines(report: SealReport) -> Iterator[str]:
    since = f", since {timezone.localtime(report.since):%Y-%m-%d %H:%M}" if report.since else ""
    files = f"{report.files:,} files" if report.with_files else "files not read"
    yield f"{report.entries:,} entries{since}; {files}; {report.seconds:.1f} s"
    if report.entries:
        yield f"Head {report.entries}: {' '.join(in_groups(report.sha256))}"
    if report.heads:
        yield f"{report.agreeing:,} of {report.heads:,} heads that are kept elsewhere agree."
    else:
        yield (
            "No head is kept elsewhere: whether an older copy of the whole was put back is not known "
            "(manage.py keep_seal_head)."
        )
    for write in report.late:
        by = write.by.username if write.by else "nobody"
        when = f"{timezone.localtime(write.at):%Y-%m-%d %H:%M}"
        yield f"Sealed late: entry {write.number:,}, {when}, by {by}: {write.why}"
    yield ""
    if report.is_whole:
        yield "All is as it was sealed."
        return
    yield f"{report.problems.count:,} problems:"
    for kind in dict.fromkeys(one.kind for one in report.problems.named):
        own = [one for one in report.problems.named if one.kind == kind]
        yield ""
        yield from (f"- {one}" for one in own)
        yield from (
            f"- {table}: {count:,} more" for (of, table), count in report.problems.unnamed.items() if of == kind
        )
        yield f"  What to do: {own[0].todo}"
