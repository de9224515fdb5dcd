"""What rooms hold a specimen by, asked before one is removed from the register. The contract of the room.

Facts do not know of requests, papers and verdicts: a room above says by ``add_bond``, once it is made ready, what of it
stands in the way of a removal, what goes along, and how it lets go. ``tests/integration/accessions/test_removing.py``
holds that no table with a key of specimens is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from typing import Any, Final

Keys = Collection[int]
"""Keys of specimens that are to be removed together."""


@dataclass(frozen=True)
class InTheWay:
    """One thing that was done with a specimen, so that it stays: a sentence, and the page of that thing ("": none)."""

    specimen: int
    words: str
    address: str = ""


@dataclass(frozen=True)
class Bond:
    """What a room holds specimens by; of each function the number of queries does not grow with the keys.

    in_the_way: all of it, each thing once for each specimen. goes_along: in words, for the page that asks. let_go:
    deletes what goes along, with its history, inside the transaction of the removal; called with ``by`` and ``why``.
    Raises what ``LetGoError`` says.
    """

    room: str
    in_the_way: Callable[[Keys], Iterable[InTheWay]]
    goes_along: Callable[[Keys], Iterable[str]] = lambda keys: ()
    let_go: Callable[..., None] = lambda keys, *, by, why: None


class LetGoError(RuntimeError):
    """A room cannot let specimens go just now. Its text is for people, and says when it can."""


@dataclass
class _Bonds:
    added: list[Bond] = field(default_factory=list)


_BONDS: Final = _Bonds()


def add_bond(bond: Bond) -> None:
    """Let a room above have a say; called once, when it is made ready."""
    if all(one.room != bond.room for one in _BONDS.added):
        _BONDS.added.append(bond)


def bonds() -> tuple[Bond, ...]:
    """Those of the rooms above, as they were made ready."""
    return tuple(_BONDS.added)


def let_go(keys: Keys, *, by: Any, why: str) -> None:
    """Each room deletes what goes along with the specimens."""
    for bond in bonds():
        bond.let_go(keys, by=by, why=why)
