"""Judge the register: all of it, or one accession."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Judge all specimens of the register, or those of one accession, and keep what changed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--accession", metavar="NUMBER", help="only this accession, and what is counted with it")
        parser.add_argument("--by", metavar="USERNAME", help="the person who asks (default: nobody, the machine)")
        parser.add_argument("--why", default="asked for on the command line", metavar="TEXT", help="kept with the run")

    def handle(self, *args: Any, **options: Any) -> None:
        from rich.console import Console

        from governance.verdicts.actions import assess
        from governance.verdicts.progress import Progress
        from governance.verdicts.standing_summary import print_summary

        by, accession = self._person(options["by"]), self._accession(options["accession"])
        console = Console(stderr=True)
        with Progress(console) as progress:
            run = assess(by=by, why=options["why"], accession=accession, step=progress.step)
        print_summary(run, console)

    def _person(self, username: str | None) -> Any:
        from accessions.people.access import Verb, may
        from accessions.people.models import User

        if username is None:
            return None
        user = User.objects.filter(username=username).first()
        if user is None:
            self._refuse(f"--by {username}: no person signs in under this name. The people page lists them.")
        if not may(user, Verb.ASSESS):
            self._refuse(f"--by {username}: their role may not ask for an assessment. Name somebody whose role may.")
        return user

    def _accession(self, number: str | None) -> Any:
        from accessions.material.models import Accession

        if number is None:
            return None
        accession = Accession.objects.filter(number=number).first()
        if accession is None:
            self._refuse(f"--accession {number}: there is no accession with this number. Check its spelling.")
        return accession

    def _refuse(self, line: str) -> None:
        self.stderr.write(line)
        sys.exit(2)
