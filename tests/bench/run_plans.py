"""How long the check of a field plan takes: 60 stops, 25 people, 40 papers, 720 rows; and a plain script beside it.

    python -m tests.bench.run_plans --database plans.sqlite3

An empty database is filled first; one that is there is used as it is. The check is timed warm, with all it reads from
the database; the script (peer D) gets its rows and papers ready-made. What is told is how the one compares with the
other in the same run: seconds depend on the machine.
"""

from __future__ import annotations

import argparse
import os
import secrets
import statistics
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import django

TIMES = 3


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    is_new = not path.exists()
    django.setup()
    from governance.plans.models import FieldPlan

    if is_new:
        from django.core.management import call_command

        from tests.bench.plan_world import fill

        call_command("migrate", verbosity=0)
        fill(options.stops, options.papers)
    ours, peers = subjects(FieldPlan.objects.get())
    print("| subject | p50 ms | CPU p50 ms |\n|---|---|---|")
    times = {name: _timed(work) for name, work in (("check of a plan", ours), ("peer D, row by row", peers))}
    for name, (wall, processor) in times.items():
        print(f"| {name} | {wall * 1000:.0f} | {processor * 1000:.0f} |")
    (_, own), (_, other) = times.values()
    print(f"the check takes {own / other:.2f} of the script's processor time")


def subjects(plan: Any) -> tuple[Callable[[], Any], Callable[[], Any]]:
    """The check, and the script with its rows and papers ready."""
    from governance.papers.models import Paper
    from governance.papers.queries import exchange_objects
    from governance.plans.queries.check import check_plan
    from tests.bench import peer_d_plan_rows

    today = date(2026, 11, 26)
    rows = [row.cells() for row in check_plan(plan, today=today).rows]
    papers = exchange_objects(list(Paper.objects.order_by("pk")), with_links=False)
    return (lambda: check_plan(plan, today=today)), (lambda: peer_d_plan_rows.covered(rows, papers))


def _timed(work: Callable[[], Any]) -> tuple[float, float]:
    """The middle of some times: on the clock, and of the processor."""
    walls, processors = [], []
    for _ in range(TIMES):
        wall, processor = time.perf_counter(), time.process_time()
        work()
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    return statistics.median(walls), statistics.median(processors)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--stops", type=int, default=60)
    parser.add_argument("--papers", type=int, default=40)
    parser.add_argument("--database", required=True)
    return parser.parse_args()


if __name__ == "__main__":
    main()
