"""What goes into a report and what is kept back: papers open to some roles only, owners' names, secret localities."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from accessions.people.models import Agent
from accessions.sites.models import SiteTenure
from governance.papers.models import Paper, PaperKind
from governance.papers.restriction import is_readable, is_restricted
from governance.reports.composing.codes import WITHHELD
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


@dataclass
class Disclosing:
    """Decides of papers and words. kept_back: how many of each kind of thing stayed out, by key of the note."""

    scope: Scope
    papers: Mapping[int, Paper]
    sites: Collection[int] = ()
    kept_back: Counter[str] = field(default_factory=Counter)

    @cached_property
    def closed(self) -> frozenset[int]:
        """Papers that stay out."""
        return frozenset(key for key, paper in self.papers.items() if not self._goes_in(paper))

    def _goes_in(self, paper: Paper) -> bool:
        """Readers of the report are not people of the house: what is open to some roles is not for them, unless the
        report is about that paper; and nobody hands on what they may not read."""
        is_subject = paper.pk == self.scope.report.paper_id
        return is_readable(paper, self.scope.reader) and (is_subject or not is_restricted(paper))

    def goes_in(self, paper: int | None) -> bool:
        """Whether what a paper says may stand in the report; of no paper there is nothing to keep back.

        A paper that was not looked at, since it bears on nothing here, is looked at now.
        """
        if paper is None or paper in self.papers:
            return paper not in self.closed
        found = Paper.objects.filter(pk=paper).first()
        return found is not None and self._goes_in(found)

    def count(self, key: str, number: int = 1) -> None:
        """Keep in mind that something stayed out."""
        self.kept_back[key] += number

    def issuer(self, paper: Paper) -> str:
        """Who gave a paper."""
        if not paper.issuer and paper.issuer_agent is None:
            return ""
        if is_of_a_private_person(paper):
            self.count("owners")
            return WITHHELD
        return paper.issuer or str(paper.issuer_agent)

    @cached_property
    def _names(self) -> re.Pattern[str] | None:
        """Names of private owners: those who gave papers, and those who held the sites."""
        private = [paper for paper in self.papers.values() if is_of_a_private_person(paper)]
        names = {paper.issuer for paper in private} | {str(p.issuer_agent) for p in private if p.issuer_agent}
        tenures = SiteTenure.objects.filter(site__in=list(self.sites), agent__kind=Agent.Kind.PERSON)
        names |= set(tenures.values_list("agent__name", flat=True)) if self.sites else set()
        names |= set(tenures.values_list("agent__names__form", flat=True)) - {None} if self.sites else set()
        return _any_of(names)

    def masked(self, text: str | None) -> str | None:
        """A text without names of private owners."""
        if not text or self._names is None:
            return text
        clean, number = self._names.subn(WITHHELD, text)
        if number:
            self.count("owners", number)
        return clean

    def notes(self) -> tuple[Note, ...]:
        """What was kept back, each with how many there are."""
        return tuple(Note(key, PART, {"n": number}) for key, number in sorted(self.kept_back.items()) if number)


def is_of_a_private_person(paper: Paper) -> bool:
    """Whether a private person gave it, as far as is known: the kind of the agent decides, else the kind of paper."""
    agent = paper.issuer_agent
    if agent is not None:
        return bool(agent.kind == Agent.Kind.PERSON)
    return paper.kind in OF_PRIVATE_PEOPLE


def _any_of(names: Iterable[str]) -> re.Pattern[str] | None:
    long_enough = sorted({name.strip() for name in names if len(name.strip()) >= _SHORTEST_NAME}, key=len, reverse=True)
    if not long_enough:
        return None
    return re.compile("|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in long_enough), re.IGNORECASE)
