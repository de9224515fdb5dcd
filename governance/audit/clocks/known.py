"""The one place through which the past of the register is asked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.past import reading_at
from governance.audit.clocks.errors import AsKnownError
from governance.audit.clocks.guard import guarded, is_guarded
from governance.audit.clocks.moments import check_known
from governance.audit.clocks.shadows import Shadows


@contextmanager
def as_known(moment: datetime | None) -> Iterator[None]:
    """Within it every read of a table of the register gives the rows as they were known at the moment; None, or a
    moment that is still to come: now.

    All within is one look at the register: what others write meanwhile is not seen, and nobody waits for it. What is
    put in place is rolled back at the end, whatever happened.

    Raises:
        AsKnownError: the moment lies before the first record, something is written within, or the past is asked
            already.
    """
    if moment is None or moment >= timezone.now():
        yield
        return
    if is_guarded():
        raise AsKnownError(_("The register of one moment is asked already; ask about the other one afterwards."))
    with _one_look():
        check_known(moment)
        with guarded(Shadows(moment)), reading_at(moment):
            yield


@contextmanager
def _one_look() -> Iterator[None]:
    """A transaction that reads: no lock on SQLite, one state of all tables on PostgreSQL. Always rolled back."""
    connection.ensure_connection()  # which sets the mode of transactions from the settings
    is_outermost, mode = not connection.in_atomic_block, getattr(connection, "transaction_mode", None)
    own: Any = connection
    own.transaction_mode = None  # SQLite: a transaction takes the lock at its first write, and this one writes nothing
    try:
        with transaction.atomic(), _plain_groups():
            own.transaction_mode = mode
            if is_outermost and connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            try:
                yield
            finally:
                transaction.set_rollback(True)
    finally:
        own.transaction_mode = mode


@contextmanager
def _plain_groups() -> Iterator[None]:
    """PostgreSQL lets a query group by the key of a table alone, but not by that of a view."""
    features: Any = connection.features
    if connection.vendor != "postgresql":
        yield
        return
    features.allows_group_by_selected_pks = False
    try:
        yield
    finally:
        del features.allows_group_by_selected_pks
