"""Specimens removed from the register that were entered by mistake and with which nothing was done.

Who changes what at the same moment is told by the database: a key of the specimen that is written meanwhile makes the
one or the other fail, and never hangs in the air.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Final

from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.material.bonds import InTheWay, Keys, LetGoError, let_go
from accessions.material.models import Determination, PoolMember, Removal, Specimen
from accessions.material.queries.removing import in_the_way
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.announcing import announce
from accessions.people.bulk import among, insert, remove_rows, reserve_keys
from accessions.people.history import WHY_LENGTH

FEW: Final = 500
"""Up to so many specimens are marked one by one; more by their accessions."""

_COLUMNS: Final = ("specimen", "catalog_number", "accession_id", "intake", "why", "removed_at", "removed_by_id")


class RemovalError(ValueError):
    """Specimens cannot be removed. Its text is for people; in_the_way: all that was done with them."""

    def __init__(self, words: str, found: Sequence[InTheWay] = ()) -> None:
        super().__init__(words)
        self.in_the_way = tuple(found)


def remove_specimen(specimen: Specimen, *, by: Any, why: str) -> Removal:
    """Remove one specimen, with its determinations and the verdict that lists show; all histories stay, and so do the
    results of assessments, which are sealed.

    Raises:
        NotAllowedError: the person may not.
        RemovalError: no reason is given, something was done with it, or it is gone already.
    """
    check(by, Verb.REMOVE_SPECIMENS)
    with refusing_what_came_between(), transaction.atomic():
        take_out([specimen.pk], by=by, why=why)
    return Removal.objects.get(specimen=specimen.pk)


@contextmanager
def refusing_what_came_between() -> Iterator[None]:
    """A key that somebody wrote at the same moment is found by the database at the commit: said in words for people."""
    try:
        yield
    except IntegrityError as error:
        words = _("Something else was recorded at the same moment. Nothing was removed: look at it again.")
        raise RemovalError(words) from error


def take_out(
    keys: Collection[int], *, by: Any, why: str, intake: int | None = None,
    also: Callable[[Keys], Iterable[InTheWay]] = lambda keys: (),
) -> int:  # fmt: skip
    """Remove specimens together, inside the transaction of an action that has asked for the right; how many went.

    Args:
        intake: key of the file with which they are taken back.
        also: what else stands in the way.

    Raises:
        RemovalError: no reason is given, something was done with one of them, or one is gone already.
    """
    if not why.strip():
        raise RemovalError(_("Give the reason."))
    rows = _held(keys)
    if found := [*also(keys), *in_the_way(keys)]:
        raise RemovalError(_("Something was done since. Nothing was removed."), found)
    _keep(rows, by=by, why=why, intake=intake)
    try:
        let_go(keys, by=by, why=why)
    except LetGoError as error:
        raise RemovalError(str(error)) from error
    remove_rows(PoolMember, "pool", keys, by=by, why=why)
    remove_rows(Determination, "specimen", keys, by=by, why=why)
    gone = remove_rows(Specimen, "pk", keys, by=by, why=why)
    _leave_marks(rows, by=by, why=why)
    return gone


_Row = tuple[int, str, int]


def _held(keys: Collection[int]) -> list[_Row]:
    """Key, number and accession of each, locked in the order of keys: nobody hangs something on them meanwhile."""
    locked = Specimen.objects.select_for_update().filter(among("pk", keys)).order_by("pk")
    rows = list(locked.values_list("pk", "catalog_number", "accession_id"))
    if len(rows) < len(set(keys)) or not rows:
        raise RemovalError(_("A specimen is no longer in the register. Nothing was removed: look at it again."))
    return rows


def _keep(rows: Sequence[_Row], *, by: Any, why: str, intake: int | None) -> None:
    """That they were removed, for whoever looks for the number."""
    at = connection.ops.adapt_datetimefield_value(timezone.now())  # as the driver of either database takes it
    keys = reserve_keys(Removal, len(rows))
    insert(Removal, _COLUMNS, ((*row, intake, why[:WHY_LENGTH], at, by.pk) for row in rows), keys, by=by, why=why)
    announce(Removal, keys, by=by)


def _leave_marks(rows: Sequence[_Row], *, by: Any, why: str) -> None:
    """What was counted together with them is judged again: by their keys, or else their accessions, all that ever met
    them is found in their history."""
    if len(rows) <= FEW:
        touch(Scope.SPECIMEN, [key for key, _number, _accession in rows], by=by, why=why)
    else:
        touch(Scope.ACCESSION, sorted({accession for _key, _number, accession in rows}), by=by, why=why)
