"""Identifiers of publications and of archived sequences: their form alone. Nothing is looked up anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final
from urllib.parse import unquote

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

FORM_ONLY: Final = gettext_lazy("Checked form only: nothing was looked up.")
"""What stands beside every identifier that passed."""

MOST_OF_A_RANGE: Final = 2_000
LONGEST_DOI: Final = 300


class IdentifierError(ValueError):
    """What was written is no such identifier. Its text is for the person who wrote it."""


# DOI ------------------------------------------------------------------------------------------------------------------

_DOI_BEFORE: Final = re.compile(r"(?i)(?:https?://(?:dx\.|www\.)?doi\.org/|(?:info:)?doi[:/]\s*)")
_DOI: Final = re.compile(r"10\.[0-9]{4,9}(?:\.[0-9]+)*/\S+")


def doi_of(text: str) -> str:
    """A DOI in its bare form, from the ways in which it is written: bare, with ``doi:`` before it, as an address.

    Capital letters are kept as written; two DOIs that differ by them alone are the same (DOI Handbook, 2.4; ISO 26324).

    Raises:
        IdentifierError: it has not the form: "10.", digits of the registrant, a slash, the rest without blanks.

    >>> doi_of("https://doi.org/10.1000/182"), doi_of("doi:10.1000/182")
    ('10.1000/182', '10.1000/182')
    """
    bare = text.strip()
    match = _DOI_BEFORE.match(bare)
    if match:
        rest = bare[match.end() :]
        bare = unquote(rest).strip() if match[0].casefold().startswith("http") else rest.strip()
    if len(bare) > LONGEST_DOI or not _DOI.fullmatch(bare) or not bare.isprintable():
        words = _(
            "“%(text)s” has not the form of a DOI. A DOI is 10., a registrant’s number, a slash and a name without "
            "blanks, such as 10.1234/abc; an address that begins with https://doi.org/ is taken, too."
        )
        raise IdentifierError(words % {"text": text.strip()[:100]})
    return bare


# Sequences ------------------------------------------------------------------------------------------------------------


class Archived(StrEnum):
    """What an accession number names."""

    NUCLEOTIDE = "nucleotide"
    PROTEIN = "protein"
    WGS = "wgs"
    ASSEMBLY = "assembly"
    BIOSAMPLE = "biosample"
    READS = "reads"
    PROJECT = "project"


_VERSION: Final = r"(?:\.[1-9]\d*)?"
PATTERNS: Final = tuple(
    (kind, re.compile(form, re.ASCII))
    for kind, form in (
        (Archived.BIOSAMPLE, r"SAM(?:N|E[A-Z]?|D)\d{6,}"),
        (Archived.READS, r"[SED]R[APSXRZ]\d{6,}"),
        (Archived.PROJECT, r"PRJ[NED][A-Z]\d+"),
        (Archived.ASSEMBLY, r"GCA_\d{9}\.[1-9]\d*"),
        (Archived.NUCLEOTIDE, rf"(?:[A-Z]\d{{5}}|[A-Z]{{2}}\d{{6}}|[A-Z]{{2}}\d{{8}}){_VERSION}"),
        (Archived.PROTEIN, rf"[A-Z]{{3}}(?:\d{{5}}|\d{{7}}){_VERSION}"),
        (Archived.WGS, rf"(?:[A-Z]{{4}}\d{{2}}S?\d{{6,8}}|[A-Z]{{6}}\d{{2}}S?\d{{7,9}}){_VERSION}"),
    )
)
"""Sources, from memory: NCBI, "GenBank accession number prefixes" (one letter and five digits, two letters and six or
eight; proteins three letters and five or seven; WGS four letters, two digits of the version, six or more, or six
letters, two digits, seven or more); ENA, "Accession numbers" (samples, reads, projects, assemblies, S of a scaffold).
What fits two forms, as SRR1234567 fits that of proteins, is called by the first."""

_OTHERS: Final = re.compile(r"(?:N[CGMRTWZP]|X[MRP]|AP|YP|WP|AC)_\d+" + _VERSION, re.ASCII)
_RANGE: Final = re.compile(r"([A-Z]{1,6})(\d+)\s*(?:-|–|:)\s*([A-Z]{1,6})(\d+)", re.IGNORECASE | re.ASCII)
_PIECE: Final = re.compile(r"[,;\s]+")


@dataclass(frozen=True)
class Accessioned:
    """An accession number in its form, and what it names."""

    number: str
    kind: Archived


def accessioned(text: str) -> Accessioned:
    """The accession number of a text.

    Raises:
        IdentifierError: it has none of the published forms.

    >>> accessioned(" or123456.1 ")
    Accessioned(number='OR123456.1', kind=<Archived.NUCLEOTIDE: 'nucleotide'>)
    """
    number = text.strip().upper()
    for kind, pattern in PATTERNS:
        if pattern.fullmatch(number):
            return Accessioned(number, kind)
    if _OTHERS.fullmatch(number):
        words = _("“%(text)s” is a number of a reference collection that was made from others. Give the number of the "
                  "sequence as it was submitted.")  # fmt: skip
        raise IdentifierError(words % {"text": text.strip()[:60]})
    words = _("“%(text)s” has not the form of an accession number of the public archives. They look like OR123456 or "
              "OR123456.1, SAMN12345678, SRR1234567, PRJNA12345; letters and digits without blanks.")  # fmt: skip
    raise IdentifierError(words % {"text": text.strip()[:60]})


def accessions_in(text: str) -> list[Accessioned]:
    """All accession numbers of a cell: with commas, semicolons or blanks between, ranges written out; each once.

    Raises:
        IdentifierError: one is none, or a range is too long or runs backwards; every one that is wrong is named.

    >>> [one.number for one in accessions_in("OR123456-OR123458, OR123460")]
    ['OR123456', 'OR123457', 'OR123458', 'OR123460']
    """
    found: dict[str, Accessioned] = {}
    problems = []
    for piece in _pieces(text):
        try:
            for one in _expanded(piece):
                found.setdefault(one.number, one)
        except IdentifierError as problem:
            problems.append(str(problem))
    if problems:
        raise IdentifierError(" ".join(problems))
    return list(found.values())


def _pieces(text: str) -> Iterator[str]:
    """Ranges first, since blanks may stand in them; then what is left between them."""
    last = 0
    for match in _RANGE.finditer(text):
        yield from filter(None, _PIECE.split(text[last : match.start()]))
        yield match[0]
        last = match.end()
    yield from filter(None, _PIECE.split(text[last:]))


def _expanded(piece: str) -> Iterator[Accessioned]:
    match = _RANGE.fullmatch(piece)
    if match is None:
        yield accessioned(piece)
        return
    prefix, first, other, last = match[1].upper(), match[2], match[3].upper(), match[4]
    if prefix != other or len(first) != len(last) or int(last) < int(first):
        words = _("“%(text)s” is no range: both ends have the same letters and as many digits, and the second is the "
                  "larger, such as OR123456-OR123467.")  # fmt: skip
        raise IdentifierError(words % {"text": piece[:60]})
    count = int(last) - int(first) + 1
    if count > MOST_OF_A_RANGE:
        words = _(
            "“%(text)s” stands for %(n)d numbers; a range holds at most %(most)d. Look for a slip, or give several."
        )
        raise IdentifierError(words % {"text": piece[:60], "n": count, "most": MOST_OF_A_RANGE})
    for number in range(int(first), int(last) + 1):
        yield accessioned(f"{prefix}{number:0{len(first)}}")
