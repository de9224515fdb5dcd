"""Ask saved questions again by their schedules and tell followers what changed: for a timer, once a day."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from governance.audit.actions.asking_again import MOST_SECONDS, ask_due
from governance.audit.actions.telling_changes import Outcome, tell_changes
from governance.duties.site import site_address


class Command(BaseCommand):
    """What was asked today is not asked again, and nobody is told twice of one change."""

    help = "Asks saved questions again by their schedules, then sends each follower one mail with all that changed."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--minutes", type=float, default=MOST_SECONDS / 60, help="begin no question after this")
        parser.add_argument("--dry-run", action="store_true", help="ask and send nothing; print who would be told")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["dry_run"]:
            self._ask(options["minutes"] * 60)
        outcomes = tell_changes(site=site_address(), dry_run=options["dry_run"])
        for outcome in outcomes:
            if not outcome.problem:
                self.stdout.write(_line(outcome, "would go" if options["dry_run"] else "sent"))
        failed = [outcome for outcome in outcomes if outcome.problem]
        if failed:
            raise CommandError(_failures(failed))

    def _ask(self, seconds: float) -> None:
        ran = ask_due(today=timezone.localdate(), seconds=seconds)
        self.stdout.write(f"Asked {len(ran.taken)}: {len(ran.changed)} changed, {len(ran.failed)} without an answer.")
        for one in ran.failed:
            self.stdout.write(f"  {one.question.title} ({one.role}): {one.problem}")
        if ran.left:
            self.stdout.write(f"No time for {len(ran.left)}; the next run asks them first.")


def _line(outcome: Outcome, did: str) -> str:
    user = outcome.news.user
    return f"{did} to {user.shown_name} <{user.email}>: {outcome.message.subject}"


def _failures(failed: list[Outcome]) -> str:
    told = [f"{one.news.user.shown_name} <{one.news.user.email}>: {one.problem}" for one in failed]
    return f"{len(failed)} of the mails did not go out; run the command again once the cause is gone.\n" + "\n".join(
        told
    )
