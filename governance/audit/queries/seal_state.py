"""The seal as its page shows it: how long the chain is, what was checked last, where heads are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import segno
from django.utils.translation import gettext as _

from accessions.people.models import Seal, Write
from accessions.people.sealing import head
from governance.audit.models import KeptHead, SealCheck
from governance.audit.queries.seal.heads import Head
from governance.scans.queries.intact import bytes_to_check

MOST_SHOWN = 20
_ENTRIES_AT_ONCE = 30_000
_BYTES_AT_ONCE = 100 << 20
"""A longer chain, and a larger store, is checked in the background."""


@dataclass(frozen=True)
class Link:
    """An entry in the picture of the chain; at: when it was checked, None for the head."""

    number: int
    start: str
    at: datetime | None


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


def takes_long() -> bool:
    """Whether a whole check takes so long that nobody waits for a page."""
    return head()[0] > _ENTRIES_AT_ONCE or bytes_to_check() > _BYTES_AT_ONCE


def links_of_chain(state: SealState) -> list[Link]:
    """At most four entries for the picture of the chain: those of the newest checks, and the head."""
    shown = {
        check.number: Link(check.number, check.sha256[:4], check.checked_at) for check in reversed(state.checks[:3])
    }
    shown[state.number] = Link(state.number, state.sha256[:4], None)
    return [shown[number] for number in sorted(shown) if number][-4:]


def is_ours(number: int, sha256: str) -> bool:
    """Whether an entry of the chain has this number and this hash, in hex."""
    stored = Seal.objects.filter(pk=number).values_list("sha256", flat=True).first()
    return stored is not None and bytes(stored).hex() == "".join(sha256.split()).lower()


@dataclass(frozen=True)
class PrintedHead:
    """A head as it is printed. line: as it is typed again. code: a picture that a telephone reads."""

    number: int
    sha256: str
    at: datetime

    @property
    def groups(self) -> list[str]:
        """Sixteen groups of four."""
        return in_groups(self.sha256)

    @property
    def line(self) -> str:
        """``4245: fdc8 4a9f ...``."""
        return f"{self.number}: {' '.join(self.groups)}"

    @property
    def code(self) -> str:
        """A QR code (ISO/IEC 18004) of number, hash and day, as an address of its own data."""
        text = f"{self.number}: {self.sha256} {self.at:%Y-%m-%d}"
        return str(segno.make(text, error="m", micro=False).svg_data_uri(scale=4, border=4))


def printed_head(at: datetime) -> PrintedHead:
    """The head of now."""
    return PrintedHead(*head(), at)


@dataclass(frozen=True)
class FoundHead:
    """What a printed head is to this register. is_ours: the entry has this hash. is_beyond: the chain is not so long.
    write: the one in which the entry came, or before which it stands."""

    number: int
    is_ours: bool
    is_beyond: bool
    write: Write | None


def found_head(told: Head) -> FoundHead:
    """Whether an entry of the chain has the number and the hash of a printed head."""
    write = Write.objects.filter(number__lte=told.number).order_by("-number").first()
    return FoundHead(told.number, is_ours(told.number, told.sha256), told.number > head()[0], write)


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
