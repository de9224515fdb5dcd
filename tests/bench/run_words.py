"""How long the search over the words of scans takes: 20,000 pages of made-up text in 1,000 scans.

    python -m tests.bench.run_words --pages 20000 --database words.sqlite3

An empty database is filled first; one that is there is used as it is. Times are those of the server for the whole page,
through Django's test client: middleware, query, snippets, template, all but the network. Words are drawn so that few
are very common and most are rare, as in any language (Zipf's law).
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import re
import secrets
import statistics
import time
from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path
from typing import Any, NamedTuple

import django

PAGES_A_SCAN, WORDS_A_PAGE, VOCABULARY, TIMES = 20, 400, 40_000, 5

ASKED = {
    "one rare word": "{rare}",
    "one common word, on nearly all pages": "{first}",
    "a beginning, one letter": "{letter}",
    "a beginning, three letters": "{three}",
    "two words": "{second} {rare}",
    "five common words": "{first} {second} {third} {fourth} {fifth}",
    "a number of a paper": "LND-2024-00711",
    "a phrase": '"{phrase}"',
    "a phrase of common words": '"{first} {second}"',
    "nothing": "zzzzz",
}


class Timing(NamedTuple):
    """One search: the middle and the longest of some times on the clock, the middle of the processor's, the answer."""

    what: str
    middle_ms: int
    longest_ms: int
    processor_ms: int
    answer: str


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    is_new = not path.exists()
    django.setup()
    if is_new:
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        started = time.perf_counter()
        _fill(options.pages)
        print(f"filled in {time.perf_counter() - started:.0f} s, {path.stat().st_size / 1e6:.0f} MB")
    print("| what is looked for | p50 ms | max ms | CPU p50 ms | answer |\n|---|---|---|---|---|")
    for timing in _timings():
        print("| {} | {} | {} | {} | {} |".format(*timing))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", type=int, default=20_000)
    parser.add_argument("--database", required=True)
    return parser.parse_args()


def _vocabulary(lot: random.Random) -> list[str]:
    syllables = [f"{one}{two}" for one in "bdfgklmnprstvz" for two in ("a", "e", "i", "o", "u", "é", "ó")]
    return ["".join(lot.choices(syllables, k=lot.randint(1, 5))) for _word in range(VOCABULARY)]


def _texts(pages: int, lot: random.Random) -> Iterator[str]:
    words = _vocabulary(lot)
    weights = list(accumulate(1 / rank for rank in range(1, len(words) + 1)))
    for number in range(pages):
        body = lot.choices(words, cum_weights=weights, k=WORDS_A_PAGE)
        yield f"Permit LND-2024-{number:05d}\n" + "\n".join(
            " ".join(body[at : at + 10]) for at in range(0, len(body), 10)
        )


def _fill(pages: int) -> None:
    from django.db import transaction

    from governance.scans.models import Scan, ScanPage
    from governance.scans.reading.folding import folded_words
    from tests.factories import register

    lot, person = random.Random(1), register.person()
    with transaction.atomic():
        for number, text in enumerate(_texts(pages, lot)):
            if number % PAGES_A_SCAN == 0:
                name = f"{number // PAGES_A_SCAN}"
                scan = Scan.objects.create(
                    sha256=hashlib.sha256(name.encode()).hexdigest(), size_bytes=1, media_type="application/pdf",
                    stored_name=name, original_name=f"scan {name}.pdf", page_count=PAGES_A_SCAN, text_state="read",
                    received_by=person,
                )  # fmt: skip
                rows: list[ScanPage] = []
            rows.append(ScanPage(
                scan=scan, number=number % PAGES_A_SCAN + 1, text=text, folded=folded_words(text),
                words=list(_boxes(text)), source="file",
            ))  # fmt: skip
            if len(rows) == PAGES_A_SCAN:
                ScanPage.objects.bulk_create(rows)


def _boxes(text: str) -> Iterator[list[float | None]]:
    at = 0
    for row, line in enumerate(text.split("\n")):
        for column, word in enumerate(line.split(" ")):
            yield [at, at + len(word), column / 12, row / 50, (column + 1) / 12, (row + 1) / 50, None]
            at += len(word) + 1


def _timings() -> Iterator[Timing]:
    from django.test import Client

    from tests.factories import register

    client = Client(headers={"host": "localhost"})
    client.force_login(register.person())
    lot = random.Random(1)
    words = _vocabulary(lot)
    body = next(_texts(1, random.Random(1))).split("\n")[3].split(" ")
    rare = next(word for word in words[30_000:] if len(word) == 10)
    said = {
        "rare": rare, "first": words[0], "second": words[1], "third": words[2], "fourth": words[3], "fifth": words[4],
        "letter": words[0][:1], "three": words[30_000][:3], "phrase": " ".join(body[2:5]),
    }  # fmt: skip
    for what, asked in ASKED.items():
        yield _timed(client, what, asked.format(**said))


def _timed(client: Any, what: str, asked: str) -> Timing:
    clock, processor = [], []
    for _time in range(TIMES):
        started, spent = time.perf_counter(), time.process_time()
        answer = client.get("/scans/search/", {"q": asked + ("" if "beginning" in what else " ")})
        clock.append((time.perf_counter() - started) * 1000)
        processor.append((time.process_time() - spent) * 1000)
    assert answer.status_code == 200
    found = re.search(r'class="answer"><b>([^<]*)', answer.content.decode())
    middle = round(statistics.median(clock))
    return Timing(what, middle, round(max(clock)), round(statistics.median(processor)), found[1] if found else "?")


if __name__ == "__main__":
    main()
