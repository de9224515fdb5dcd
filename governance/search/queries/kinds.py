"""What a kind of thing is to the search: how it is found, and how a hit is shown. The contract of the room.

A room above adds a kind of its own with ``add_kind``; the search knows of no room that is not below it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django.utils.functional import Promise

from governance.scans.reading.wanted import Piece
from governance.search.asked import Asked, Rank, marked

Text = str | Promise
"""Words of the interface, marked for translation."""

SHOWN: Final = 8
"""Hits of a kind on the page of all kinds."""


@dataclass(frozen=True)
class Why:
    """Where the words stand: the name of the field ("" where it needs none), and its text with the words marked."""

    label: str
    pieces: Sequence[Piece]


@dataclass(frozen=True)
class Hit:
    """One thing that was found. detail: what it is. is_name: its title is a scientific name. closed: the line in place
    of words that are not open to the reader."""

    title: str
    address: str
    detail: str = ""
    why: Sequence[Why] = ()
    is_name: bool = False
    closed: str = ""


@dataclass(frozen=True)
class Matches:
    """All of a kind that were found. rows: what ``show`` takes, by slices, the nearest first. count: of all; is_more:
    there are more than were counted. exact: rows whose number is what was typed. list_address: the list of its own
    room, narrowed as asked; in_list: how many stand there, None: as many as here."""

    rows: Any = ()
    count: int = 0
    show: Callable[[Sequence[Any]], list[Hit]] = lambda rows: []
    exact: Sequence[Any] = ()
    is_more: bool = False
    list_address: str = ""
    in_list: Callable[[], int] | None = None


@dataclass(frozen=True)
class Kind:
    """A kind of thing. key: its word in addresses. looks_in: what of it is looked through, for whoever finds nothing.
    goes_straight: a number that is typed whole leads to the one that has it."""

    key: str
    title: Text
    looks_in: Text
    find: Callable[[Asked, Any], Matches]
    goes_straight: bool = False


@dataclass
class _Kinds:
    added: list[Kind] = field(default_factory=list)


_KINDS: Final = _Kinds()


def add_kind(kind: Kind) -> None:
    """Let the search look for a kind of thing of a room above; called once, when that room is made ready."""
    if all(one.key != kind.key for one in _KINDS.added):
        _KINDS.added.append(kind)


def added_kinds() -> Sequence[Kind]:
    """What rooms above added, in their order."""
    return tuple(_KINDS.added)


def of_ranked(found: Sequence[tuple[Rank, Any]], show: Callable[[Sequence[Any]], list[Hit]], list_address: str = "",
              in_list: Callable[[], int] | None = None) -> Matches:  # fmt: skip
    """Matches of keys that were ranked (``asked.ranked``)."""
    exact = [key for rank, key in found if rank is Rank.EXACT]
    return Matches([key for _rank, key in found], len(found), show, exact, False, list_address, in_list)


def why(asked: Asked, *texts: tuple[Text, str]) -> list[Why]:
    """The fields that hold a word of what was asked, with the word marked; each given as its name and its text."""
    return [Why(str(label), pieces) for label, text in texts if text and (pieces := marked(text, asked))]
