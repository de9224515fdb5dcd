"""How long the search from the head of a page takes over a large register.

    python -m tests.bench.run_search --database search.sqlite3

An empty database is filled first (``lists_register``, then localities); one that is there is used as it is. Times are
those of the server, through Django's test client: middleware, queries, template, all but the network. "CPU" is what the
process itself spent: where it is far below the time on the clock, the machine was busy with something else.

The peer is what is written first where there is no index of beginnings: ``LIKE '%text%'`` over all catalogue numbers,
the number of hits and the first eight. It knows nothing of the other kinds.
"""

from __future__ import annotations

import argparse
import os
import secrets
import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import django

PLACES = ("brook", "bridge", "weir", "spring", "meadow", "Hällsjön", "Åsarp", "mire", "Río Verde", "quarry")
TIMES = 30


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
    from tests.bench.run_lists import _client

    client, rows = _client()
    peer = _measured(_peer, [f"{n * 1009 % rows:07d}"[:5] for n in range(TIMES)])
    print(
        "| what is typed | p50 ms | p95 ms | CPU p50 ms | CPU p95 ms | of the peer's CPU |\n|---|---|---|---|---|---|"
    )
    print(_line("peer, over catalogue numbers alone", peer, peer))
    for what, typed in _questions(rows).items():
        spent = _measured(lambda text: _asked(client, text), list(typed))
        print(_line(what, spent, peer), flush=True)
    suggested = _measured(lambda text: _asked(client, text, "suggest/"), [f"LMN-{1990 + n}" for n in range(TIMES)])
    print(_line("while typing, suggestions", suggested, peer))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--database", default="search.sqlite3")
    return parser.parse_args()


def _fill(specimens: int) -> None:
    from django.core.management import call_command
    from django.db import connection

    from tests.bench.lists_register import build

    call_command("migrate", verbosity=0)
    start = time.perf_counter()
    build(specimens, lambda what: print(f"{time.perf_counter() - start:7.1f} s  {what}", flush=True))
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM material_samplingevent")
        named = [(f"{PLACES[key % 10]} {key // 40}, {key % 7} km N of Hamlet{key % 997}", key) for (key,) in cursor]
        cursor.executemany("UPDATE material_samplingevent SET locality = %s WHERE id = %s", named)


def _questions(rows: int) -> dict[str, Iterator[str]]:
    times = range(TIMES)
    return {
        "a whole catalogue number, to the specimen": (f"LMN-FW-{n * 1009 % rows:07d}" for n in times),
        "beginning of catalogue numbers": (f"LMN-FW-{n:03d}" for n in times),
        "a whole accession number": (f"lmn {1990 + n % 36} {n:04d}" for n in times),
        "part of a paper's number, closed up": (f"col{1990 + n}" for n in times),
        "name of sites": (f"hale {n}" for n in times),
        "locality, many": (["hallsjon", "asarp", "rio verde"][n % 3] for n in times),
        "locality, few": (f"brook {n} hamlet{n}" for n in times),
        "higher taxon": (f"fam{n}idae" for n in times),
        "epithet": (f"sp{n}ea" for n in times),
        "words of titles": (f"journey {n}" for n in times),
        "words that nothing holds": (f"zzz{n}" for n in times),
    }


def _asked(client: Any, text: str, page: str = "") -> None:
    answer = client.get(f"/search/{page}", {"q": text})
    if answer.status_code not in (200, 302):
        raise SystemExit(f"{text} answered {answer.status_code}")


def _peer(text: str) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM material_specimen WHERE catalog_number LIKE %s", [f"%{text}%"])
        cursor.execute("SELECT id FROM material_specimen WHERE catalog_number LIKE %s LIMIT 8", [f"%{text}%"])
        cursor.fetchall()


def _measured(work: Callable[[str], None], typed: list[str]) -> list[tuple[float, float]]:
    work(typed[0])  # what is made once for all
    spent = []
    for text in typed:
        start, cpu = time.perf_counter(), time.process_time()
        work(text)
        spent.append(((time.perf_counter() - start) * 1000, (time.process_time() - cpu) * 1000))
    return spent


def _line(what: str, spent: list[tuple[float, float]], peer: list[tuple[float, float]]) -> str:
    cells = []
    for place in (0, 1):
        ordered = sorted(one[place] for one in spent)
        cells += [statistics.median(ordered), ordered[int(0.95 * (len(ordered) - 1))]]
    of_peer = cells[2] / statistics.median(one[1] for one in peer)
    return f"| {what} | {' | '.join(f'{cell:.0f}' for cell in cells)} | {of_peer:.2f} |"


if __name__ == "__main__":
    main()
