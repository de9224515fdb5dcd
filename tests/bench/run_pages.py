"""How long the pages of the whole demo take, and how large they are.

    uv run manage.py demo --no-serve
    python -m tests.bench.run_pages --database db.sqlite3

Times are those of the server, through Django's test client: middleware, queries, template, all but the network. "CPU"
is what the process itself spent. The page of sign-in, which reads next to nothing, stands first as the peer.
"""

from __future__ import annotations

import argparse
import gzip
import os
import secrets
import statistics
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import django

if TYPE_CHECKING:
    from django.test import Client

SIGN_IN = "sign-in"
PAGES = {
    "Today": "/",
    "specimens, outside": "/specimens/?verdict=outside",
    "specimens by reason": "/specimens/?group=reason",
    "one specimen": "/specimens/1/",
    "accession": "/accessions/19/",
    "legal file": "/accessions/19/file/",
    "papers": "/papers/",
    "one paper": "/papers/1/",
    "field plan": "/plans/1/",
    "request of 400 specimens": "/desk/requests/3/",
    "duties": "/duties/",
    "report, draft": "/reports/6/",
    "question, outside the dates": "/audit/questions/outside-dates/",
    "the same, known on 1 October": "/audit/questions/outside-dates/?known=2026-10-01",
    "search": "/search/?q=Nazvri",
    "help": "/help/",
    "first steps": "/start/",
}


class Seen(NamedTuple):
    """A page: seconds of the processor and on the clock (medians), queries, bytes plain and as sent."""

    name: str
    cpu_s: float
    clock_s: float
    queries: int
    size_b: int
    sent_b: int


def main() -> None:
    options = _options()
    os.environ["DATABASE_URL"] = f"sqlite:///{Path(options.database).resolve()}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    django.setup()
    stranger, client = _clients(options.user)
    seen = [_look(stranger, SIGN_IN, f"/{SIGN_IN}/", options.times)]
    seen += [_look(client, name, address, options.times) for name, address in PAGES.items()]
    print("| page | CPU p50 ms | clock p50 ms | of sign-in's CPU | queries | kB | kB as sent (gzip) |")
    print("|---|---|---|---|---|---|---|")
    for page in seen:
        print(
            f"| {page.name} | {page.cpu_s * 1000:.0f} | {page.clock_s * 1000:.0f} | {page.cpu_s / seen[0].cpu_s:.0f} | "
            f"{page.queries} | {page.size_b / 1000:.0f} | {page.sent_b / 1000:.0f} |"
        )


def _look(client: Client, name: str, address: str, times: int) -> Seen:
    """A page loaded once to warm up, then as often as asked."""
    from django.db import connection

    queries: list[str] = []

    def counted(execute: Any, statement: str, params: Any, many: bool, context: Any) -> Any:
        queries.append(statement)
        return execute(statement, params, many, context)

    with connection.execute_wrapper(counted):
        answer = client.get(address)
    if answer.status_code != 200:
        raise SystemExit(f"{address} answered {answer.status_code}: is this the whole demo?")
    cpu, clock = [], []
    for _ in range(times):
        started, spent = time.perf_counter(), time.process_time()
        body = client.get(address).content
        cpu.append(time.process_time() - spent)
        clock.append(time.perf_counter() - started)
    return Seen(
        name, statistics.median(cpu), statistics.median(clock), len(queries), len(body), len(gzip.compress(body))
    )


def _clients(user: str) -> tuple[Client, Client]:
    """Somebody who is not signed in, and somebody who is."""
    from django.conf import settings
    from django.test import Client

    from accessions.people.models import User

    settings.ALLOWED_HOSTS = ["testserver"]
    client = Client()
    client.force_login(User.objects.get(username=user))
    return Client(), client


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--database", required=True, help="SQLite file of the whole demo")
    parser.add_argument("--user", default="tomas.berglind")
    parser.add_argument("--times", type=int, default=7)
    return parser.parse_args()


if __name__ == "__main__":
    main()
