"""The turns in the life of a paper: applied for, granted, suspended, ended."""

from __future__ import annotations

from typing import Final

from accessions.intake.problems import shown
from governance.papers.document import Node, optional_text

_DECISIONS: Final = ("applied", "refused", "granted")
ENDS: Final = ("revoked", "withdrawn", "surrendered")
"""Turns after which a paper holds no longer: taken by the authority, by whoever consented, or given back."""


def is_held(paper: Node) -> bool:
    """Whether the paper was given at all: its last decision is not an application or a refusal.

    A paper that says nothing of its life was given: nobody files what does not exist.
    """
    decisions = [
        (str(turn["from"].value), number, turn["state"].value)
        for number, turn in enumerate(paper["statuses"].items())
        if turn["state"].value in _DECISIONS
    ]
    return not decisions or max(decisions)[2] == "granted"


def check_statuses(paper: Node) -> None:
    """Note days that are none, and turns that say otherwise than ``suspensions`` and ``revoked_on``."""
    turns = list(paper["statuses"].items())
    for turn in turns:
        turn["from"].day()
        turn["to"].day()
        optional_text(turn["note"])
        _check_span(turn)
    _check_ends(paper, [turn for turn in turns if turn["state"].value in ENDS])
    _check_suspensions(paper, [turn for turn in turns if turn["state"].value == "suspended"])


def _check_span(turn: Node) -> None:
    first, last = turn["from"].value, turn["to"].value
    if last is None or not isinstance(first, str) or not isinstance(last, str):
        return
    if turn["state"].value != "suspended":
        turn["to"].problem("a last day stands there", "Only a suspension has a last day; leave it out.")
    elif last < first:
        turn["to"].problem(f"it ends on {last}, before it starts on {first}", "The last day is not before the first.")


def _check_ends(paper: Node, ends: list[Node]) -> None:
    for turn in ends[1:]:
        turn.problem(
            "the paper ends a second time", "A paper is revoked, withdrawn or surrendered once; take the first away."
        )
    if len(ends) == 1 and ends[0]["from"].value != paper["revoked_on"].value:
        stated = paper["revoked_on"].value
        ends[0]["from"].problem(
            f"it ends on {shown(str(ends[0]['from'].value))}, but revoked_on is {stated or 'empty'}",
            "revoked_on is the first day on which the paper no longer holds: write the same day in both.",
        )


def _check_suspensions(paper: Node, suspended: list[Node]) -> None:
    stated = sorted(
        [(str(ends[0].value), ends[1].value) for span in paper["suspensions"].items()
         if len(ends := list(span.items())) == 2],
        key=str,
    )  # fmt: skip
    told = sorted([(str(turn["from"].value), turn["to"].value) for turn in suspended], key=str)
    if suspended and stated != told:
        paper["statuses"].problem(
            "the suspensions among them are not those of the key suspensions",
            "suspensions decides: write the same days in both, or leave them out of statuses.",
        )
