"""Compare every stored file with its hash."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand

from governance.scans.queries.intact import Intactness, Wrong, bytes_to_check, check_intact
from governance.scans.store import errors_of_the_store

CANNOT = 2


class Command(BaseCommand):
    help = (
        "Read every scan in the store and compare it with its SHA-256; report what is missing, altered, or in no row. "
        "Ends with 0 if all is intact, 1 if something is wrong, 2 if the store cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the report as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found = _with_progress()
        except errors_of_the_store() as error:
            self.stderr.write(f"The store cannot be read: {error}. Check FIELDWRIT_FILES and FIELDWRIT_STORE.")
            sys.exit(CANNOT)
        lines = [json.dumps(_report(found), indent=2)] if options["json"] else _lines(found)
        for line in lines:
            self.stdout.write(line)
        if not found.is_intact:
            sys.exit(1)


def _with_progress() -> Intactness:
    from rich.console import Console
    from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("Reading the store", total=bytes_to_check())
        return check_intact(step=lambda size_bytes: progress.advance(task, size_bytes))


def _report(found: Intactness) -> dict[str, Any]:
    return {"is_intact": found.is_intact, **asdict(found)}


def _lines(found: Intactness) -> Iterator[str]:
    for one in found.missing:
        yield f"missing   {_named(one)}: nothing at {one.stored_name}. Put it back from a backup, or send it again."
    for one in found.altered:
        yield f"altered   {_named(one)}: {one.stored_name} {_difference(one)}. Put it back from a backup."
    for orphan in found.orphaned:
        size = f"{orphan.size_bytes:,} bytes"
        yield f"orphaned  {orphan.stored_name} ({size}): no scan names it. Left by a receipt that was cut short."
    intact = f"{found.intact:,} intact ({found.intact_bytes:,} bytes)"
    wrong = f"{len(found.missing):,} missing, {len(found.altered):,} altered"
    yield f"{found.scans:,} scans: {intact}, {wrong}; {len(found.orphaned):,} orphaned files."


def _named(one: Wrong) -> str:
    return f"scan {one.scan} ({one.name})"


def _difference(one: Wrong) -> str:
    if not one.found_sha256:
        return "cannot be read"
    return (
        f"has {one.found_bytes:,} bytes with SHA-256 {one.found_sha256}; "
        f"expected {one.size_bytes:,} bytes with {one.sha256}"
    )
