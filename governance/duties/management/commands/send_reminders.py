"""Work the duties out and send the mails of the day: for a timer, once a day."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from governance.duties.actions.digests import Outcome, send_digests
from governance.duties.actions.working_out import catch_up
from governance.duties.site import site_address


class Command(BaseCommand):
    """One mail a day to each person who wants it and has something to be told; a second run sends nothing again."""

    help = "Works the duties out where the register changed, then sends each person one mail a day at most."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="send nothing; print whom it would go to")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["dry_run"]:
            catch_up(by=None, why="daily reminder")
        outcomes = send_digests(today=timezone.localdate(), site=site_address(), dry_run=options["dry_run"])
        for outcome in outcomes:
            if not outcome.problem:
                self.stdout.write(_line(outcome, "would go" if options["dry_run"] else "sent"))
        failed = [outcome for outcome in outcomes if outcome.problem]
        if failed:
            raise CommandError(_failures(failed))
        if not outcomes:
            self.stdout.write("Nobody has anything to be told today.")


def _line(outcome: Outcome, did: str) -> str:
    user = outcome.digest.user
    return f"{did} to {user.shown_name} <{user.email}>: {outcome.message.subject}"


def _failures(failed: list[Outcome]) -> str:
    told = [f"{one.digest.user.shown_name} <{one.digest.user.email}>: {one.problem}" for one in failed]
    return f"{len(failed)} of the mails did not go out; run the command again once the cause is gone.\n" + "\n".join(
        told
    )
