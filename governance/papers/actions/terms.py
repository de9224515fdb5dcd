"""What a version says of the use of material, saved as one reading: the whole of it or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from accessions.people.access import Verb, check
from governance.papers.actions.checking import checked
from governance.papers.actions.locking import ChangedMeanwhileError
from governance.papers.actions.storing_uses import change_uses
from governance.papers.columns import Object, version_columns
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.terms_on_pages import terms_object, terms_stamp
from governance.papers.restriction import check_readable
from governance.papers.terms_of_use import KEY
from governance.papers.use_columns import UseColumns

FORM = "form"
"""Name of the file in problems of what was typed."""


def save_terms(*, version: PaperVersion, data: Object, by: Any, why: str, seen: str | None = None) -> int:
    """Save what a version says of each use; how many rows were written. Verdicts do not rest on it.

    Args:
        data: a value of ``terms_of_use`` of the exchange file; a use that is not in it counts as not read.
        seen: the stamp of what the writer saw; None skips the comparison.

    Raises:
        NotAllowedError: ``by`` may not register papers, or not read this one.
        FileProblems: what was typed does not hold; with every problem at once.
        ChangedMeanwhileError: somebody else saved terms of this version after ``seen`` was taken.
    """
    check(by, Verb.REGISTER_PAPERS)
    with transaction.atomic():
        paper = Paper.objects.select_for_update().get(pk=version.paper_id)
        check_readable(paper, by)
        told = _checked(paper, data)
        standing = PaperVersion.objects.filter(pk=version.pk, paper=paper).first()
        if standing is None or (seen is not None and terms_stamp(terms_object(standing)) != seen):
            raise ChangedMeanwhileError
        return change_uses(standing, told, by=by, why=why)


def _checked(paper: Paper, data: Object) -> UseColumns:
    """Read as a papers file is read: as the terms of a version of this paper, whose other lines do not matter here."""
    layers = [layer.code for layer in paper.layer_list]
    value: Mapping[str, Any] = {
        "reference": paper.reference, "kind": paper.kind, "layers": layers, "versions": [{KEY: dict(data)}],
    }  # fmt: skip
    (entry,) = checked([value], FORM).entries
    (version,) = version_columns(entry)
    if version.uses is None:
        raise ValueError("terms without uses: the schema asks for them")
    return version.uses
