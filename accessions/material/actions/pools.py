"""Pooled samples: one specimen made from several. What bears on any member bears on the pool."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.material.actions.specimens import enter_specimen
from accessions.material.models import PoolMember, Specimen
from accessions.material.statements import written_event, written_name
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.bulk import insert, reserve_keys

MOST: Final = 5_000
"""Members of one pool."""


def make_pool(members: Sequence[int], *, catalog_number: str, preparation: str = "", remarks: str = "", by: Any,
              why: str) -> Specimen:  # fmt: skip
    """Enter a pooled sample and of which specimens it was made.

    It belongs to the accession of the first member. Of event and name it states what all members share; what differs
    stays blank, since it is not one of them: papers reach it through its members.

    Args:
        members: keys of specimens, each once.

    Raises:
        ValidationError: fewer than two members, or the number is taken; by field.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        rows = _locked(members)
        pool = enter_specimen(
            rows[0].accession, _shared([written_event(row.event) for row in rows]),
            _shared([written_name(row.name) for row in rows]), catalog_number=catalog_number,
            preparation=preparation or "pool", kind=Specimen.Kind.LOT, remarks=remarks, by=by, why=why,
        )  # fmt: skip
        keys = reserve_keys(PoolMember, len(rows))
        insert(PoolMember, ("pool_id", "member_id"), [(pool.pk, row.pk) for row in rows], keys, by=by, why=why)
        touch(Scope.SPECIMEN, [pool.pk], by=by, why=why)
    return pool


def _locked(members: Sequence[int]) -> list[Specimen]:
    """The members in the order given, held until the transaction ends."""
    if len(set(members)) < 2:
        raise ValidationError({"numbers": _("A pool is made from at least two specimens.")})
    if len(members) > MOST:
        raise ValidationError({"numbers": _("A pool has at most %(most)d members.") % {"most": MOST}})
    rows = Specimen.objects.select_for_update(of=("self",)).select_related("accession", "event", "name").order_by("pk")
    found = rows.in_bulk(list(members))
    missing = [key for key in members if key not in found]
    if missing:
        raise ValidationError({"numbers": _("A specimen of the list is no longer in the register. Choose again.")})
    return [found[key] for key in dict.fromkeys(members)]


def _shared(written: Sequence[Mapping[str, str]]) -> dict[str, str]:
    """What all say alike, term by term."""
    first = written[0]
    return {term: text if all(one[term] == text for one in written) else "" for term, text in first.items()}
