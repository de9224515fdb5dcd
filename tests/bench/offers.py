"""How right the offers are: generated permits read as the register reads scans, and held against their truth.

    python -m tests.bench.offers            writes governance/docs/offers.md
    python -m tests.bench.offers --print    only prints the tables

Needs tesseract with the five languages. Permits and truths are those of ``tests/factories/permits.py``.
"""

from __future__ import annotations

import argparse
import os
import secrets
import tempfile
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from governance.papers.offers import FIELDS, PageText, WhyNot, offers_in
from tests.factories.permits import KINDS, PERMITS, Permit, all_scans

PROJECT = Path(__file__).resolve().parents[2]
DOCUMENT = PROJECT / "governance" / "docs" / "offers.md"
LANGUAGES = ("eng", "spa", "fra", "por", "deu")
DAYS = ("issued_on", "in_force_from", "in_force_to")
RIGHT, WRONG, MISSING = "right", "wrong", "missing"


@dataclass
class Score:
    """Of some scans: by field how many values were right, wrong, missing; and each wrong one in words."""

    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Score) -> None:
        self.counts += other.counts
        self.wrong += other.wrong

    def of(self, name: str, outcome: str) -> int:
        return self.counts[name, outcome]

    def share(self, outcome: str, names: Iterable[str] = FIELDS) -> float:
        """Of all values that are right or should have been: the part with this outcome."""
        chosen = list(names)
        total = sum(self.of(name, each) for name in chosen for each in (RIGHT, WRONG, MISSING))
        return sum(self.of(name, outcome) for name in chosen) / total if total else 0.0


def read_page(content: bytes, languages: Sequence[str] = LANGUAGES) -> list[PageText]:
    """The words of a PDF as the register reads them."""
    from governance.scans.reading.content import read_pages

    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(content)
        file.flush()
        pages = read_pages(Path(file.name), "application/pdf", [1], languages, seconds=60)
    return [PageText(page.number, page.number, page.text, page.words) for page in pages]


def score(permit: Permit, pages: Sequence[PageText], name: str) -> Score:
    """Offers held against the truth. A value that is offered and is not true is wrong, whatever else is offered."""
    offers = offers_in(pages)
    found = Score()
    for each in FIELDS:
        truth = permit.truth.get(each, ())
        true = {truth} if isinstance(truth, str) else set(truth)
        offered = {_value(each, offer.value) for offer in offers if offer.field == each and offer.value}
        found.counts[each, RIGHT] += len(true & offered)
        found.counts[each, WRONG] += len(offered - true)
        found.counts[each, MISSING] += len(true - offered)
        found.wrong += [f"{name}, {each}: offered {value!r}" for value in sorted(offered - true)]
    return found


def _value(name: str, value: str) -> str:
    return value.split(": ", 1)[1] if name == "conditions" else value


def shown_as_open(pages: Sequence[PageText]) -> list[str]:
    """Why dates are shown and not offered."""
    return [offer.why_not for offer in offers_in(pages) if offer.field in DAYS and offer.why_not]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--print", action="store_true", help="print the tables, write nothing")
    options = parser.parse_args()
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    scores, opened = measured()
    text = document(scores, opened)
    print(text)
    if not options.print:
        DOCUMENT.write_text(text, encoding="utf-8")


def measured(kinds: Sequence[str] = KINDS) -> tuple[dict[str, Score], dict[str, Counter[str]]]:
    """By kind of scan: the scores, and why dates were not offered."""
    scores = {kind: Score() for kind in kinds}
    opened: dict[str, Counter[str]] = {kind: Counter() for kind in kinds}
    for permit, kind, content in all_scans(kinds):
        pages = read_page(content)
        scores[kind].add(score(permit, pages, f"{permit.name}, {kind}"))
        opened[kind].update(shown_as_open(pages))
    return scores, opened


def document(scores: Mapping[str, Score], opened: Mapping[str, Counter[str]]) -> str:
    """The page of the docs."""
    everything = Score()
    for each in scores.values():
        everything.add(each)
    wrong_days = sum(everything.of(day, WRONG) for day in DAYS)
    return f"""# Offers from scans, measured

Written by `python -m tests.bench.offers`, which needs tesseract with the five languages and takes some minutes.
Write it anew after any change of `governance/papers/offers/` or of the reading of scans.

{len(PERMITS)} generated permits ({len(PERMITS) // 2} languages, a form and a letter in each) as {len(scores)} kinds of
scan: {len(PERMITS) * len(scores)} scans in all.
The permits and what a person reads in them stand in `tests/factories/permits.py`; the authorities are invented.
They were written beside the cue words (`governance/papers/offers/cues.yaml`), so real papers will give fewer offers.
What the figures guard is that no day is offered that is not on the paper.

A value is **right** if it is offered as it stands on the paper, **wrong** if something else is offered, **missing** if
nothing is.
A day that the words leave open (05/06/2024, 25.06.24) is rightly not offered: offering one would count as wrong.
A text in which recognition took one letter for another is wrong, too: it is offered as it was read, with how sure the
recognition was; nothing is put right unseen.
Under the stamp the last day counts as missing where it cannot be read, and so does a last day of which correction fluid
covers the first figure: what is left reads as another day, and only the room before it tells.

**Wrong days offered: {wrong_days}.**

## By kind of scan

{_by_kind(scores, opened)}

## By field, all kinds

{_by_field(everything)}

## What was wrong

{_list(everything.wrong)}
"""


def _by_kind(scores: Mapping[str, Score], opened: Mapping[str, Counter[str]]) -> str:
    head = (
        "| kind of scan | right | wrong | missing | days right | days wrong | days missing | days shown, not offered |"
    )
    rows = [head, "|---|---|---|---|---|---|---|---|"]
    for kind, found in scores.items():
        shares = [f"{found.share(each):.1%}" for each in (RIGHT, WRONG, MISSING)]
        days = [str(sum(found.of(day, each) for day in DAYS)) for each in (RIGHT, WRONG, MISSING)]
        told = ", ".join(f"{count} {WhyNot(why).value}" for why, count in sorted(opened[kind].items())) or "none"
        rows.append(f"| {kind} | {' | '.join(shares)} | {' | '.join(days)} | {told} |")
    return "\n".join(rows)


def _by_field(found: Score) -> str:
    rows = ["| field | right | wrong | missing | share right |", "|---|---|---|---|---|"]
    for each in FIELDS:
        counts = [found.of(each, outcome) for outcome in (RIGHT, WRONG, MISSING)]
        rows.append(f"| {each} | {' | '.join(map(str, counts))} | {found.share(RIGHT, [each]):.1%} |")
    return "\n".join(rows)


def _list(lines: Sequence[str]) -> str:
    return "\n".join(f"- {line}" for line in lines) or "Nothing."


if __name__ == "__main__":
    main()
