"""Papers registered and corrected: the face, the versions, the turns of their life.

Every action takes objects of the exchange file, so that a form, an import and the register are read by one reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import transaction

from accessions.intake.problems import FileProblems, Problem, shown
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.history import record, remove
from governance.papers.actions.checking import checked
from governance.papers.actions.linking import Targets, add_links
from governance.papers.actions.locking import locked
from governance.papers.actions.storing import store_changes, store_new
from governance.papers.columns import Object
from governance.papers.models import Paper, PaperStatus
from governance.papers.queries import exchange_object
from governance.papers.restriction import check_readable
from governance.papers.statuses import ENDS

FORM = "form"
"""Name of the file in problems of what was typed."""

FACE = frozenset({
    "reference", "second_number", "kind", "layers", "issuer", "jurisdiction", "holder", "issued_on", "language",
    "remarks",
})  # fmt: skip
"""Keys of the object that ``edit_face`` takes."""


def register(*, data: Object, by: Any, why: str, targets: Targets | None = None) -> Paper:
    """A new paper with its versions (none: unread), its turns, and what it is linked to. ``covers`` is not read.

    Raises:
        FileProblems: with every problem of the object.
    """
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        value = _checked(data)
        _refuse_known(value["reference"].strip())
        (paper,) = store_new([value], by=by, why=why)
        if targets:
            check(by, Verb.LINK_PAPERS)
            add_links(paper, targets, by=by, why=why)
        touch(Scope.PAPER, [paper.pk], by=by, why=why)
    return paper


def edit_face(*, paper: Paper, data: Object, by: Any, why: str, seen: str | None = None) -> Paper:
    """Change the face of a paper: its numbers, kind, layers, parties, day of issue, language, remarks.

    Raises:
        FileProblems: what was typed does not hold, or a key is none of ``FACE``.
        ChangedMeanwhileError: somebody else changed the paper after ``seen`` was taken.
    """
    strange = sorted(data.keys() - FACE)
    if strange:
        raise ValueError(f"{strange} are not on the face of a paper; its keys are {sorted(FACE)}")
    return _amend(paper, lambda value: value | dict(data), by=by, why=why, seen=seen)


def add_version(*, paper: Paper, data: Object, by: Any, why: str, seen: str | None = None) -> Paper:
    """A new version: an amendment, or a renewal under the same number. From its first day on the one before is
    superseded for good.

    Raises:
        FileProblems, ChangedMeanwhileError: as for ``edit_face``.
    """
    return _amend(
        paper, lambda value: value | {"versions": [*value["versions"], dict(data)]}, by=by, why=why, seen=seen
    )


def amend_version(
    *, paper: Paper, start: date | None, data: Object, by: Any, why: str, seen: str | None = None
) -> Paper:
    """Correct the reading of the version that starts on a day; what stood before stays in the history.

    Raises:
        FileProblems, ChangedMeanwhileError: as for ``edit_face``.
    """
    first = start.isoformat() if start else None

    def change(value: Object) -> Object:
        versions = [dict(data) if v["in_force_from"] == first else v for v in value["versions"]]
        return {**value, "versions": versions}

    return _amend(paper, change, by=by, why=why, seen=seen, moved=(first, data.get("in_force_from") or None))


def remove_version(*, paper: Paper, start: date | None, by: Any, why: str, seen: str | None = None) -> Paper:
    """Take a version off that should not have been entered; the history keeps it."""
    first = start.isoformat() if start else None

    def change(value: Object) -> Object:
        return {**value, "versions": [v for v in value["versions"] if v["in_force_from"] != first]}

    return _amend(paper, change, by=by, why=why, seen=seen)


def add_status(*, paper: Paper, data: Object, by: Any, why: str, seen: str | None = None) -> Paper:
    """A turn in the life of the paper: applied, refused, granted, suspended (from, to), revoked, withdrawn,
    surrendered.

    data: an entry of ``statuses``: state, from, to, note.
    """
    return _amend(paper, lambda value: with_turns(value, [*turns_of(value), dict(data)]), by=by, why=why, seen=seen)


def remove_status(*, turn: PaperStatus, by: Any, why: str) -> Paper:
    """Take off a turn that did not happen; the history keeps it."""
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        paper = locked(turn.paper, None)
        check_readable(paper, by)
        remove(turn, by=by, why=why)
        touch(Scope.PAPER, [paper.pk], by=by, why=why)
    return paper


def turns_of(value: Object) -> list[dict[str, Any]]:
    """All turns of a paper in words, also those that only ``suspensions`` and ``revoked_on`` tell."""
    turns = [dict(turn) for turn in value.get("statuses", ())]
    states = {turn["state"] for turn in turns}
    if "suspended" not in states:
        spans = value.get("suspensions", ())
        turns += [{"state": "suspended", "from": a} | ({"to": b} if b else {}) for a, b in spans]
    if value.get("revoked_on") and states.isdisjoint(ENDS):
        turns.append({"state": "revoked", "from": value["revoked_on"]})
    return turns


def with_turns(value: Object, turns: list[dict[str, Any]]) -> Object:
    """The object with these turns and no others; the short keys follow."""
    ends = [turn["from"] for turn in turns if turn["state"] in ENDS]
    suspensions = [[turn["from"], turn.get("to")] for turn in turns if turn["state"] == "suspended"]
    return {
        **value, "statuses": turns, "suspensions": suspensions, "revoked_on": ends[0] if ends else None,
    }  # fmt: skip


def _amend(
    paper: Paper, change: Any, *, by: Any, why: str, seen: str | None,
    moved: tuple[str | None, str | None] | None = None,
) -> Paper:  # fmt: skip
    """Change a paper by changing its object: one path for all corrections, one check of the whole paper."""
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        standing = locked(paper, seen)
        check_readable(standing, by)
        value = _checked(change(exchange_object(standing, with_links=False)))
        if value["reference"].strip() != standing.reference:
            _refuse_known(value["reference"].strip())
        if moved and moved[0] != moved[1]:
            _move_version(standing, moved, by=by, why=why)
        store_changes(standing, value, by=by, why=why)
        touch(Scope.PAPER, [standing.pk], by=by, why=why)
    return standing


def _move_version(paper: Paper, moved: tuple[str | None, str | None], *, by: Any, why: str) -> None:
    """Give a version its corrected start first, so that it is changed and not replaced."""
    old, new = (date.fromisoformat(day) if day else None for day in moved)
    version = next(version for version in paper.versions.all() if version.in_force_from == old)
    version.in_force_from = new
    if version.in_force_to and new and version.in_force_to < new:
        version.in_force_to = None
    record(version, by=by, why=why, fields=["in_force_from", "in_force_to"])


def _checked(value: Object) -> Mapping[str, Any]:
    (entry,) = checked([{key: item for key, item in value.items() if key != "covers"}], FORM).entries
    return entry


def _refuse_known(reference: str) -> None:
    if Paper.objects.filter(reference=reference).exists():
        raise FileProblems([
            Problem(
                FORM, "key papers[0].reference",
                f"{shown(reference)} is in the register already",
                "References are unique: open that paper and add a version to it, or correct the number.",
            )
        ])  # fmt: skip
