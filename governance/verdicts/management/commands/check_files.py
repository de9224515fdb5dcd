"""``manage.py check_files``: a file of specimens held against a file of papers."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from accessions.values.coordinates import LARGEST_RADIUS_M

MISTAKE = 2
"""Exit status for a mistake in the files or the options."""


def metres(text: str) -> float:
    """A radius or an allowance: a finite number of metres, zero or more."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= LARGEST_RADIUS_M:
        raise ArgumentTypeError(f'"{text}" is no number of metres from 0 to half the equator')
    return value


def metres_or_none(text: str) -> float | None:
    return None if text == "none" else metres(text)


class Command(BaseCommand):
    """Reads, judges, writes and sums up; stores nothing."""

    help = "Judge a file of specimens by a file of papers, and write the verdicts with their reasons. Stores nothing."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("specimens", type=Path, metavar="SPECIMENS", help="table or Darwin Core archive")
        parser.add_argument("--papers", type=Path, required=True, metavar="PAPERS.json", help="papers, as JSON")
        parser.add_argument("--out", type=Path, required=True, metavar="OUT.csv", help=".csv, or .xlsx for a workbook")
        parser.add_argument("--assumed-radius", type=metres_or_none, default=1000.0, metavar="METRES|none",
                            help="radius where none is recorded (default: 1000)")  # fmt: skip
        parser.add_argument("--datum-allowance", type=metres, default=250.0, metavar="METRES",
                            help="added to the radius where the datum is not known (default: 250)")  # fmt: skip
        parser.add_argument("--require", metavar="LAYER,LAYER",
                            help="the layers to judge (default: those that any paper serves)")  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        from rich.console import Console

        from accessions.intake.problems import FileProblems
        from governance.verdicts.progress import Progress

        console = Console(stderr=True)
        try:
            with Progress(console) as progress:
                check = self._check(options, progress)
        except FileProblems as error:
            self._refuse(*map(str, error.problems))
        for line in (*check.notes, *(f"Warning: {w}" for w in check.warnings)):
            console.print(line, markup=False, highlight=False, soft_wrap=True)
        if options["require"] is None and check.assessment.layers:
            served = ", ".join(layer.code for layer in check.assessment.layers)
            console.print(
                f"Judged on the layers that a paper serves ({served}); --require names others.", soft_wrap=True
            )
        self._sum_up(check, console)
        console.print(f"Verdicts written to {options['out']}", markup=False, highlight=False, soft_wrap=True)

    def _check(self, options: dict[str, Any], progress: Any) -> Any:
        from governance.engine import HouseRules
        from governance.verdicts.check import check_files
        from governance.verdicts.writing import write_csv

        out: Path = options["out"]
        if out.suffix.lower() not in (".csv", ".xlsx"):
            self._refuse(f"--out {out}: the ending is neither .csv nor .xlsx. Name a file with one of them.")
        if not out.parent.is_dir():
            self._refuse(f"--out {out}: there is no folder {out.parent}. Make it first, or name another.")
        for name in ("specimens", "papers"):
            if out.exists() and options[name].exists() and out.samefile(options[name]):
                self._refuse(f"--out {out}: that is the file of {name}, which would be lost. Name another.")
        house = HouseRules(options["assumed_radius"], options["datum_allowance"])
        require = self._layers(options["require"])
        check = check_files(options["specimens"], options["papers"], house=house, require=require, step=progress.step)
        try:
            if out.suffix.lower() == ".xlsx":
                from governance.verdicts.workbook import write_xlsx

                write_xlsx(check, out, progress.step)
            else:
                write_csv(check, out, progress.step)
        except OSError as error:
            self._refuse(f"--out {out}: it cannot be written ({error.strerror}). Name another place.")
        return check

    def _layers(self, text: str | None) -> list[Any] | None:
        from governance.engine import EngineError, Layer

        if text is None:
            return None
        words = [word.strip() for word in text.split(",") if word.strip()]
        if not words:
            self._refuse(f"--require: no layer is named; the layers are {', '.join(layer.code for layer in Layer)}")
        try:
            return [Layer.from_code(word) for word in words]
        except EngineError as error:
            self._refuse(f"--require: {error}")
            raise

    def _sum_up(self, check: Any, console: Any) -> None:
        from governance.verdicts.summary import print_summary

        print_summary(check, console)

    def _refuse(self, *lines: str) -> None:
        for line in lines:
            self.stderr.write(line)
        sys.exit(MISTAKE)
