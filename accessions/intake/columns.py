"""Which column is which: headers as people write them, to the terms that the rest works with."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from accessions.intake.problems import Problem, listed, shown
from accessions.intake.terms import EVERYDAY, KNOWN

_IRI: Final = re.compile(r"https?://\S*[/#]", re.IGNORECASE)
_PREFIX: Final = re.compile(r"(?:dwc|dwciri|dcterms|dc):", re.IGNORECASE)
_NOT_WORD: Final = re.compile(r"[\W_]+")
_TERM_PARTING: Final = re.compile(r"[\s_\-]+")
_MAX_HEADER: Final = 200


@dataclass(frozen=True)
class Recognition:
    """by_term: the column of each term. unknown: headers that are kept aside. notes: how headers were understood.

    problems: errors (two columns for one term).
    """

    by_term: dict[str, int] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def header_key(header: str) -> str:
    """A header without case, blanks, prefix and marks: ``dwc:Event_Date`` is ``eventdate``.

    A name in a foreign writing keeps its letters; a header of more than 200 characters is no name.
    """
    return _NOT_WORD.sub("", _bare(header)).casefold()


def _bare(header: str) -> str:
    text = header.strip()
    if len(text) > _MAX_HEADER:
        return ""
    return _PREFIX.sub("", _IRI.sub("", text, count=1), count=1)


_TERM_OF_KEY: Final = {term.casefold(): term for term in KNOWN}
_TERM_OF_EVERYDAY: Final = {word: term for term, words in EVERYDAY.items() for word in words}


def recognise(columns: Sequence[str], file: str = "") -> Recognition:
    """The term of each column.

    A term is known by any case, without regard to blanks, underscores and hyphens, with ``dwc:`` or as a full IRI; an
    everyday word only where nothing else in the header says the same. Of two columns for one term the one in the
    exact spelling is taken and the other kept aside; otherwise both are named as an error.

    >>> recognise(["Event Date", "lat", "colour"]).by_term
    {'eventDate': 0, 'decimalLatitude': 1}
    """
    named = [_term_by_name(header) for header in columns]
    everyday = [None if term else _TERM_OF_EVERYDAY.get(header_key(h)) for h, term in zip(columns, named, strict=True)]
    notes: list[str] = []
    _withhold_epithet(columns, named, everyday, notes)
    candidates: dict[str, list[int]] = {}
    for index, term in enumerate(named):
        if term:
            candidates.setdefault(term, []).append(index)
    for index, term in enumerate(everyday):
        if term and (term not in candidates or everyday[candidates[term][0]] == term):
            candidates.setdefault(term, []).append(index)
    by_term, problems = _settled(columns, candidates, file, notes)
    taken = set(by_term.values())
    notes += [
        f"Column {shown(columns[i])} is read as {term}." for i, term in enumerate(everyday) if term and i in taken
    ]
    unknown = tuple(header for index, header in enumerate(columns) if index not in taken)
    if unknown and not problems:
        notes.append(f"Columns that are not known were kept aside: {listed(unknown, 20)}.")
    return Recognition(by_term, unknown, tuple(notes), problems)


def _term_by_name(header: str) -> str | None:
    return _TERM_OF_KEY.get(_TERM_PARTING.sub("", _bare(header)).casefold())


def _withhold_epithet(
    columns: Sequence[str], named: Sequence[str | None], everyday: list[str | None], notes: list[str]
) -> None:
    """Beside a genus, "species" may hold the epithet alone; reading it as the whole name would be a guess."""
    for index, term in enumerate(everyday):
        if term == "scientificName" and header_key(columns[index]) == "species" and "genus" in named:
            everyday[index] = None
            if "scientificName" not in named and "specificEpithet" not in named:
                notes.append(
                    f"Column {shown(columns[index])} stands beside a genus and may hold the whole name or the epithet; "
                    "name it scientificName or specificEpithet to have it read."
                )


def _settled(
    columns: Sequence[str], candidates: dict[str, list[int]], file: str, notes: list[str]
) -> tuple[dict[str, int], tuple[Problem, ...]]:
    by_term: dict[str, int] = {}
    problems = []
    for term, indexes in candidates.items():
        exact = [index for index in indexes if _exact(columns[index], term)]
        if len(indexes) == 1 or len(exact) == 1:
            by_term[term] = exact[0] if exact else indexes[0]
            if len(indexes) > 1:
                notes.append(f"Of several columns for {term} the one headed {shown(columns[by_term[term]])} is read.")
            continue
        headers = listed([columns[index] for index in indexes])
        problems.append(
            Problem(
                file,
                f"columns {headers}",
                f"they all stand for {term}",
                f"Keep one of them, or head the right one {term}.",
            )
        )
    return by_term, tuple(problems)


def _exact(header: str, term: str) -> bool:
    return _bare(header) == term
