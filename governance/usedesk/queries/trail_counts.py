"""How much of material was used, in numbers and in one sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Count, Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, ngettext_lazy

from governance.usedesk.deeds import Deed
from governance.usedesk.models import MadeUse, Remedy
from governance.usedesk.queries.material import Material, among
from governance.usedesk.queries.whereabouts import still_out

_OUT: Final = "out"

_ENTRIES: Final = frozenset({Deed.PUBLICATION, Deed.DATA})
"""What is counted by entries: one publication cites many specimens."""

_WORDS: Final[Mapping[str, Any]] = {
    Deed.STUDY: ngettext_lazy("%(n)s studied on the spot", "%(n)s studied on the spot", "count"),
    Deed.SAMPLING: ngettext_lazy("%(n)s sampled", "%(n)s sampled", "count"),
    Deed.EXTRACTION: ngettext_lazy("%(n)s extracted", "%(n)s extracted", "count"),
    Deed.SEQUENCING: ngettext_lazy("%(n)s sequenced", "%(n)s sequenced", "count"),
    Deed.IMAGING: ngettext_lazy("%(n)s imaged", "%(n)s imaged", "count"),
    Deed.PUBLICATION: ngettext_lazy("%(n)s publication", "%(n)s publications", "count"),
    Deed.DATA: ngettext_lazy("%(n)s set of data published", "%(n)s sets of data published", "count"),
    Deed.EXHIBITION: ngettext_lazy("%(n)s exhibited", "%(n)s exhibited", "count"),
    Deed.TEACHING: ngettext_lazy("%(n)s used in teaching", "%(n)s used in teaching", "count"),
    Deed.COMMERCIAL: ngettext_lazy("%(n)s used commercially", "%(n)s used commercially", "count"),
    Deed.LOAN: ngettext_lazy("%(n)s lent", "%(n)s lent", "count"),
    _OUT: ngettext_lazy("%(n)s out on loan", "%(n)s out on loan", "count"),
    Deed.ONWARD_LOAN: ngettext_lazy("%(n)s lent on by the borrower", "%(n)s lent on by the borrower", "count"),
    Deed.RETENTION: ngettext_lazy("%(n)s kept by the borrower", "%(n)s kept by the borrower", "count"),
    Deed.GIFT: ngettext_lazy("%(n)s given away", "%(n)s given away", "count"),
    Deed.EXCHANGE: ngettext_lazy("%(n)s exchanged", "%(n)s exchanged", "count"),
    Deed.LOSS: ngettext_lazy("%(n)s lost or damaged", "%(n)s lost or damaged", "count"),
    Deed.DISPOSAL: ngettext_lazy("%(n)s disposed of", "%(n)s disposed of", "count"),
    Deed.RETURN: ngettext_lazy("%(n)s returned to the provider", "%(n)s returned to the provider", "count"),
}
"""How often each was done, in the order of the sentence."""


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
        all_out = self.by_deed.get(Deed.LOAN) == self.out
        done: dict[str, int] = {**self.by_deed, _OUT: self.out, **({str(Deed.LOAN): 0} if all_out else {})}
        return ", ".join(_counted(words, done[deed]) for deed, words in _WORDS.items() if done.get(deed))


def _counted(words: Any, n: int) -> str:
    return str(words % {"n": intcomma(n), "count": n})


def trail_counts(material: Material) -> TrailCounts:
    """The numbers with which the page begins, entries that were voided left out: five queries."""
    stands = MadeUse.objects.filter(among("pk", material.uses), voided_at__isnull=True).order_by()
    entries = Counter(stands.values_list("deed", flat=True))
    found = material.items.filter(use__voided_at__isnull=True).aggregate(
        used=_SPECIMENS, outside=Count("specimen", distinct=True, filter=Q(is_outside=True)),
        **{f"of_{n}": _of_deed(deed) for n, deed in enumerate(entries)},
    )  # fmt: skip
    by_deed = {deed: entries[deed] if deed in _ENTRIES else found[f"of_{n}"] for n, deed in enumerate(entries)}
    out = still_out(Deed.LOAN, material.items).aggregate(n=_SPECIMENS)["n"]
    remedies = Remedy.objects.filter(among("use", material.uses), use__voided_at__isnull=True, done_on__isnull=True)
    return TrailCounts(
        material.total, found["used"], by_deed, out, found["outside"], remedies.count(), len(material.declined)
    )


_SPECIMENS: Final = Count("specimen", distinct=True)


def _of_deed(deed: str) -> Count:
    return Count("specimen", distinct=True, filter=Q(use__deed=deed))


def head_words(counts: TrailCounts) -> str:
    """The sentence that answers first: how much was used."""
    used, total = counts.used, counts.total
    if total == 1:
        return _("It was used.") if used else _("No use of it is recorded.")
    if total is None:
        words = ngettext("%(used)s specimen went there.", "%(used)s specimens went there.", used)
    elif used:
        words = ngettext(
            "%(used)s of %(total)s specimens was used.", "%(used)s of %(total)s specimens were used.", used
        )
    else:
        words = _("No use of these %(total)s specimens is recorded.")
    return words % {"used": intcomma(used), "total": intcomma(total or 0)}
