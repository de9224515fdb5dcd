"""Two readings of the same terms that began from the same one: what each changed, and where both did."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Value = Mapping[str, Any]


@dataclass(frozen=True)
class Joined:
    """value: mine, with theirs wherever I changed nothing. taken: uses taken from theirs; both: uses that both of us
    changed, to different ends, which are as I have them. of_reading: keys of the whole that both changed."""

    value: dict[str, Any]
    taken: tuple[str, ...] = ()
    both: tuple[str, ...] = ()
    of_reading: tuple[str, ...] = ()


def joined(base: Value, mine: Value, theirs: Value) -> Joined:
    """Join two values of ``terms_of_use`` that were made from ``base``.

    >>> one, two = {"use": "imaging", "said": "silent"}, {"use": "teaching", "said": "silent"}
    >>> joined({}, {"uses": [one]}, {"uses": [two]}).value["uses"] == [one, two]
    True
    """
    old, my, their = (_uses(value) for value in (base, mine, theirs))
    order = dict.fromkeys([*my, *their])
    uses, taken, both = [], [], []
    for code in order:
        kept, is_theirs, is_both = _one(old.get(code), my.get(code), their.get(code))
        if kept is not None:
            uses.append(kept)
        if is_theirs:
            taken.append(code)
        if is_both:
            both.append(code)
    whole, clashes = _reading(base, mine, theirs)
    return Joined({**whole, "uses": uses}, tuple(taken), tuple(both), clashes)


def _uses(value: Value) -> dict[str, Any]:
    terms = [term for term in value.get("uses", ()) if isinstance(term, dict) and isinstance(term.get("use"), str)]
    return {term["use"]: term for term in terms}


def _one(old: Any, my: Any, their: Any) -> tuple[Any, bool, bool]:
    """What is kept, whether it is theirs, whether both changed it."""
    if my == their or their == old:
        return my, False, False
    if my == old:
        return their, True, False
    return my, False, True


def _reading(base: Value, mine: Value, theirs: Value) -> tuple[dict[str, Any], tuple[str, ...]]:
    found, clashes = {}, []
    for key in dict.fromkeys([*mine, *theirs]):
        if key == "uses":
            continue
        kept, _, is_both = _one(base.get(key), mine.get(key), theirs.get(key))
        if kept is not None:
            found[key] = kept
        if is_both:
            clashes.append(key)
    return found, tuple(clashes)
