"""Read the words of scans, without waiting for the worker."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.db import connection
from django.db.models import QuerySet

from governance.scans import words_index
from governance.scans.actions.reading import forget, read
from governance.scans.models import Scan


class Command(BaseCommand):
    help = "Read the words of scans: those that wait for it, or all of them anew. The search finds what was read."

    def add_arguments(self, parser: ArgumentParser) -> None:
        which = parser.add_mutually_exclusive_group()
        which.add_argument(
            "--waiting", action="store_true",
            help="scans that wait to be read, or for a text recognition that was missing (default)",
        )  # fmt: skip
        which.add_argument("--all", action="store_true", help="all scans, anew: after a language was added")
        parser.add_argument("--index", action="store_true", help="make the index of all words anew first")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["index"]:
            words_index.drop(connection)
            words_index.make(connection)
            self.stdout.write("The index of the words is made anew.")
        for scan in self._scans(options["all"]).iterator(chunk_size=100):
            if scan.text_state != Scan.TextState.WAITING:
                forget(scan=scan)
            self._say(read(scan=scan))

    def _scans(self, all_of_them: bool) -> QuerySet[Scan]:
        states = Scan.TextState
        waiting = Scan.objects.filter(text_state__in=[states.WAITING, states.NO_READER])
        return (Scan.objects.all() if all_of_them else waiting).order_by("pk")

    def _say(self, scan: Scan) -> None:
        pages = f"{scan.page_count} pages" if scan.page_count else "no pages of its own"
        note = f" {scan.text_note}" if scan.text_note else ""
        self.stdout.write(f"{scan.pk} {scan.original_name} ({pages}): {scan.get_text_state_display()}.{note}")
