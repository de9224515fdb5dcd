"""Heads of the chain kept elsewhere: in a ledger, a mailbox, a file a day in the store. Only they show that a whole
register was put back to an older copy, or written anew."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from governance.audit.models import KeptHead
from governance.audit.queries.seal.problems import Problem, ProblemKind, Problems
from governance.scans.queries.intact import keys_below
from governance.scans.store import store

FOLDER: Final = "seal-heads"
"""Where the store keeps a file a day."""

_HEAD: Final = re.compile(r"\b([0-9][0-9,]*)\s*[:\s]\s*((?:[0-9a-f]{4}[\s]*){16})(?![0-9a-f])", re.IGNORECASE)


@dataclass(frozen=True)
class Head:
    """A head as it was kept: number of the entry, its hash in hex, and where it is kept."""

    number: int
    sha256: str
    where: str


class UnreadableHeadError(Exception):
    """A text or file that should hold a head does not. Its text is for people."""


def head_in(text: str, where: str) -> Head:
    """The head in a text: number and 64 hexadecimal digits, with or without spaces: ``48,213: 9f0a 31c2 ...``.

    Raises:
        UnreadableHeadError: there is none.
    """
    found = _HEAD.search(text)
    if found is None:
        raise UnreadableHeadError(
            _("%(where)s: no head was found. Expected: the number of an entry and its hash of 64 hexadecimal digits.")
            % {"where": where}
        )
    return Head(int(found[1].replace(",", "")), "".join(found[2].split()).lower(), where)


def told_head(told: str) -> Head:
    """A head from ``NUMBER:HASH``, or from a file.

    Raises:
        UnreadableHeadError: it is neither.
    """
    if re.match(r"^[0-9,]+\s*:", told):
        return head_in(told, _("the head that was told"))
    try:
        return head_in(Path(told).read_text("utf-8"), told)
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or _("it is no text")
        raise UnreadableHeadError(_("%(file)s cannot be read: %(why)s.") % {"file": told, "why": why}) from error


def kept_heads() -> list[Head]:
    """All that the register knows of: those that people noted, and the files in the store."""
    noted = [Head(row.number, row.sha256, row.where) for row in KeptHead.objects.order_by("number")]
    return noted + heads_in_store()


def heads_in_store() -> list[Head]:
    """The heads that were kept in the store day by day; a file that cannot be read is passed over by name."""
    heads, place = [], store()
    for key in sorted(keys_below(place, FOLDER)):
        with place.open(key, "rb") as content:
            text = content.read(1000).decode("utf-8", "replace")
        try:
            heads.append(head_in(text, _("store, %(file)s") % {"file": key}))
        except UnreadableHeadError:
            heads.append(Head(0, "", key))
    return heads


def check_heads(problems: Problems, heads: Iterable[Head], entries: int, known: Mapping[int, str]) -> int:
    """Hold kept heads against the chain; how many agree. known: hashes of the entries, by number."""
    agree = 0
    for head in heads:
        what = _what_is_wrong(head, entries, known)
        if what:
            problems.add(Problem(ProblemKind.HEAD, _("kept head"), head.where, what, head.number))
        agree += not what
    return agree


def _what_is_wrong(head: Head, entries: int, known: Mapping[int, str]) -> str:
    if not head.sha256:
        return _("the file holds no head any more.")
    if head.number > entries:
        return _("it is entry %(kept)s, but the chain ends at entry %(last)s: an older copy was put back.") % {
            "kept": intcomma(head.number), "last": intcomma(entries)
        }  # fmt: skip
    if known.get(head.number) != head.sha256:
        return _(
            "entry %(kept)s has another hash now: an older copy was put back and used, or the chain was made anew."
        ) % {"kept": intcomma(head.number)}
    return ""
