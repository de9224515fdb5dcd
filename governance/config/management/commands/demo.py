"""``manage.py demo``: the register of the invented museum, made, explained and served."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from governance.config.demo.build import build, read_source
from governance.config.demo.legal_file import forget_scans
from governance.config.demo.mark import Database, look
from governance.config.demo.summary import console_of, print_log_ins, print_verdicts
from governance.config.quick_tables import quick_tables
from governance.config.serving import HOST, PortTakenError, check_port, serve


class Command(BaseCommand):
    """Makes the demo where the database is free, keeps what was changed in it since, refuses any other register."""

    help = "Make the register of an invented museum, show its verdicts and log-ins, and serve it on this machine."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="make it, print the tables, and end")
        parser.add_argument("--port", type=int, default=8000, help="port on 127.0.0.1 (default: 8000)")
        parser.add_argument("--fresh", action="store_true", help="start over; what was changed in the demo is lost")
        parser.add_argument("--yes", action="store_true", help="with --fresh: do not ask")
        parser.add_argument("--small", action="store_true", help="only the 417 specimens that were written by hand")

    def handle(self, *args: Any, **options: Any) -> None:
        console = console_of()
        if not options["no_serve"]:
            self._check_port(options["port"])
        self._prepare(console, **options)
        print_verdicts(console)
        print_log_ins(console, read_source())
        if not options["no_serve"]:
            console.print(f"\nOpen http://{HOST}:{options['port']}/ in a browser. Stop with Ctrl-C.")
            serve(options["port"])

    def _check_port(self, port: int) -> None:
        try:
            check_port(port, command="demo")
        except PortTakenError as error:
            raise CommandError(str(error), returncode=2) from error

    def _prepare(self, console: Console, *, fresh: bool, yes: bool, small: bool, **_: Any) -> None:
        """Leave a demo in the database, as it was or newly made."""
        found = look()
        if found is Database.OTHER:
            raise CommandError(
                f"{_database_name()} holds a register that is no demo; nothing was touched. Name a database for the "
                "demo: DATABASE_URL=sqlite:///demo.sqlite3 uv run manage.py demo",
                returncode=2,
            )
        if found is Database.DEMO and not fresh:
            call_command("migrate", verbosity=0, interactive=False)
            console.print(f"The demo is there already, in {_database_name()}, with whatever was changed in it since it "
                          "was made. To start over: demo --fresh\n", soft_wrap=True)  # fmt: skip
            return
        if found is Database.DEMO and not yes and not self._is_sure():
            raise CommandError("Nothing was touched.", returncode=1)
        if found is Database.HALF:
            console.print("The last demo was stopped while it was made; it is made anew.")
        if found is not Database.FREE:
            _empty()
        _build(console, whole=not small)

    def _is_sure(self) -> bool:
        question = f"Start over? What was changed in the demo in {_database_name()} is lost. Type yes: "
        try:
            return input(question).strip().lower() in ("y", "yes")
        except EOFError:
            return False


def _build(console: Console, *, whole: bool) -> None:
    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.percentage:>3.0f} %"),
               TimeElapsedColumn())  # fmt: skip
    with Progress(*columns, console=console) as progress:
        task = progress.add_task("Making the tables", total=1)
        with quick_tables():
            call_command("migrate", verbosity=0, interactive=False)
        build(step=lambda words, share: progress.update(task, description=words, completed=share), whole=whole)


def _empty() -> None:
    """Take every table away; the tables are made anew, so that a demo of an older release is no hindrance."""
    forget_scans()
    connection.close()
    name = connection.settings_dict["NAME"]
    if connection.vendor == "sqlite":
        for suffix in ("", "-wal", "-shm"):
            (settings.BASE_DIR / f"{name}{suffix}").unlink(missing_ok=True)
        return
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"DROP TABLE IF EXISTS {connection.ops.quote_name(table)} CASCADE")


def _database_name() -> str:
    return str(connection.settings_dict["NAME"])
