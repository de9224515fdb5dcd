"""The register read as of one moment, though others go on writing: tables of a report agree with each other."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

from django.db import connection, connections, transaction

from governance.reports.actions.work import Progress


@contextmanager
def of_one_moment(tell: Progress) -> Iterator[Progress]:
    """Reads within it are of one snapshot on PostgreSQL; within a transaction that is open already they are as there.

    Yields what tells of each step: it writes beside the snapshot, on a connection of its own, so that others see it at
    once and the report is not locked meanwhile. On SQLite nothing is held: a transaction would keep all others from
    writing.
    """
    if connection.vendor != "postgresql" or connection.in_atomic_block:
        yield tell
        return
    with ThreadPoolExecutor(max_workers=1) as beside:
        try:
            with transaction.atomic():
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
                yield lambda *step: beside.submit(tell, *step).result()
        finally:
            beside.submit(connections.close_all).result()
