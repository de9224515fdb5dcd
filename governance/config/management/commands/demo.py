"""``manage.py demo``: judge the files of the invented museum and show the result."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser


class Command(BaseCommand):
    """Hands over to ``governance.verdicts.demo``, which does the work."""

    help = "Judge the specimens of an invented museum by its papers: a summary, and the verdicts as CSV and XLSX."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="write the files and end")
        parser.add_argument(
            "--out",
            type=Path,
            default=settings.BASE_DIR / "demo-verdicts",
            metavar="DIR",
            help="folder for the verdicts (default: demo-verdicts beside manage.py)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        from governance.verdicts.demo import run

        try:
            run(out_dir=options["out"])
        except OSError as error:
            raise CommandError(
                f"--out {options['out']}: it cannot be written ({error.strerror}).", returncode=2
            ) from error
