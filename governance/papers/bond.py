"""What papers hold a specimen by, asked before it is removed from the register."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext as _

from accessions.material.bonds import Bond, InTheWay, Keys
from accessions.people.bulk import among
from governance.papers.models import PaperLink


def _in_the_way(keys: Keys) -> Iterator[InTheWay]:
    """Papers that are linked to the specimen itself, or were: links are never deleted, also those taken off."""
    rows = PaperLink.objects.filter(among("specimen", keys)).order_by("paper__reference", "pk")
    told: dict[tuple[int, int, str], bool] = {}
    for specimen, paper, reference, unlinked_at in rows.values_list(
        "specimen", "paper", "paper__reference", "unlinked_at"
    ):
        link = (specimen, paper, reference)
        told[link] = told.get(link, False) or unlinked_at is None
    for (specimen, paper, reference), is_linked in told.items():
        words = _("Paper %(paper)s is linked to it.") if is_linked else _(
            "Paper %(paper)s was linked to it and taken off; such links are kept for ever."
        )  # fmt: skip
        yield InTheWay(specimen, words % {"paper": reference}, reverse("papers:paper", args=[paper]))


BOND: Final = Bond("papers", _in_the_way)
