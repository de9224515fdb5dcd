"""``manage.py work_out_duties``: the duties as rules, papers and facts have them today."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Work out which duties follow from papers, rules and facts; run it daily, after midnight."

    def handle(self, *args: Any, **options: Any) -> None:
        from governance.duties.actions.working_out import work_out

        run = work_out(by=None, why="the run of the day")
        self.stdout.write(f"Duties: {run.made:,} new, {run.moved:,} moved, {run.dropped:,} no longer asked for.")
