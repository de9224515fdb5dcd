"""Asking for an assessment: a mark is left, and taken up at once or in the background like that of any change."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from accessions.material.models import Accession
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check


def ask_for_assessment(*, by: Any, why: str, accession: Accession | None = None) -> None:
    """Ask that all specimens, or those of an accession, be judged anew.

    Raises:
        NotAllowedError: the person may not ask for an assessment.
    """
    check(by, Verb.ASSESS)
    with transaction.atomic():
        if accession is None:
            touch(Scope.ALL, by=by, why=why)
        else:
            touch(Scope.ACCESSION, [accession.pk], by=by, why=why)
