"""Dates of 7,929 real records: our reading of the columns as written beside an aggregator's interpretation of them.

Key: the column eventDate of occurrence.txt in the sample data set of polars-darwin-core 4.0.0, interpreted by GBIF from
the columns of verbatim.txt. An interpretation is no truth: where the two part, the kind of difference is named and
counted here, and every record must fall into a kind. What this cannot show: that a date both read alike is right.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from accessions.values import DateRead, is_blank, read_date, read_label_date

pytestmark = [pytest.mark.network, pytest.mark.filterwarnings("error")]

COLUMNS = ("eventDate", "verbatimEventDate", "year", "month", "day")
Span = tuple[int, int]


@dataclass(frozen=True)
class Record:
    """One record: its date columns as written, blanks emptied, and the span of the interpreted date."""

    written: tuple[str, ...]
    key: Span | None

    @property
    def read(self) -> DateRead:
        return read_date(*self.written)


def _rows(path: Path) -> list[dict[str, str]]:
    """The file is tab-separated without quoting (its meta.xml says so); no reader of ours takes part."""
    header, *lines = path.read_text(encoding="utf-8").split("\n")
    names = header.split("\t")
    return [dict(zip(names, line.split("\t"), strict=True)) for line in lines if line]


def _end(text: str, *, last: bool) -> int:
    """First or last day of an interpreted YYYY, YYYY-MM or YYYY-MM-DD, whatever time follows."""
    numbers = [int(part) for part in text.partition("T")[0].split("-")]
    if len(numbers) == 3:
        return date(*numbers).toordinal()
    year, month = numbers[0], numbers[1] if len(numbers) == 2 else 12 if last else 1
    if not last:
        return date(year, month, 1).toordinal()
    return date(year + month // 12, month % 12 + 1, 1).toordinal() - 1


def _key(text: str) -> Span | None:
    if not text:
        return None
    start, _, end = text.partition("/")
    return _end(start, last=False), _end(end or start, last=True)


@pytest.fixture(scope="module")
def records(monaco_folder: Path) -> list[Record]:
    interpreted, verbatim = _rows(monaco_folder / "occurrence.txt"), _rows(monaco_folder / "verbatim.txt")
    assert [row["gbifID"] for row in interpreted] == [row["gbifID"] for row in verbatim]
    return [
        Record(tuple("" if is_blank(cell := old[c].strip()) else cell for c in COLUMNS), _key(new["eventDate"]))
        for new, old in zip(interpreted, verbatim, strict=True)
    ]


def _span(read: DateRead | None) -> Span | None:
    if read is None or read.earliest_day is None or read.latest_day is None:
        return None
    return read.earliest_day, read.latest_day


def _compared(ours: Span | None, key: Span | None) -> str:
    if ours is None or key is None:
        return {(True, True): "neither", (True, False): "key alone"}.get((ours is None, key is None), "ours alone")
    if ours == key:
        return "equal"
    if ours[0] <= key[0] and key[1] <= ours[1]:
        return "ours is wider"
    if key[0] <= ours[0] and ours[1] <= key[1]:
        return "key is wider"
    return "part ways"


TIME = r"T\d\d:\d\d(:\d\d(\.\d+)?)?"
KINDS = (
    # (kind, pattern of eventDate as written, reason)
    ("written in UTC", rf"\d{{4}}-\d\d-\d\d{TIME}Z", "the local day may be a neighbour; the key has the day written"),
    ("an end of less precision", r"\d{4}-\d\d-\d\d/\d{4}-\d\d|\d{4}/\d{4}-\d\d|\d{4}-\d\d/\d\d",
     "1959-08-13/1959-08: we keep the 13th, the key has the coarser of both ends; 1938-03/04 is "
     "March to April, the key has the year"),
    ("a space before the time", r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d.*", "not ISO 8601"),
    ("figures that are not padded", r"(?=.*(?<!\d)\d(?!\d)).*\d{4}-\d{1,2}(-\d{1,2})?(/.*)?", "not ISO 8601"),
    ("the day or the month first", r"\d{1,2}([./-])(\d{1,2}|[A-Z][a-z]{2})\1\d{4}.*", "no ISO 8601; offered only"),
    ("no day 0", r"\d{4}-\d\d-00", "not in the calendar; the key has the month"),
    ("a century in words", r"XX.*", "unreadable beside filled parts; the key takes the parts"),
)  # fmt: skip


def _kind(written: tuple[str, ...]) -> str:
    event_date, _, year, month, day = written
    if event_date and "0" in (month, day):
        return "a month or day of 0 beside it"
    if re.fullmatch("1880/19[0-9]{2}", event_date) and year == "1880":
        return "the key gave up"
    return next((name for name, pattern, _ in KINDS if re.fullmatch(pattern, event_date)), "unexplained")


def test_no_date_parts_ways_with_the_key(records: list[Record]) -> None:
    """The one result that must not change: where both read a date, one of the two holds the other."""
    assert [r.written for r in records if _compared(_span(r.read), r.key) == "part ways"] == []


def test_share_that_agrees(records: list[Record]) -> None:
    """Of 7,348 dates with a key 6,703 (91.2 %) agree to the day at both ends; of all 7,929 records 7,282 (91.8 %)."""
    found = Counter(_compared(_span(record.read), record.key) for record in records)
    assert found == {
        "equal": 6703,
        "neither": 579,  # 556 missing, 22 unreadable ("0000-02", "1838-1914"), 1 conflict (9941/9971 beside 1927)
        "ours is wider": 393,
        "key is wider": 131,
        "key alone": 121,
        "ours alone": 2,
    }


def test_every_difference_has_a_reason(records: list[Record]) -> None:
    """Counted by how the date was written, which does not ask our reader."""
    found: Counter[tuple[str, str]] = Counter()
    for record in records:
        how = _compared(_span(record.read), record.key)
        if how not in ("equal", "neither"):
            found[how, _kind(record.written)] += 1
    assert found == {
        ("ours is wider", "written in UTC"): 393,
        ("key is wider", "an end of less precision"): 131,
        ("key alone", "a space before the time"): 35,
        ("key alone", "figures that are not padded"): 50,
        ("key alone", "the day or the month first"): 28,
        ("key alone", "a month or day of 0 beside it"): 6,
        ("key alone", "no day 0"): 1,
        ("key alone", "a century in words"): 1,
        ("ours alone", "the key gave up"): 2,
    }


def test_offered_readings_are_those_of_the_key(records: list[Record]) -> None:
    """What the sentence suggests for an eventDate it does not take is what the key took, each time."""
    offered = [
        (record, found[1])
        for record in records
        if record.read.reading == "unreadable"
        and (found := re.search(r"could be(?: read as)? ([0-9/-]+)", record.read.hint))
    ]
    with_key = [(record, text) for record, text in offered if record.key is not None]
    assert [(record.written, text) for record, text in with_key if _key(text) != record.key] == []
    assert len(with_key) == 25  # of the 28 with day or month first; the other three could be either way round


def test_labels_do_not_gainsay_the_key(records: list[Record]) -> None:
    """2,426 verbatimEventDate: 613 are read; of the 521 with a key none lies outside it.

    The three that are wider give a month where eventDate has its first or some day: read_date calls that a conflict.
    Unread are mostly times ("2012-05-31 00:00:00"), figures that go both ways ("4-6-1912") and brackets.
    """
    labels = [(record.written[1], record.key) for record in records if record.written[1]]
    found = Counter(
        "unread" if (label := read_label_date(text)) is None else _compared(_span(label), key) for text, key in labels
    )
    assert found == {"unread": 1813, "equal": 496, "ours alone": 92, "key is wider": 22, "ours is wider": 3}
