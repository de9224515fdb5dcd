"""What is measured on a register: the peer, a first and a second full assessment, and one changed paper."""

from __future__ import annotations

import time
from datetime import timedelta
from itertools import chain
from typing import Any

import numpy as np
from django.db import connection, transaction

from accessions.material.models import Accession
from accessions.material.touches import Scope, touch
from governance.papers.models import PaperVersion
from governance.verdicts.actions import assess, take_up
from governance.verdicts.check import no_step
from tests.bench.register_world import ACCESSIONS

_PEER = "bench_peer"


def peer(step: Any) -> str:
    """Read the keys, append a row for each specimen to a bare table of three numbers."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE IF EXISTS {_PEER}")
        cursor.execute(f"CREATE TABLE {_PEER} (run_id bigint, specimen_id bigint, verdict bigint)")
        cursor.execute("SELECT id, accession_id, delivery_id, event_id, name_id FROM material_specimen")
        rows = np.fromiter(chain.from_iterable(iter(cursor)), np.int64).reshape(-1, 5)
    for first in range(0, len(rows), 20_000):
        block = [(1, key, 0) for key in rows[first : first + 20_000, 0].tolist()]
        with transaction.atomic(), connection.cursor() as cursor:
            if connection.vendor == "postgresql":
                with cursor.copy(f"COPY {_PEER} FROM STDIN") as copy:
                    for row in block:
                        copy.write_row(row)
            else:
                cursor.executemany(f"INSERT INTO {_PEER} VALUES (%s, %s, %s)", block)
    return "cursor, append three numbers a specimen"


def first(step: Any) -> str:
    run = assess(by=None, why="bench", step=step or no_step)
    return f"first assessment: {run.judged:,} judged, {run.changed:,} written"


def again(step: Any) -> str:
    run = assess(by=None, why="bench", step=step or no_step)
    return f"all judged again: {run.judged:,} judged, {run.changed:,} written"


def paper(step: Any, number: int = 0) -> str:
    """One permit, linked to one accession, ends some weeks earlier."""
    version = PaperVersion.objects.order_by("pk")[ACCESSIONS // 2 + 1 + 2 * number]
    version.in_force_to -= timedelta(days=40)
    version.save()
    touch(Scope.PAPER, [version.paper_id], by=None, why="bench")
    run = take_up(by=None, step=step or no_step)
    assert run is not None
    accessions = Accession.objects.count()
    return f"one paper changed: {run.judged:,} judged, {run.changed:,} written, {accessions} accessions"


def warm(step: Any) -> str:
    """The second of two changed papers in one process, as on a server that has been up for a while: its own time."""
    paper(None, number=1)
    start = time.process_time()
    said = paper(step, number=2)
    return f"{said}; {time.process_time() - start:.2f} CPU s for the second"
