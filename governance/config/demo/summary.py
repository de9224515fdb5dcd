"""What the demo says when it is made: how many specimens have which verdict, and how to sign in."""

from __future__ import annotations

from typing import Any

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from accessions.people.models import Role, User
from governance.verdicts.caution import CAUTION
from governance.verdicts.models import Standing
from governance.verdicts.standing_summary import standing_counts
from governance.verdicts.summary import verdict_table

_WIDTH = 110
"""Where no terminal says how wide it is."""


def console_of() -> Console:
    """The console that all of the demo's words go to."""
    console = Console(highlight=False)
    if not console.is_terminal:
        console.width = max(console.width, _WIDTH)
    return console


def print_verdicts(console: Console) -> None:
    """The table of verdicts."""
    title = f"{Standing.objects.count():,} specimens by layer and verdict"
    console.print(verdict_table(title, standing_counts(), console))
    console.print("A specimen counts under the worst of its layers; not required is no fault.")
    console.print(f"{CAUTION}\n", soft_wrap=True)


def print_log_ins(console: Console, source: dict[str, Any]) -> None:
    """Who signs in how, unless somebody changed it since."""
    table = Table(title="Sign in as", title_style="bold", title_justify="left", box=SIMPLE_HEAD)
    for column in ("name", "password", "person", "role"):
        table.add_column(column, no_wrap=True)
    for user in User.objects.filter(username__in=source["accounts"], is_active=True).order_by("pk"):
        table.add_row(user.username, source["password"], user.shown_name, str(Role(user.role).label))
    console.print(table)
    console.print(
        "These passwords are printed in a public file: the demo is for this machine alone, not for a network.",
        soft_wrap=True,
    )
