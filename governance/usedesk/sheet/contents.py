"""What a terms sheet says, without words of a language and without a format."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from governance.engine.uses import Said, Use


@dataclass(frozen=True)
class Party:
    """Who sends or receives. country: ISO 3166-1; cites_code: number in the CITES register."""

    name: str
    address: str = ""
    contact: str = ""
    country: str = ""
    cites_code: str = ""


@dataclass(frozen=True)
class Clause:
    """What a paper says of one use. conditions: (word, value) as ``words`` of a language name them; a value is text, a
    number, a day, codes of recipients or of countries."""

    use: Use
    said: Said
    text: str
    number: str
    page: int | None
    conditions: tuple[tuple[str, object], ...] = ()
    duties: str = ""
    other_condition: str = ""


@dataclass(frozen=True)
class Agreement:
    """A provider agreed to some uses for this request, in these words."""

    uses: frozenset[Use]
    by: str
    on: date
    words: str


@dataclass(frozen=True)
class PaperTerms:
    """One paper in the version that binds. kind "": a deposit of which no paper is on file.

    is_readable: whether who makes the sheet may read it; if not, nothing of its content is here.
    """

    key: int
    reference: str
    kind: str = ""
    is_readable: bool = True
    issuer: str = ""
    language: str = ""
    since: date | None = None
    clauses: Mapping[Use, Clause] = field(default_factory=dict)
    acknowledgement: str = ""
    ownership: int = 0
    ownership_clause: str = ""
    ownership_page: int | None = None
    agreements: tuple[Agreement, ...] = ()


@dataclass(frozen=True)
class TermsGroup:
    """Specimens under the same papers. letter: A for the largest."""

    letter: str
    count: int
    papers: tuple[PaperTerms, ...]


@dataclass(frozen=True)
class SheetSpecimen:
    """One specimen, with its place as a country alone: exact places are not for everybody who opens the box."""

    key: int
    number: str
    name: str
    country: str
    first_on: date | None
    last_on: date | None
    count: str
    preparation: str
    letter: str


@dataclass(frozen=True)
class WayPaper:
    """A paper of the way there. layer: "export", "import" or "cites"; label: of a scientific exchange."""

    layer: str
    reference: str
    is_label: bool = False


@dataclass(frozen=True)
class Sheet:
    """A terms sheet.

    is_loan: the material is due back. is_kept: some use is for good, so not all comes back. held_back: numbers of
    approved specimens that stay off, since the answer of the desk is stricter now than when they were approved.
    waiting: how many more there are that nobody approved. is_of_use: of a use that was recorded, not of a request.
    """

    number: str
    title: str
    made_on: date
    sender: Party
    recipient: Party | None
    asked_by: str
    purpose: str
    commercial: str
    uses: tuple[Use, ...]
    from_on: date | None
    until_on: date | None
    is_loan: bool
    is_kept: bool
    groups: tuple[TermsGroup, ...] = ()
    specimens: Sequence[SheetSpecimen] = ()
    way: tuple[WayPaper, ...] = ()
    held_back: tuple[str, ...] = ()
    waiting: int = 0
    is_of_use: bool = False

    @property
    def is_draft(self) -> bool:
        """Nothing is approved, so nothing may leave."""
        return not self.specimens

    @property
    def papers(self) -> tuple[PaperTerms, ...]:
        """Each paper once, by reference."""
        found = {(paper.key, paper.since): paper for group in self.groups for paper in group.papers}
        return tuple(sorted(found.values(), key=lambda paper: (paper.reference, paper.since or date.min)))

    def letters_of(self, paper: PaperTerms) -> str:
        """The groups that a paper bears on: "A, C"."""
        return ", ".join(group.letter for group in self.groups if paper in group.papers)


def letters(number: int) -> str:
    """The letter of a group, from 0 on.

    >>> letters(0), letters(25), letters(26), letters(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text
