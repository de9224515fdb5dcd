"""Seal the rows that have no entry."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from accessions.people.access import NotAllowedError
from accessions.people.models import User
from governance.audit.actions.errors import AuditError
from governance.audit.actions.sealing import seal_late


class Command(BaseCommand):
    help = (
        "Seal rows that have no entry in the seal: the register was stopped while writing, or they were made before "
        "the seal began. They are listed as sealed late for ever. Look at verify_seal first: what somebody wrote into "
        "the database itself has no entry either."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--why", required=True, help="why they have no seal; is listed for ever")
        parser.add_argument("--by", required=True, metavar="USERNAME", help="who answers for it")

    def handle(self, *args: Any, **options: Any) -> None:
        person = User.objects.filter(username=options["by"], is_active=True).first()
        if person is None:
            self._stop(f"Nobody signs in as “{options['by']}”. Give the name of a registrar, for example.")
        try:
            count = seal_late(by=person, why=options["why"])
        except (AuditError, NotAllowedError) as error:
            self._stop(str(error))
        self.stdout.write(f"{count:,} rows sealed late." if count else "Every row has its seal: nothing to be done.")

    def _stop(self, words: str) -> None:
        self.stderr.write(words)
        sys.exit(2)
