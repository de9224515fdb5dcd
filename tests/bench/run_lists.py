"""How long the lists take over a large register: every filter by every order by first, deep and last page.

    python -m tests.bench.run_lists --specimens 1000000 --database lists.sqlite3

An empty database is filled first (``lists_register``); one that is there is used as it is. Times are those of the
server, through Django's test client: middleware, query, template, all but the network. "CPU" is what the process itself
spent: where it is far below the time on the clock, the machine was busy with something else.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import secrets
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import django

LIST = "/specimens/"
FILTERS = {
    "none": "",
    "q, number": "q=LMN-FW-05",
    "q, site": "q=hale+77",
    "q, name": "q=gen12us",
    "verdict, one": "verdict=outside",
    "verdict, open": "verdict=cannot-tell&verdict=straddles&verdict=outside&verdict=missing",
    "verdict, calm": "verdict=not-required",
    "layer": "layer=land&verdict=outside",
    "any layer": "layer=any&verdict=straddles",
    "finding": "code=after-end",
    "finding, layer": "code=outside-area&layer=export",
    "paper": "paper=1",
    "accession": "accession=40",
    "part": "accession=40&part=A",
    "country": "country=GE",
    "site": "site=GE-S00017",
    "taxon, order": "taxon=Odonata",
    "taxon, family": "taxon=Fam12idae",
    "years": "year_from=2003&year_to=2004",
    "kind": "kind=bulk",
    "overruled": "overruled=on",
    "reason": "reason=1",
    "country, years, open": "country=CR&year_from=1995&year_to=2015&verdict=outside&verdict=missing",
    "taxon, paper": "taxon=Coleoptera&paper=3",
    "nothing": "country=GE&kind=bulk&year_from=1990&year_to=1990&verdict=straddles",
}
SORTS = ("worst", "specimen", "-specimen", "collected", "-collected", "accession", "-worst")
PAGES = {"first": "", "deep": "page=399", "by row": "after={row}", "last": "before=0"}


class Timing(NamedTuple):
    """One request: seconds on the clock, seconds of the processor."""

    what: str
    seconds: float
    cpu: float


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
    client, row = _client()
    groups = {
        "list": _sample(list(_list_addresses(row)), options.sample),
        "reasons": _reason_addresses(),
        "today": ["/"] * 20,
        "specimen": [f"/specimens/{1 + n * 997 % row}/" for n in range(60)],
        "specimen, from a list": [f"/specimens/{1 + n * 991 % row}/?country=GE&sort=collected" for n in range(20)],
        "scan": [f"{LIST}?q=LMN-FW-{n * 1009 % row:07d}" for n in range(20)],
    }  # fmt: skip
    print("| page | requests | p50 ms | p95 ms | max ms | CPU p95 ms | slowest |\n|---|---|---|---|---|---|---|")
    slow: list[Timing] = []
    for name, addresses in groups.items():
        if name in options.only or not options.only:
            timings = [_timed(client, address) for address in [addresses[0], *addresses]][1:]
            slow += timings
            print(_line(name, timings), flush=True)
    for timing in sorted(slow, key=lambda t: -t.seconds)[: options.slowest]:
        print(f"{timing.seconds * 1000:7.0f} ms, CPU {timing.cpu * 1000:5.0f} ms  {timing.what}")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--database", default="lists.sqlite3")
    parser.add_argument("--slowest", type=int, default=12)
    parser.add_argument("--sample", type=int, default=0, help="so many of the lists, by lot; 0: all")
    parser.add_argument("--only", nargs="*", default=[])
    return parser.parse_args()


def _fill(specimens: int) -> None:
    from django.core.management import call_command

    from tests.bench.lists_register import build

    call_command("migrate", verbosity=0)
    start = time.perf_counter()
    build(specimens, lambda what: print(f"{time.perf_counter() - start:7.1f} s  {what}", flush=True))


def _client() -> tuple[Any, int]:
    """A signed-in client, and the number of specimens."""
    from django.test import Client

    from accessions.material.models import Specimen
    from accessions.people.models import User

    user, _new = User.objects.get_or_create(username="bench", defaults={"role": "auditor"})
    client = Client(SERVER_NAME="localhost")
    client.force_login(user)
    return client, Specimen.objects.count()


def _list_addresses(rows: int) -> Iterator[str]:
    for asked in FILTERS.values():
        for sort in SORTS:
            for page in PAGES.values():
                yield f"{LIST}?{asked}&sort={sort}&{page.format(row=rows // 2)}"
    yield f"{LIST}?size=100"


def _sample(addresses: list[str], count: int) -> list[str]:
    return random.Random(1).sample(addresses, count) if count else addresses


def _reason_addresses() -> list[str]:
    return [f"{LIST}?{asked}&group=reason" for asked in FILTERS.values()]


def _timed(client: Any, address: str) -> Timing:
    start, cpu = time.perf_counter(), time.process_time()
    response = client.get(address)
    seconds, spent = time.perf_counter() - start, time.process_time() - cpu
    if response.status_code not in (200, 302):
        raise SystemExit(f"{address} answered {response.status_code}")
    return Timing(re.sub("&+", "&", address), seconds, spent)


def _line(name: str, timings: list[Timing]) -> str:
    times = [timing.seconds * 1000 for timing in timings]
    cpu = [timing.cpu * 1000 for timing in timings]
    worst = max(timings, key=lambda timing: timing.seconds)
    return (
        f"| {name} | {len(times)} | {statistics.median(times):.0f} | {_p95(times):.0f} | {max(times):.0f} "
        f"| {_p95(cpu):.0f} | {worst.what} |"
    )


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1] if len(values) > 1 else values[0]


if __name__ == "__main__":
    main()
