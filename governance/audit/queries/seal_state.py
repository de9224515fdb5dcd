"""The seal as its page shows it: how long the chain is, what was checked last, where heads are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from accessions.people.models import Seal, Write
from accessions.people.sealing import head
from governance.audit.models import KeptHead, SealCheck

MOST_SHOWN = 20
CHECKED_AT_ONCE = 50_000
"""A chain of more entries is checked in the background."""


@dataclass(frozen=True)
class SealState:
    """number, sha256: the head. checks: the newest first. heads, late: the newest; counts say how many there are."""

    number: int
    sha256: str
    since: datetime | None
    checks: Sequence[SealCheck]
    heads: Sequence[KeptHead]
    head_count: int
    late: Sequence[Write]
    late_count: int

    @property
    def groups(self) -> list[str]:
        """The head in sixteen groups of four, as people read it aloud."""
        return in_groups(self.sha256)

    @property
    def last_check(self) -> SealCheck | None:
        """The newest whole check."""
        return self.checks[0] if self.checks else None

    @property
    def is_large(self) -> bool:
        """Whether a check takes so long that nobody waits for the page."""
        return self.number > CHECKED_AT_ONCE

    @property
    def since_last_check(self) -> int:
        """Entries that came after the last check."""
        return self.number - self.last_check.number if self.last_check else self.number


def in_groups(sha256: str) -> list[str]:
    """``9f0a 31c2 ...``.

    >>> in_groups("9f0a31c2")
    ['9f0a', '31c2']
    """
    return [sha256[start : start + 4] for start in range(0, len(sha256), 4)]


def seal_state() -> SealState:
    """Seven queries, whatever the length of the chain."""
    number, sha256 = head()
    late = Write.objects.filter(is_late=True).select_related("by").order_by("-number")
    heads = KeptHead.objects.select_related("kept_by")
    return SealState(
        number, sha256, Write.objects.order_by("number").values_list("at", flat=True).first(),
        list(SealCheck.objects.select_related("checked_by")[:MOST_SHOWN]), list(heads[:MOST_SHOWN]), heads.count(),
        list(late[:MOST_SHOWN]), late.count(),
    )  # fmt: skip


def is_ours(number: int, sha256: str) -> bool:
    """Whether an entry of the chain has this number and this hash, in hex."""
    stored = Seal.objects.filter(pk=number).values_list("sha256", flat=True).first()
    return stored is not None and bytes(stored).hex() == "".join(sha256.split()).lower()


def head_in_words(number: int, sha256: str, at: datetime) -> str:
    """The head as it is mailed, printed and kept in files: lines that people and ``verify_seal`` read."""
    groups = in_groups(sha256)
    lines = [" ".join(groups[start : start + 4]) for start in range(0, len(groups), 4)]
    return "\n".join(
        [
            _("Seal of the register, %(when)s") % {"when": f"{at:%Y-%m-%d %H:%M %Z}"},
            "",
            f"{number}: {lines[0]}",
            *(" " * (len(str(number)) + 2) + line for line in lines[1:]),
            "",
            _("Keep this where nobody who keeps the register can change it."),
            _("Later: manage.py verify_seal --from-head FILE tells whether the register still holds this entry."),
            "",
        ]
    )
