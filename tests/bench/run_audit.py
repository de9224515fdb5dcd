"""How long the past of a large register takes: 1,000,000 specimens, 2,000,000 rows of history.

    python -m tests.bench.run_audit --database audit.sqlite3
    python -m tests.bench.run_audit --specimens 10000 --database small.sqlite3

An empty database is filled first (``audit_register``); one that is there is used as it is.
"""

from __future__ import annotations

import argparse
import os
import secrets
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import django


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    is_new = not path.exists()
    django.setup()
    if is_new:
        _fill(options.specimens)
    print("| as known | what is read | first s | CPU s | again s |\n|---|---|---|---|---|")
    for back in options.days:
        for line in _asked(back):
            print(line, flush=True)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--database", default="audit.sqlite3")
    parser.add_argument("--days", type=int, nargs="*", default=[1, 30, 365], help="days before the last change")
    return parser.parse_args()


def _fill(specimens: int) -> None:
    from django.core.management import call_command

    from tests.bench.audit_register import build_past

    call_command("migrate", verbosity=0)
    start = time.perf_counter()
    build_past(specimens, lambda what: print(f"{time.perf_counter() - start:7.1f} s  {what}", flush=True))


def _subjects() -> dict[str, Callable[[], object]]:
    """Each reads other tables than those before it, so its first time is that of putting them in place."""
    from accessions.material.models import Determination, Specimen
    from governance.papers.models import Paper, PaperLink
    from governance.verdicts.models import Result, Standing

    worst = Standing.objects.order_by("-worst", "catalog_number", "pk")
    return {
        "papers and links": lambda: (Paper.objects.count(), PaperLink.objects.filter(unlinked_at=None).count()),
        "count of all that stands": Standing.objects.count,
        "first page, worst first": lambda: list(worst.values_list("pk")[:50]),
        "fifty specimens with their names and events": lambda: list(
            Specimen.objects.filter(pk__in=range(1000, 1050)).order_by("pk").select_related("name", "event")
        ),
        "their determinations": lambda: list(Determination.objects.filter(specimen__in=range(1000, 1050)).order_by()),
        "results of one specimen": lambda: list(Result.objects.filter(specimen=720, run__state="done").order_by("-pk")),
    }  # fmt: skip


def _asked(back: int) -> Iterator[str]:
    from governance.audit.clocks import as_known, moment_of
    from tests.bench.audit_register import day_before

    day = day_before(back)
    with as_known(moment_of(day)):
        for name, subject in _subjects().items():
            start, cpu = time.perf_counter(), time.process_time()
            subject()
            first, spent, again = time.perf_counter() - start, time.process_time() - cpu, time.perf_counter()
            subject()
            yield f"| {day} | {name} | {first:.2f} | {spent:.2f} | {time.perf_counter() - again:.3f} |"


if __name__ == "__main__":
    main()
