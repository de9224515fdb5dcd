"""How long the desk takes to answer 10,000 specimens from 300 papers, and one specimen, over a large register.

    python -m tests.bench.run_desk --specimens 1000000 --database desk.sqlite3

An empty database is filled first (``lists_register``, then ``desk_register``); one that is there is used as it is. Each
subject runs as often as ``--turns`` says, in turns with its peer, so that a busy machine is as busy for both.
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
    request = _request(options.asked)
    print("| subject | least s | p50 s | p95 s | CPU p50 s |\n|---|---|---|---|---|")
    for name, times in _measured(_subjects(request), options.turns).items():
        print(_line(name, times), flush=True)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--asked", type=int, default=10_000)
    parser.add_argument("--database", default="desk.sqlite3")
    parser.add_argument("--turns", type=int, default=5)
    return parser.parse_args()


def _fill(specimens: int) -> None:
    from django.core.management import call_command

    from tests.bench.lists_register import build

    call_command("migrate", verbosity=0)
    start = time.perf_counter()
    build(specimens, lambda what: print(f"{time.perf_counter() - start:7.1f} s  {what}", flush=True))


def _request(asked: int) -> Any:
    from governance.usedesk.models import UseRequest
    from tests.bench.desk_register import fill_desk

    return UseRequest.objects.filter(reference=f"BENCH-{asked}").first() or fill_desk(asked)


def _subjects(request: Any) -> dict[str, Callable[[int], object]]:
    """Each takes the number of the turn, so that single specimens differ from turn to turn."""
    from django.test import Client

    from accessions.people.models import User
    from governance.usedesk.queries.answering import Facts, desk_answer, one_answer
    from tests.bench import peer_e_desk

    facts, ids = Facts.of(request), list(request.items.order_by("pk").values_list("specimen_id", flat=True))
    client = Client(SERVER_NAME="localhost")
    client.force_login(User.objects.get(username="desk-bench"))
    return {
        "answer, whole request": lambda turn: desk_answer(request),
        "answer with its groups and their words": lambda turn: desk_answer(request).blocks,
        "peer E, specimen by specimen": lambda turn: peer_e_desk.answer(request),
        "the page of the request": lambda turn: client.get(f"/desk/requests/{request.pk}/").content,
        **{
            f"one specimen, {n}": lambda turn, n=n: one_answer(facts, ids[(turn * 37 + n * 1009) % len(ids)], ids)
            for n in range(20)
        },
    }  # type: ignore[dict-item]


def _measured(subjects: dict[str, Callable[[int], object]], turns: int) -> dict[str, list[tuple[float, float]]]:
    """Seconds on the clock and of the processor; the first turn warms up and does not count. All single specimens are
    one subject."""
    found: dict[str, list[tuple[float, float]]] = {}
    for turn in range(turns + 1):
        for name, subject in subjects.items():
            start, cpu = time.perf_counter(), time.process_time()
            subject(turn)
            if turn:
                spent = time.perf_counter() - start, time.process_time() - cpu
                found.setdefault(name.split(", ")[0] if name.startswith("one specimen") else name, []).append(spent)
    return found


def _line(name: str, times: list[tuple[float, float]]) -> str:
    clock, cpu = sorted(one for one, _ in times), [one for _, one in times]
    p95 = clock[min(len(clock) - 1, round(0.95 * (len(clock) - 1)))]
    return f"| {name} | {clock[0]:.3f} | {statistics.median(clock):.3f} | {p95:.3f} | {statistics.median(cpu):.3f} |"


if __name__ == "__main__":
    main()
