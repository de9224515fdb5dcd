"""Keep the head of the seal outside the database, each day."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.core.validators import validate_email
from django.forms import ValidationError
from django.utils import timezone

from accessions.people.sealing import head
from governance.audit.actions.errors import AuditError
from governance.audit.actions.sealing import keep_head_in_store, mail_head
from governance.audit.queries.seal_state import head_in_words


class Command(BaseCommand):
    help = (
        "Keep the head of the seal in the store, and besides where you say: each day from a timetable. verify_seal "
        "holds the files of the store against the chain by itself."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--mail", metavar="ADDRESS", help="send it to somebody outside, too")
        parser.add_argument("--to", metavar="FILE", type=Path, help="add it to a file, too: on another machine's disk")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["mail"]:
                validate_email(options["mail"])
            self.stdout.write(f"Kept in the store as {keep_head_in_store()}")
            if options["to"]:
                with options["to"].open("a", encoding="utf-8") as file:
                    file.write(head_in_words(*head(), timezone.localtime()))
                self.stdout.write(f"Added to {options['to']}")
            if options["mail"]:
                mail_head(options["mail"])
                self.stdout.write(f"Sent to {options['mail']}")
        except ValidationError:
            self._stop(f"“{options['mail']}” is no e-mail address.")
        except (AuditError, OSError) as error:
            self._stop(str(error))

    def _stop(self, words: str) -> None:
        self.stderr.write(words)
        sys.exit(2)
