"""What people write in a report: its texts, and the numbers that they tell line by line ("Taxon: number").

A number that nobody told is None, never 0. A line that cannot be read is told with what is wrong with it: forms show
that as an error, and a report that was composed all the same says so, and counts nothing by that text.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Final

from django.utils.translation import gettext as _

from accessions.values.names import canonical_name
from governance.engine.tables import fold
from governance.reports.contents import Note
from governance.reports.models import Report
from governance.reports.tables import ALWAYS, PARTS, TEXTS

NUMBERS_BY_TAXON: Final = ("released", "salvaged")
"""Texts of lines "Taxon: number"."""

MOST_INDIVIDUALS: Final = 10**12
"""Larger numbers are slips of the keyboard."""

_LINE: Final = re.compile(r"(?P<name>.*?)\s*[:=\t]\s*(?P<number>[^:=\t]*)", re.DOTALL)
_EXAMPLE: Final = "Calopteryx splendens: 12"


def parts_of(report: Report) -> tuple[str, ...]:
    """The parts that the report has, in order; those that are always told cannot be left out."""
    return tuple(part for part in PARTS[report.kind] if part in ALWAYS or part not in report.left_out)


def texts_of(report: Report) -> dict[str, str]:
    """What people wrote, by key, blank ones left out."""
    told = {key: str(report.texts.get(key) or "").strip() for key in TEXTS[report.kind]}
    return {key: text for key, text in told.items() if text}


def taxon_key(name: str) -> str:
    """By what names in a text and in the register meet: the name without author and case.

    >>> taxon_key("Calopteryx splendens (Harris, 1780)") == taxon_key(" calopteryx  splendens")
    True
    """
    return fold(canonical_name(name) or name)


@dataclass(frozen=True)
class Numbers:
    """Numbers by taxon, with the names as written, both by ``taxon_key``. problems: a sentence for each line that
    cannot be read; numbers is then empty."""

    numbers: Mapping[str, int] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()

    def of(self, key: str) -> int | None:
        """What was told of a taxon; None where nothing was."""
        return self.numbers.get(key)


def numbers_by_taxon(text: str) -> Numbers:
    """Read lines "Taxon: number"; blank lines are passed over.

    >>> numbers_by_taxon("Unio crassus: 3").numbers
    {'unio crassus': 3}
    """
    numbers: dict[str, int] = {}
    names: dict[str, str] = {}
    problems: list[str] = []
    for place, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        name, number, problem = _read(line.strip(), numbers)
        if problem:
            words = {"n": place, "line": line.strip()[:80], "problem": problem}
            problems.append(_("Line %(n)d, “%(line)s”: %(problem)s") % words)
        else:
            numbers[taxon_key(name)], names[taxon_key(name)] = number, name
    return Numbers(problems=tuple(problems)) if problems else Numbers(numbers, names)


def _read(line: str, before: Collection[str]) -> tuple[str, int, str]:
    """Name, number and what is wrong ("" if nothing)."""
    found = _LINE.fullmatch(line)
    if found is None:
        return "", 0, _("there is no colon between the taxon and its number. Write it as %(how)s.") % {"how": _EXAMPLE}
    name, written = found["name"].strip(), found["number"].strip()
    if not name or not taxon_key(name):
        return "", 0, _("no taxon stands before the colon. Write it as %(how)s.") % {"how": _EXAMPLE}
    if not (written.isascii() and written.isdigit()):
        return name, 0, _("“%(number)s” is no whole number of individuals. Write it as %(how)s.") % {
            "number": written[:40], "how": _EXAMPLE,
        }  # fmt: skip
    if int(written[:20]) > MOST_INDIVIDUALS:
        return name, 0, _("the number is larger than %(most)s.") % {"most": f"{MOST_INDIVIDUALS:,}"}
    if taxon_key(name) in before:
        return name, 0, _("the taxon stands in an earlier line, too. Give each taxon one line.")
    return name, int(written), ""


def problems_of_texts(kind: str, texts: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """For forms: by key of a text what is wrong with its lines; only of texts that are read by line."""
    by_taxon = [key for key in NUMBERS_BY_TAXON if key in TEXTS[kind]]
    found: dict[str, tuple[str, ...]] = {key: numbers_by_taxon(texts.get(key) or "").problems for key in by_taxon}
    if "confidential" in TEXTS[kind] and kind == "certificate":
        found["confidential"] = confidential_items(texts.get("confidential") or "").problems
    return {key: problems for key, problems in found.items() if problems}


def unread_notes(part: str, told: Mapping[str, Numbers]) -> list[Note]:
    """That a text could not be read, so that nothing is counted by it."""
    return [
        Note("text_unread", part, {"text": key, "lines": len(of.problems)}) for key, of in told.items() if of.problems
    ]


@dataclass(frozen=True)
class Confidential:
    """Items of a certificate that are confidential, by number, with the reason."""

    reasons: Mapping[int, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


LAST_ITEM: Final = 9
"""Items of Art. 17(4) of the Nagoya Protocol: (a) to (i)."""


def confidential_items(text: str) -> Confidential:
    """Read lines "Number: reason".

    >>> confidential_items("6: trade secret of the provider").reasons
    {6: 'trade secret of the provider'}
    """
    reasons: dict[int, str] = {}
    problems: list[str] = []
    for place, line in enumerate(text.splitlines(), 1):
        written, _colon, reason = line.strip().partition(":")
        number = int(written) if written.strip().isascii() and written.strip().isdigit() and len(written) < 4 else 0
        if not line.strip():
            continue
        if not 1 <= number <= LAST_ITEM or not reason.strip() or number in reasons:
            problems.append(
                _("Line %(n)d, “%(line)s”: write the number of an item (1 to 9, each once), a colon, and the reason.")
                % {"n": place, "line": line[:80]}
            )
        else:
            reasons[number] = reason.strip()
    return Confidential(problems=tuple(problems)) if problems else Confidential(reasons)
