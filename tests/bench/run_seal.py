"""What the seal costs: 25,000 changes sealed after one commit, and a check of a long chain.

    python -m tests.bench.run_seal --changes 1000000 --database seal.sqlite3

Fills an empty SQLite database with a history of specimens (26 columns a row), seals it commit by commit, and checks it.
"CPU" is what the process itself spent: where it is far below the time on the clock, the machine was busy otherwise.
"""

from __future__ import annotations

import argparse
import os
import secrets
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import django

from tests.bench.measure import peak_mib

AT_ONCE = 25_000
"""Changes of one commit: a file of specimens as the intake takes it."""


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    path.unlink(missing_ok=True)
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    django.setup()
    _migrate()
    costs = [_timed(lambda: _commit(AT_ONCE)) for _ in range(max(1, options.changes // AT_ONCE))]
    sealing = [cpu for _wall, cpu in costs]
    print(f"sealing {AT_ONCE:,} changes: {statistics.median(sealing):.2f} s CPU (median of {len(sealing)})")
    wall, cpu = _timed(_check)
    print(f"checking all: {cpu:.1f} s CPU, {wall:.1f} s on the clock, {peak_mib():.0f} MiB at most")


def _options() -> Any:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--changes", type=int, default=100_000)
    parser.add_argument("--database", required=True, help="an SQLite file; what is in it goes")
    return parser.parse_args()


def _timed(work: Callable[[], object]) -> tuple[float, float]:
    wall, cpu = time.monotonic(), time.process_time()
    work()
    return time.monotonic() - wall, time.process_time() - cpu


def _migrate() -> None:
    from django.core.management import call_command
    from django.db import transaction

    from tests.factories import register

    call_command("migrate", verbosity=0)
    with transaction.atomic():
        register.specimen("LMN-1")


def _commit(rows: int) -> None:
    """More rows of the history, as a writer past the models makes and announces them; only sealing them is slow."""
    from django.db import connection, transaction

    from accessions.material.models import Specimen
    from accessions.people.announcing import announce

    history = Specimen.history.model  # type: ignore[attr-defined]
    columns = ", ".join(f"h.{field.column}" for field in history._meta.concrete_fields if not field.primary_key)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {history._meta.db_table} ({columns.replace('h.', '')}) "
            f"WITH RECURSIVE counted(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM counted WHERE n < {rows:d}) "
            f"SELECT {columns} FROM (SELECT * FROM {history._meta.db_table} LIMIT 1) h, counted"
        )
        last = history.objects.order_by("-pk").values_list("pk", flat=True).first()
        announce(history, range(last - rows + 1, last + 1))


def _check() -> None:
    from governance.audit.queries.seal_checking import check_seal

    report = check_seal(with_files=False)
    print(f"{report.entries:,} entries; problems: {report.problems.count}")


if __name__ == "__main__":
    main()
