"""What verdicts hold a specimen by, asked before it is removed from the register."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.bonds import Bond, InTheWay, Keys
from accessions.people.bulk import among
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.verdicts.actions.letting_go import let_go
from governance.verdicts.models import Override, Standing


def _in_the_way(keys: Keys) -> Iterator[InTheWay]:
    """Decisions of people beside its verdicts that were not withdrawn."""
    rows = Override.objects.filter(among("specimen", keys), withdrawn_at__isnull=True).order_by("specimen", "layer")
    for one in rows:
        words = _("A decision beside its verdict waits for a second person: %(layer)s.") if one.waits else _(
            "A person decided beside its verdict: %(layer)s. Withdraw that first."
        )  # fmt: skip
        address = reverse("verdicts:specimen", args=[one.specimen_id])
        yield InTheWay(one.specimen_id, words % {"layer": LAYER_NAMES[Layer(one.layer)]}, address)


def _goes_along(keys: Keys) -> Iterator[str]:
    if n := Standing.objects.filter(among("specimen", keys)).count():
        words = ngettext("the verdict that lists show of it", "the verdicts that lists show of %(n)s of them", n)
        yield words % {"n": intcomma(n)}
    if n := Override.objects.filter(among("specimen", keys)).count():
        words = ngettext("%(n)s decision that was withdrawn", "%(n)s decisions that were withdrawn", n)
        yield words % {"n": intcomma(n)}


BOND: Final = Bond("verdicts", _in_the_way, _goes_along, let_go)
