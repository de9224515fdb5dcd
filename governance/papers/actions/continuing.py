"""A paper that goes on under another number: recorded with its proof. It fills no day (record 4): no verdict moves."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from accessions.people.access import Verb, check
from accessions.people.history import record, remove
from governance.papers.models import Paper, PaperContinuation
from governance.papers.restriction import check_readable


def record_continuation(
    *, earlier: Paper, later: Paper, proof: str, evidence: str = "", by: Any, why: str
) -> PaperContinuation:
    """Record that the later paper continues the earlier one.

    Args:
        proof: one of ``PaperContinuation.Proof``.
        evidence: by what it is proven; needed for ``proven`` alone.

    Raises:
        NotAllowedError: the person may not register papers.
        RestrictedPaperError: the person may not read one of them.
        ValidationError: it is recorded already, a paper would continue itself, or the proof has no evidence.
    """
    check(by, Verb.REGISTER_PAPERS)
    for paper in (earlier, later):
        check_readable(paper, by)
    made = PaperContinuation(earlier=earlier, later=later, proof=proof, evidence=evidence.strip())
    with transaction.atomic():
        made.validate_constraints()
        record(made, by=by, why=why)
    return made


def change_continuation(
    *, continuation: PaperContinuation, proof: str, evidence: str = "", by: Any, why: str
) -> PaperContinuation:
    """Record what is known by now of the proof.

    Raises:
        NotAllowedError, RestrictedPaperError, ValidationError: as for ``record_continuation``.
    """
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        current = PaperContinuation.objects.select_for_update(of=("self",)).get(pk=continuation.pk)
        for paper in (current.earlier, current.later):
            check_readable(paper, by)
        current.proof, current.evidence = proof, evidence.strip()
        current.validate_constraints()
        record(current, by=by, why=why, fields=["proof", "evidence"])
    return current


def remove_continuation(*, continuation: PaperContinuation, by: Any, why: str) -> None:
    """Take off a continuation that was recorded by mistake; the history keeps it."""
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        for paper in (continuation.earlier, continuation.later):
            check_readable(paper, by)
        remove(continuation, by=by, why=why)
