"""Many specimens at once: into a part, or out of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django.db import transaction

from accessions.material.models import Accession, Part, Specimen
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.bulk import update

MOST_SINGLE_TOUCHES: Final = 500
"""Above this, the whole accession is marked instead of every specimen."""


class OtherAccessionError(ValueError):
    """The part or a specimen is of another accession."""


def move_to_part(accession: Accession, part: Part | None, specimens: Sequence[int], *, by: Any, why: str) -> int:
    """Move specimens of an accession into one of its parts, or into none of them.

    Args:
        specimens: primary keys.

    Returns:
        how many moved; those that were there already stay and are not counted.

    Raises:
        OtherAccessionError: the part or a specimen is of another accession.
    """
    check(by, Verb.LINK_PAPERS)  # papers are linked to parts: a move changes which of them speak for a specimen
    if part is not None and part.accession_id != accession.pk:
        raise OtherAccessionError(f"part {part.pk} is not of accession {accession.pk}")
    with transaction.atomic():
        present = dict(Specimen.objects.filter(accession=accession).values_list("pk", "part_id").order_by())
        if not set(specimens) <= present.keys():
            raise OtherAccessionError(f"not all specimens are of accession {accession.pk}")
        target = part.pk if part else None
        moving = sorted({pk for pk in specimens if present[pk] != target})
        update(Specimen, ("part_id",), [(target,)] * len(moving), moving, by=by, why=why)
        _mark(accession, moving, by=by, why=why)
    return len(moving)


def _mark(accession: Accession, specimens: Sequence[int], *, by: Any, why: str) -> None:
    if len(specimens) > MOST_SINGLE_TOUCHES:
        touch(Scope.ACCESSION, [accession.pk], by=by, why=why)
    else:
        touch(Scope.SPECIMEN, specimens, by=by, why=why)
