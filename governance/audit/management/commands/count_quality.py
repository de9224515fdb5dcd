"""``manage.py count_quality``: how many rows each question of data quality finds today."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone


class Command(BaseCommand):
    help = "Count what the questions of data quality find, and keep the numbers of the day; run it daily."

    def handle(self, *args: Any, **options: Any) -> None:
        from governance.audit.actions.quality import count_all

        for one in count_all(timezone.localdate()):
            if one.count or one.noted:
                self.stdout.write(f"{one.question}: {one.count:,} to be looked at, {one.noted:,} noted as right")
