"""A papers file taken into the register: all of it or nothing."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from governance.papers.actions.checking import checked_value
from governance.papers.actions.linking import Targets, add_links, create_links, end_links, new_links
from governance.papers.actions.storing import store_changes, store_new
from governance.papers.json_text import read_json
from governance.papers.models import Paper, ReceivedFile
from governance.papers.queries.import_plan import ImportPlan, PaperPlan, plan_import
from governance.papers.queries.links import Links, standing

Answer = Literal["ask", "take", "keep"]
UnknownAnswer = Literal["ask", "leave-out"]
_BATCH_ROWS = 5000


@dataclass(frozen=True)
class ImportOutcome:
    """What was done with a papers file.

    is_saved: False if an answer is missing: then nothing was written, and ``changed`` (papers that differ from the
    register and were not answered for) or ``plan.unknown`` (links to what the register does not have) say what about.
    """

    plan: ImportPlan
    is_saved: bool
    added: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    unanswered: tuple[str, ...] = ()


def preview_import(data: bytes, file: str, *, by: Any) -> ImportPlan:
    """What the file would change.

    Raises:
        FileProblems: with every problem of the file.
    """
    check(by, Verb.REGISTER_PAPERS)
    read = checked_value(read_json(data, file), file)
    return plan_import(read.entries, file, read.warnings, by)


def import_papers(
    data: bytes, file: str, *, by: Any, why: str, on_change: Answer = "ask", on_unknown: UnknownAnswer = "ask",
    answers: Mapping[str, Answer] | None = None,
) -> ImportOutcome:  # fmt: skip
    """Take the papers of a file (JSON, VERDICTS section 8) into the register, in one transaction.

    The same file twice changes nothing. A paper that is in the register and differs is taken only on an answer. A link
    to an accession, part, site, event or specimen that the register does not have is never dropped in silence: it would
    later read as a gap in the papers. It is left out on an answer, and comes with the same file once the register has
    what it names.

    Args:
        on_change: for papers that differ: ``take`` what the file says, ``keep`` what stands, or ``ask``.
        on_unknown: for links to what is not there: ``leave-out``, or ``ask``.
        answers: ``take`` or ``keep`` by reference, for single papers; they go before ``on_change``.

    Raises:
        FileProblems: with every problem of the file at once; nothing is saved.
    """
    check(by, Verb.REGISTER_PAPERS)
    check(by, Verb.LINK_PAPERS)
    read = checked_value(read_json(data, file), file)
    with transaction.atomic():
        plan = plan_import(read.entries, file, read.warnings, by)
        answered = {p.reference: (answers or {}).get(p.reference, on_change) for p in plan.changed}
        unanswered = tuple(reference for reference, answer in answered.items() if answer == "ask")
        if unanswered or (plan.unknown and on_unknown == "ask"):
            return ImportOutcome(plan, False, unanswered=unanswered)
        taken = [p for p in plan.changed if answered[p.reference] == "take"]
        _save(plan.new, taken, by=by, why=why)
    kept = (*(reference for reference, answer in answered.items() if answer == "keep"), *plan.restricted)
    return ImportOutcome(
        plan, True, tuple(p.reference for p in plan.new), tuple(p.reference for p in taken), kept
    )  # fmt: skip


def receive_file(data: bytes, file: str, *, by: Any) -> ReceivedFile:
    """Keep a file that can be read, so that a person can look at what it would change before taking it.

    Raises:
        FileProblems: with every problem of the file; it is not kept.
    """
    check(by, Verb.REGISTER_PAPERS)
    checked_value(read_json(data, file), file)
    return ReceivedFile.objects.create(
        file_name=file[-255:], data=data, sha256=hashlib.sha256(data).hexdigest(), received_by=by
    )


def take_file(
    received: ReceivedFile, *, by: Any, why: str, on_unknown: UnknownAnswer = "ask",
    answers: Mapping[str, Answer] | None = None,
) -> ImportOutcome:  # fmt: skip
    """``import_papers`` for a kept file, and what came of it written beside the file in the same transaction."""
    with transaction.atomic():
        outcome = import_papers(
            bytes(received.data), received.file_name, by=by, why=why, on_unknown=on_unknown, answers=answers
        )
        if outcome.is_saved:
            received.taken_at, received.taken_by = timezone.now(), by
            received.summary = {
                "added": list(outcome.added), "taken": list(outcome.taken), "kept": list(outcome.kept),
                "left out": [[lost.reference, lost.kind, list(lost.names)] for lost in outcome.plan.unknown],
            }  # fmt: skip
            received.save(update_fields=["taken_at", "taken_by", "summary"])
    return outcome


def _save(new: list[PaperPlan], taken: list[PaperPlan], *, by: Any, why: str) -> None:
    papers = store_new([plan.value for plan in new], by=by, why=why)
    links = [
        link
        for paper, plan in zip(papers, new, strict=True)
        for link in new_links(paper, _targets(plan.links), Links(), by=by, why=why)
    ]
    create_links(links, by=by)
    for plan in taken:
        if plan.standing is not None:
            store_changes(plan.standing, plan.value, by=by, why=why)
            end_links(plan.standing, _keys(plan.standing, plan.gone), by=by, why=why)
            add_links(plan.standing, _targets(plan.links), by=by, why=why)
            papers.append(plan.standing)
    touch(Scope.PAPER, [paper.pk for paper in papers], by=by, why=why)


def _targets(links: Links) -> Targets:
    return Targets(links.all_accessions, links.accessions, links.parts, links.sites, links.events, links.specimens)


def _keys(paper: Paper, gone: Links) -> list[int]:
    """Links of the paper to what is in ``gone``."""
    wanted = (
        Q(accession__in=gone.accessions) | Q(part__in=gone.parts) | Q(site__in=gone.sites)
        | Q(event__in=gone.events) | Q(specimen__in=gone.specimens)
    )  # fmt: skip
    if gone.all_accessions:
        wanted |= Q(all_accessions=True)
    return list(standing(paper.links.all()).filter(wanted).values_list("pk", flat=True))
