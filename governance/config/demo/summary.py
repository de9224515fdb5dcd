"""What the demo says when it is made: how many specimens have which verdict, where to look, how to sign in."""

from __future__ import annotations

from typing import Any

from django.db.models import Count
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from accessions.people.models import Role, User
from governance.engine import Layer, Verdict
from governance.verdicts.caution import CAUTION
from governance.verdicts.models import RulingLayer, Standing

_WORDS = ("covered", "not required", "cannot tell", "straddles", "outside terms", "no paper on file")
_WIDTH = 110
"""Where no terminal says how wide it is."""


def console_of() -> Console:
    """The console that all of the demo's words go to."""
    console = Console(highlight=False)
    if not console.is_terminal:
        console.width = max(console.width, _WIDTH)
    return console


def counts_by_layer() -> dict[Layer, list[int]]:
    """Specimens by layer and computed verdict."""
    found = {layer: [0] * len(Verdict) for layer in Layer}
    rows = RulingLayer.objects.values_list("layer", "outcome__verdict").order_by()
    for layer, verdict, count in rows.annotate(count=Count("ruling__standings")):
        found[Layer(layer)][verdict] += count
    return found


def counts_of_specimens() -> list[int]:
    """Specimens by the worst of their layers, after what people decided."""
    found = [0] * len(Verdict)
    for verdict, count in Standing.objects.values_list("worst").order_by().annotate(count=Count("pk")):
        found[verdict] = count
    return found


def print_verdicts(console: Console) -> None:
    """The table of verdicts."""
    totals = counts_of_specimens()
    table = Table(title=f"{sum(totals):,} specimens by layer and verdict", title_style="bold", title_justify="left",
                  box=SIMPLE_HEAD)  # fmt: skip
    table.add_column("layer", no_wrap=True, min_width=14)
    for word in _WORDS:
        table.add_column(word, justify="right", min_width=max(map(len, word.split())))
    for layer, counts in counts_by_layer().items():
        table.add_row(layer.code, *map(_figure, counts))
    table.add_section()
    table.add_row("specimens", *map(_figure, totals))
    console.print(table)
    console.print("A specimen counts under the worst of its layers; not required is no fault.")
    console.print(f"{CAUTION}\n", soft_wrap=True)


def _figure(number: int) -> str:
    return f"{number:,}" if number else "."


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
