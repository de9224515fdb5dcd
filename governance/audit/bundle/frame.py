"""A bundle while it is written: its parts, as the index names them, what stays out, and what is not known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final

from django.template.loader import render_to_string

from governance.audit.bundle.packing import Packed
from governance.audit.bundle.subjects import Subject
from governance.verdicts.export_files import csv_lines

Step = Callable[[str, int, int], None]
"""Progress: what is written, how much of it, of how much."""

AT_ONCE: Final = 2_000
"""Rows that are read at once."""


@dataclass(frozen=True)
class Member:
    """A file of the bundle, as the index names it. sha256: told beside files that are as they were received."""

    name: str
    what: str
    sha256: str = ""


@dataclass
class Part:
    """A part of the index."""

    title: str
    words: str = ""
    members: list[Member] = field(default_factory=list)

    def tell(self, name: str, what: str, sha256: str = "") -> None:
        self.members.append(Member(name, what, sha256))


@dataclass
class Bundle:
    """reader: what is not open to this person stays out. on: the day in the world. known_at: the moment of the
    register; None: now. scans: by key of a scan, the member that holds it. papers: keys
    of those with a page. closed_entries: of
    histories, that are not open to the reader."""

    packed: Packed
    subject: Subject
    reader: Any
    on: date
    known_at: datetime | None
    step: Step
    parts: list[Part] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    not_known: list[str] = field(default_factory=list)
    scans: dict[int, str] = field(default_factory=dict)
    papers: list[int] = field(default_factory=list)
    closed_entries: int = 0

    def part(self, title: str, words: str = "") -> Part:
        self.parts.append(Part(title, words))
        return self.parts[-1]

    def csv(self, name: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        """A table; text that a spreadsheet program could run is guarded."""
        self.packed.add(name, (line.encode() for line in csv_lines(head, rows)))

    def page(self, name: str, template: str, context: Mapping[str, Any]) -> None:
        """A page that opens without a server."""
        self.packed.add(name, render_to_string(f"audit/in_bundle/{template}.html", dict(context)).encode())
