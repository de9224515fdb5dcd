"""What goes into a report and what is kept back: papers open to some roles only, owners' names, secret localities."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from django.db.models import Q

from accessions.people.models import Agent
from governance.papers.models import Paper, PaperKind
from governance.papers.restriction import is_readable, is_restricted
from governance.reports.composing.codes import WITHHELD
from governance.reports.composing.owners import PrivateOwners
from governance.reports.composing.scope import Scope
from governance.reports.contents import Note

PART: Final = "disclosure"

OF_PRIVATE_PEOPLE: Final = frozenset(
    {
        PaperKind.LANDOWNER_CONSENT, PaperKind.OCCUPIER_CONSENT, PaperKind.DEED_OF_GIFT, PaperKind.BEQUEST,
        PaperKind.PROOF_OF_PURCHASE,
    }
)  # fmt: skip
"""Kinds of papers that private persons give: who did so is kept back, unless it is known to be an organisation."""

_SHORTEST_NAME: Final = 3
_WORD: Final = re.compile(r"\w+")


@dataclass
class Disclosing:
    """Decides of papers and words. kept_back: how many of each kind of thing stayed out, by key of the note."""

    scope: Scope
    papers: Mapping[int, Paper]
    kept_back: Counter[str] = field(default_factory=Counter)
    _others: dict[int, bool] = field(default_factory=dict)
    _issuers: set[int] = field(default_factory=set)
    _masked: dict[str, str] = field(default_factory=dict)

    @cached_property
    def closed(self) -> frozenset[int]:
        """Papers that stay out."""
        return frozenset(key for key, paper in self.papers.items() if not self._goes_in(paper))

    def _goes_in(self, paper: Paper) -> bool:
        """Readers of the report are not people of the house: what is open to some roles is not for them, unless the
        report is about that paper; and nobody hands on what they may not read."""
        is_subject = paper.pk == self.scope.report.paper_id
        goes_in = is_readable(paper, self.scope.reader) and (is_subject or not is_restricted(paper))
        if goes_in:
            self.scope.told.add(paper.pk)
        return goes_in

    def goes_in(self, paper: int | None) -> bool:
        """Whether what a paper says may stand in the report; of no paper there is nothing to keep back.

        A paper that was not looked at, since it bears on nothing here, is looked at now.
        """
        if paper is None or paper in self.papers:
            return paper not in self.closed
        if paper not in self._others:
            found = Paper.objects.filter(pk=paper).first()
            self._others[paper] = found is not None and self._goes_in(found)
        return self._others[paper]

    def count(self, key: str, number: int = 1) -> None:
        """Keep in mind that something stayed out."""
        self.kept_back[key] += number

    def issuer(self, paper: Paper) -> str:
        """Who gave a paper."""
        if not paper.issuer and paper.issuer_agent is None:
            return ""
        if paper.pk in self.private:
            if paper.pk not in self._issuers:
                self._issuers.add(paper.pk)
                self.count("kept_owners")
            return WITHHELD
        return self.masked(paper.issuer or str(paper.issuer_agent)) or ""

    @cached_property
    def private(self) -> frozenset[int]:
        """Papers that a private person gave; an issuer who is only written is looked up among the people on file."""
        written = {paper.issuer for paper in self.papers.values() if paper.issuer and paper.issuer_agent is None}
        people = set(Agent.objects.filter(kind=Agent.Kind.PERSON, name__in=written).values_list("name", flat=True))
        return frozenset(
            key for key, paper in self.papers.items()
            if is_of_a_private_person(paper) or (paper.issuer_agent is None and paper.issuer in people)
        )  # fmt: skip

    @cached_property
    def _names(self) -> OwnerNames:
        """Names of private owners: those who gave papers, and those who held sites."""
        private = [self.papers[key] for key in self.private]
        names = {paper.issuer for paper in private} | {str(p.issuer_agent) for p in private if p.issuer_agent}
        owners = Agent.objects.filter(pk__in=PrivateOwners().keys).order_by()
        return OwnerNames.of(names.union(*owners.values_list("name", "names__form")))

    def masked(self, text: str | None) -> str | None:
        """A text without names of private owners; each text that holds one is counted once."""
        if not text:
            return text
        if text not in self._masked:
            self._masked[text] = clean = self._names.out_of(text)
            self.count("kept_owners", int(clean != text))
        return self._masked[text]

    def notes(self) -> tuple[Note, ...]:
        """What was kept back, each with how many there are."""
        return tuple(Note(key, PART, {"n": number}) for key, number in sorted(self.kept_back.items()) if number)


def is_of_a_private_person(paper: Paper) -> bool:
    """Whether a private person gave it, as far as is known: the kind of the agent decides, else the kind of paper."""
    agent = paper.issuer_agent
    if agent is not None:
        return bool(agent.kind == Agent.Kind.PERSON)
    return paper.kind in OF_PRIVATE_PEOPLE


def private_issuers() -> set[str]:
    """Names of all private persons who gave a paper, whatever it bears on: one query."""
    people = Agent.objects.filter(kind=Agent.Kind.PERSON)
    written = Q(issuer_agent=None) & (Q(kind__in=OF_PRIVATE_PEOPLE) | Q(issuer__in=people.values("name")))
    rows = Paper.objects.filter(written | Q(issuer_agent__kind=Agent.Kind.PERSON)).order_by()
    return {name for names in rows.values_list("issuer", "issuer_agent__name") for name in names if name}


@dataclass(frozen=True)
class OwnerNames:
    """Names that stay out. first_words: those with which they begin, folded: a text without any of these names nobody,
    which is told long before a thousand names are tried at each of its words."""

    first_words: frozenset[str]
    pattern: re.Pattern[str] | None

    @classmethod
    def of(cls, names: Iterable[str | None]) -> OwnerNames:
        told = {name.strip() for name in names if name and len(name.strip()) >= _SHORTEST_NAME}
        long_first = sorted(told, key=lambda name: (-len(name), name))
        found = "|".join(map(re.escape, long_first))
        words = frozenset(word for name in told for word in _WORD.findall(name.casefold())[:1])
        return cls(words, re.compile(rf"(?<!\w)(?:{found})(?!\w)", re.IGNORECASE) if found else None)

    def out_of(self, text: str) -> str:
        """The text with a mark in place of each name."""
        if self.pattern is None or self.first_words.isdisjoint(_WORD.findall(text.casefold())):
            return text
        return self.pattern.sub(WITHHELD, text)
