"""How much of material was used, in numbers and in one sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, Q
from django.utils.translation import ngettext, ngettext_lazy

from governance.usedesk.deeds import Deed
from governance.usedesk.models import Remedy
from governance.usedesk.queries.material import Material
from governance.usedesk.queries.trail import declined_of
from governance.usedesk.queries.whereabouts import still_out

_SPECIMENS: Final[Mapping[str, Any]] = {
    Deed.STUDY: ngettext_lazy("%(n)s studied on the spot", "%(n)s studied on the spot", "count"),
    Deed.SAMPLING: ngettext_lazy("%(n)s sampled", "%(n)s sampled", "count"),
    Deed.EXTRACTION: ngettext_lazy("%(n)s extracted", "%(n)s extracted", "count"),
    Deed.SEQUENCING: ngettext_lazy("%(n)s sequenced", "%(n)s sequenced", "count"),
    Deed.IMAGING: ngettext_lazy("%(n)s imaged", "%(n)s imaged", "count"),
    Deed.EXHIBITION: ngettext_lazy("%(n)s exhibited", "%(n)s exhibited", "count"),
    Deed.TEACHING: ngettext_lazy("%(n)s used in teaching", "%(n)s used in teaching", "count"),
    Deed.COMMERCIAL: ngettext_lazy("%(n)s used commercially", "%(n)s used commercially", "count"),
    Deed.LOAN: ngettext_lazy("%(n)s lent", "%(n)s lent", "count"),
    Deed.ONWARD_LOAN: ngettext_lazy("%(n)s lent on by the borrower", "%(n)s lent on by the borrower", "count"),
    Deed.RETENTION: ngettext_lazy("%(n)s kept by the borrower", "%(n)s kept by the borrower", "count"),
    Deed.GIFT: ngettext_lazy("%(n)s given away", "%(n)s given away", "count"),
    Deed.EXCHANGE: ngettext_lazy("%(n)s exchanged", "%(n)s exchanged", "count"),
    Deed.LOSS: ngettext_lazy("%(n)s lost or damaged", "%(n)s lost or damaged", "count"),
    Deed.DISPOSAL: ngettext_lazy("%(n)s disposed of", "%(n)s disposed of", "count"),
    Deed.RETURN: ngettext_lazy("%(n)s returned to the provider", "%(n)s returned to the provider", "count"),
}
"""What is counted by specimens, in the order of the sentence that begins with publications."""

_ENTRIES: Final[Mapping[str, Any]] = {
    Deed.PUBLICATION: ngettext_lazy("%(n)s publication", "%(n)s publications", "count"),
    Deed.DATA: ngettext_lazy("%(n)s set of data published", "%(n)s sets of data published", "count"),
}
"""What is counted by entries: one publication cites many specimens."""

_STILL_OUT: Final = ngettext_lazy("%(n)s out on loan", "%(n)s out on loan", "count")


@dataclass(frozen=True)
class TrailCounts:
    """used: specimens of which any use is recorded. by_deed: specimens, of publications entries. outside: specimens
    of a use that was not within the terms as known on its day."""

    total: int | None
    used: int
    by_deed: Mapping[str, int]
    out: int
    outside: int
    remedies: int
    declined: int

    @property
    def parts(self) -> str:
        """What was done, each with its number: "8 sequenced, 1 publication, 25 out on loan"."""
        done = {deed: n for deed, n in self.by_deed.items() if deed != Deed.LOAN or n != self.out}
        words = [_counted(one, done[deed]) for deed, one in _WORDS.items() if done.get(deed)]
        return ", ".join([*words, *([_counted(_STILL_OUT, self.out)] if self.out else [])])


_WORDS: Final = {**_ENTRIES, **_SPECIMENS}


def _counted(words: Any, n: int) -> str:
    return str(words % {"n": f"{n:,}", "count": n})


def trail_counts(material: Material) -> TrailCounts:
    """The numbers with which the page begins, entries that were voided left out: six queries."""
    stands = material.items.filter(use__voided_at__isnull=True)
    specimens = Count("specimen", distinct=True)
    all_ = stands.aggregate(used=specimens, outside=Count("specimen", distinct=True, filter=Q(is_outside=True)))
    rows = stands.values_list("use__deed").annotate(specimens, Count("use", distinct=True))
    by_deed = {deed: uses if deed in _ENTRIES else n for deed, n, uses in rows}
    out = still_out(Deed.LOAN, material.items).aggregate(n=specimens)["n"]
    remedies = Remedy.objects.filter(use__in=stands.values("use"), done_on__isnull=True).count()
    return TrailCounts(
        material.total, all_["used"], by_deed, out, all_["outside"], remedies, declined_of(material).count()
    )


def head_words(counts: TrailCounts) -> str:
    """The sentence that answers first: how much was used."""
    used = {"used": f"{counts.used:,}", "total": f"{counts.total or 0:,}"}
    if counts.total is None:
        words = ngettext("%(used)s specimen went there.", "%(used)s specimens went there.", counts.used)
    elif counts.used:
        words = ngettext("%(used)s of %(total)s was used.", "%(used)s of %(total)s specimens were used.", counts.used)
    else:
        words = ngettext(
            "No use of the one specimen is recorded.", "No use of these %(total)s specimens is recorded.", counts.total
        )
    return words % used
