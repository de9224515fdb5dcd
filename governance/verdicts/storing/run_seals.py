"""Results of a run as the seal knows them: as one set, since a run may have a million.

results: SHA-256 over a line a result, in the order of the specimens: keys of specimen, digest of the ruling, keys of
event and name, ``7 0c1d... 12 40``. contents: SHA-256 over the sealed text of each outcome, its papers and findings, of
each ruling and its layers that are new since the run before, table by table in the order of their keys.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any, Final

from django.db import connection, transaction

from accessions.people.seal_shapes import Shape, rows_after, writer_of
from governance.verdicts.models import RunSeal

_ROWS_AT_ONCE: Final = 5_000

CONTENTS: Final = (
    Shape("verdicts_outcome", "id", (("digest", "text"), ("layer", "whole"), ("verdict", "whole")), False),
    Shape(
        "verdicts_outcomepaper", "id",
        (("outcome_id", "whole"), ("paper_id", "whole"), ("position", "whole"), ("reference", "text"),
         ("versions", "json")), False,
    ),
    Shape(
        "verdicts_outcomefinding", "id",
        (("against", "real"), ("code", "text"), ("measure", "real"), ("outcome_id", "whole"), ("position", "whole"),
         ("sentence", "text"), ("unit", "text")), False,
    ),
    Shape("verdicts_ruling", "id", (("digest", "text"), ("strip", "text"), ("worst", "whole")), False),
    Shape(
        "verdicts_rulinglayer", "id", (("layer", "whole"), ("outcome_id", "whole"), ("ruling_id", "whole")), False
    ),
)  # fmt: skip
"""The tables of outcomes and rulings and what is sealed of them. Never changed: what is sealed is checked by it."""

_RESULTS = (
    "SELECT x.specimen_id, r.digest, x.event_id, x.name_id FROM verdicts_result x "
    "LEFT JOIN verdicts_ruling r ON r.id = x.ruling_id WHERE x.run_id = %s ORDER BY x.specimen_id"
)


def keep_run_seal(run: int) -> None:
    """Once the results of a run stand. What is not kept because the register stops here is found and sealed late."""
    with transaction.atomic():
        if not RunSeal.objects.filter(run=run).exists():
            count, results = digest_of_results(run)
            until = last_keys()
            contents = digest_of_contents(contents_before(run), until)
            RunSeal.objects.create(
                run_id=run, results=count, results_sha256=results, contents_to=until, contents_sha256=contents
            )


def digest_of_results(run: int) -> tuple[int, str]:
    """How many results a run has, and the hash over them."""
    digest, count = hashlib.sha256(), 0
    with connection.chunked_cursor() as cursor:
        cursor.execute(_RESULTS, [run])
        rows = iter(cursor)
        while some := list(islice(rows, _ROWS_AT_ONCE)):
            count += len(some)
            digest.update("".join(f"{one} {ruling} {event} {name}\n" for one, ruling, event, name in some).encode())
    return count, digest.hexdigest()


def last_keys() -> dict[str, int]:
    """The last key of each table of contents as it is now."""
    with connection.cursor() as cursor:
        found = {}
        for shape in CONTENTS:
            cursor.execute(f"SELECT max(id) FROM {shape.table}")
            found[shape.table] = cursor.fetchone()[0] or 0
        return found


def contents_before(run: int) -> Mapping[str, int]:
    """The last keys that seals of earlier runs cover."""
    before: Any = RunSeal.objects.filter(run__lt=run).order_by("-run_id").values_list("contents_to", flat=True).first()
    return before or {}


def digest_of_contents(after: Mapping[str, int], until: Mapping[str, int]) -> str:
    """The hash over the rows with keys above the first and up to the second."""
    digest = hashlib.sha256()
    for shape in CONTENTS:
        written = writer_of(shape)
        for key, cells in _rows(shape, after.get(shape.table, 0), until.get(shape.table, 0)):
            digest.update(written(key, cells))
    return digest.hexdigest()


def _rows(shape: Shape, after: int, until: int) -> Iterator[tuple[int, tuple[Any, ...]]]:
    while some := rows_after(shape, after, until, _ROWS_AT_ONCE):
        yield from some
        after = some[-1][0]
