"""The twin of the engine of answers: decision record 6, one specimen at a time, slow and plain.

It reads in the order of the record (what a paper says, silence, footing, the way there; what bears is in
``reference_material``) and shares only the tables and their words with the engine. Where the record is silent, the
docstrings of the tables speak.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from governance.engine.tables import NONE, UNBOUNDED, EngineError, Verdict
from governance.engine.uses.kinds import (
    ELSEWHERE,
    FREE_OF_LOAN_IN,
    LEAVES,
    NO_PAPER,
    NOT_HEARD,
    TITLE_USES,
    TRAVELS,
    Answer,
    Ended,
    Listed,
    Ownership,
    Replied,
    Said,
    Tri,
    Use,
    WayCode,
)
from governance.engine.uses.reference_material import Material
from governance.engine.uses.tables import Asked, Case, Finding, Holding, PaperTerms, Question, Term, VersionTerms, Way

__all__ = ["answer"]

_DOUBTFUL = (Verdict.CANNOT_TELL, Verdict.STRADDLES, Verdict.OUTSIDE, Verdict.MISSING, None)


def answer(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> list[Case]:
    """The case of every specimen that is asked for, in the order of ``Holding.asked``.

    Raises:
        EngineError: a row of a paper is named that there is not.
    """
    for rows in (*holding.sets, {row for row, _ in question.replies}, {row for row, _ in question.used_before}):
        for row in rows:
            if row not in range(len(papers)):
                raise EngineError(f"no paper in row {row}")
    material = Material(holding)
    return [_case(papers, material, question, row) for row in holding.asked.tolist()]


def _case(papers: Sequence[PaperTerms], material: Material, question: Question, row: int) -> Case:
    """The strictest over all papers, all uses that are asked for together, the footing, and the way there."""
    is_commercial = Use.COMMERCIAL_USE in [asked.use for asked in question.uses]
    found: list[Finding] = []
    for asked in question.uses:
        facts = _Facts(asked, Tri.YES if is_commercial else asked.commercial, question)
        found += facts.of_papers(papers, material, row)
        found += facts.of_footing(material.verdicts(row))
        found += facts.of_way(material.listed(row))
    distinct = list(dict.fromkeys(found))
    distinct.sort(key=lambda f: (f.use, f.paper, f.version, f.code, f.measure, f.against))
    distinct.sort(key=lambda f: f.is_silent)
    distinct.sort(key=lambda f: f.answer, reverse=True)
    return Case(max(finding.answer for finding in found), tuple(distinct))


@dataclass(frozen=True)
class _Facts:
    """One use that is asked for. commercial: what is told of it, or what another use of the request tells."""

    asked: Asked
    commercial: Tri
    question: Question

    def of_papers(self, papers: Sequence[PaperTerms], material: Material, row: int) -> list[Finding]:
        """All papers that bear. Where none is heard, of the row or of one that it comes from, the house reads that."""
        hearings = [_Hearing(self, number, papers[number], material) for number in material.papers(row)]
        found = [finding for hearing in hearings for finding in hearing.findings()]
        heard = {hearing.row for hearing in hearings if hearing.is_heard}
        if any(heard.isdisjoint(material.papers(one)) for one in material.behind(row)):
            reading = self.question.policy.silence.reading(self.asked.use, NO_PAPER)
            read = Answer.SILENT if reading == NOT_HEARD else Answer(reading)
            found.append(Finding(read, "no-terms", self.asked.use, is_silent=True))
        return found

    def of_footing(self, verdicts: list[int]) -> Iterator[Finding]:
        """Material outside terms, without papers, in doubt or not judged waits, unless the house says otherwise."""
        gate = self.question.policy.gate(self.asked.use)
        for number in verdicts:
            verdict = None if number == NONE else Verdict(number)
            told = gate.get(verdict, Answer.NOT_KNOWN if verdict in _DOUBTFUL else Answer.ALLOWED)
            if told != Answer.ALLOWED:
                code = "not-judged" if verdict is None else f"verdict-{verdict.code}"
                yield Finding(told, code, self.asked.use, measure=number)

    def of_way(self, listed: Listed) -> Iterator[Finding]:
        way, use = self.question.way, self.asked.use
        if use not in TRAVELS:
            return
        if way is None:
            is_here = use != Use.LOAN_ABROAD and (use not in LEAVES or self.asked.country != "")
            if is_here:
                return
            way = Way(WayCode.NOT_KNOWN, WayCode.NOT_KNOWN, WayCode.NOT_KNOWN)
        legs = [("export", way.export), ("import", way.import_)]
        if listed in (Listed.YES, Listed.UNKNOWN):
            legs.append(("cites", self._cites(way.cites, listed)))
        for leg, code in legs:
            if code == WayCode.NOT_KNOWN:
                yield Finding(Answer.NOT_KNOWN, f"{leg}-not-known", use)
            elif code == WayCode.NEEDED:
                yield Finding(Answer.ASK_FIRST, f"{leg}-needed", use)
            elif code != WayCode.NOT_NEEDED:
                yield Finding(Answer.WITH_DUTIES, f"{leg}-{code.code}", use)

    def _cites(self, code: WayCode, listed: Listed) -> WayCode:
        """CITES, Art. VII(6): an exchange is non-commercial. What may not be listed needs nothing for certain."""
        if code == WayCode.EXCHANGE_LABEL:
            if self.commercial == Tri.NOT_TOLD:
                return WayCode.NOT_KNOWN
            if self.commercial == Tri.YES:
                code = WayCode.NEEDED
        if code == WayCode.NEEDED and listed == Listed.UNKNOWN:
            return WayCode.NOT_KNOWN
        return code


@dataclass(frozen=True)
class _Hearing:
    """One paper on one use."""

    facts: _Facts
    row: int
    paper: PaperTerms
    material: Material

    @property
    def asked(self) -> Asked:
        return self.facts.asked

    @cached_property
    def version(self) -> int:
        """The last that had started on the day; one whose start is not known is the earliest."""
        best = NONE
        for number, version in enumerate(self.paper.versions):
            if version.from_day is not None and version.from_day > self.asked.day:
                continue
            if best == NONE or self._starts_later(version, self.paper.versions[best]):
                best = number
        return best

    @staticmethod
    def _starts_later(one: VersionTerms, other: VersionTerms) -> bool:
        return one.from_day is not None and (other.from_day is None or one.from_day > other.from_day)

    @property
    def was_granted(self) -> bool:
        return self.paper.ended is None or self.paper.ended[0] not in (Ended.APPLIED, Ended.REFUSED)

    @property
    def term(self) -> Term | None:
        return self.paper.versions[self.version].terms.get(self.asked.use)

    @property
    def reading(self) -> int:
        """How the house reads the silence of this paper on this use."""
        return self.facts.question.policy.silence.reading(self.asked.use, self.paper.kind)

    @property
    def owner_is_asked(self) -> bool:
        """Title lies elsewhere, and the house would read silence as milder than asking."""
        ownership = self.paper.versions[self.version].ownership
        if self.reading in (Answer.ASK_FIRST, Answer.SILENT, Answer.NOT_KNOWN, Answer.NOT_ALLOWED):
            return False
        if ownership == Ownership.LOAN_IN and self.asked.use not in FREE_OF_LOAN_IN:
            return True
        return ownership in ELSEWHERE and self.asked.use in TITLE_USES

    @property
    def is_heard(self) -> bool:
        """It was granted, had begun, and is expected to speak or was not read."""
        if not self.was_granted or (self.paper.versions and self.version == NONE):
            return False
        if not self.paper.versions or self.term is None or self.term.said != Said.SILENT:
            return True
        return self.owner_is_asked or self.reading != NOT_HEARD

    def findings(self) -> list[Finding]:
        found = list(self._said())
        reply = self.facts.question.replies.get((self.row, self.asked.use))
        if reply == Replied.AGREED:
            found = self._agreed(found)
        if reply == Replied.REFUSED:
            found.append(self._found(Answer.NOT_ALLOWED, "refused"))
        return found

    def _agreed(self, found: list[Finding]) -> list[Finding]:
        """An agreement stands in for "ask" and for silence, never for a clause that forbids or that nobody read."""
        kept = []
        for finding in found:
            is_silence = finding.is_silent and finding.code != "not-heard"
            if finding.answer != Answer.ASK_FIRST and not is_silence:
                kept.append(finding)
        return kept if kept == found else [*kept, self._found(Answer.WITH_DUTIES, "agreed")]

    def _found(self, told: Answer, code: str, measure: int = 0, against: int = 0, is_silent: bool = False) -> Finding:
        return Finding(told, code, self.asked.use, self.row, self.version, measure, against, is_silent)

    def _unread(self, code: str) -> Finding:
        return Finding(Answer.NOT_KNOWN, code, self.asked.use, self.row)

    def _said(self) -> Iterator[Finding]:
        if not self.was_granted:
            yield self._unread("not-granted")
        elif not self.paper.versions:
            yield self._unread("paper-unread")
        elif self.version == NONE:
            yield self._unread("not-yet")
        else:
            yield from self._clause()
            yield from self._standing()

    def _clause(self) -> Iterator[Finding]:
        term = self.term
        if term is None:
            yield self._found(Answer.NOT_KNOWN, "terms-unread")
        elif term.said == Said.NOT_ALLOWED:
            yield self._found(Answer.NOT_ALLOWED, "not-allowed")
        else:
            if term.said == Said.SILENT:
                yield self._silence(Answer.WITH_DUTIES if term.duties else Answer.ALLOWED)
            elif term.said == Said.ASK_FIRST:
                yield self._found(Answer.ASK_FIRST, "ask")
            elif term.said == Said.WITH_DUTIES or term.duties:
                yield self._found(Answer.WITH_DUTIES, "duties")
            else:
                yield self._found(Answer.ALLOWED, "allowed")
            yield from self._conditions(term)

    def _silence(self, at_least: Answer) -> Finding:
        """The paper says nothing: the owner is asked, or the house reads it, or it is not expected to speak."""
        if self.owner_is_asked:
            return self._found(Answer.ASK_FIRST, "title-elsewhere")
        if self.reading == NOT_HEARD:
            return self._found(at_least, "not-heard", is_silent=True)
        return self._found(Answer(max(self.reading, at_least)), "silent", is_silent=True)

    def _conditions(self, term: Term) -> Iterator[Finding]:
        for code, is_met, measure, against in self._tests(term):
            if is_met is None:
                yield self._found(Answer.NOT_KNOWN, code + "-not-told", measure, against)
            elif not is_met:
                yield self._broken(term.otherwise, code, measure, against)

    def _broken(self, otherwise: Said, code: str, measure: int, against: int) -> Finding:
        if otherwise == Said.NOT_ALLOWED:
            return self._found(Answer.NOT_ALLOWED, code, measure, against)
        if otherwise == Said.ASK_FIRST or self.owner_is_asked:
            return self._found(Answer.ASK_FIRST, code, measure, against)
        read = Answer(max(self.reading, Answer.ASK_FIRST))
        return self._found(read, code, measure, against, is_silent=True)

    def _tests(self, term: Term) -> Iterator[tuple[str, bool | None, int, int]]:
        """Each condition that the clause has: its code, whether it is met (None: not told), and numbers."""
        asked = self.asked
        if term.recipients:
            yield "recipient", None if asked.recipient is None else asked.recipient in term.recipients, 0, 0
        if term.only_countries or term.not_countries:
            is_in = asked.country in term.only_countries or not term.only_countries
            is_met = is_in and asked.country not in term.not_countries
            yield "country", None if asked.country == "" else is_met, 0, 0
        if term.non_commercial_only:
            yield "commercial", {Tri.NO: True, Tri.YES: False}.get(self.facts.commercial), 0, 0
        if term.identification_only:
            yield "identification", {Tri.YES: True, Tri.NO: False}.get(asked.identification_only), 0, 0
        if term.parts:
            strangers = [part for part in asked.parts if part not in term.parts]
            yield "parts", None if not asked.parts else not strangers, 0, 0
        if term.most_specimens is not None:
            yield "most-specimens", *self._number(term.most_specimens)
        if term.not_before_day is not None:
            yield "embargo", not asked.day < term.not_before_day, asked.day, term.not_before_day

    def _number(self, limit: int) -> tuple[bool | None, int, int]:
        """With the specimens that were so used before."""
        before = self.facts.question.used_before.get((self.row, self.asked.use), 0)
        least, most = (before + number for number in self.material.number_under(self.row))
        if least > limit:
            return False, least, limit
        return (True if most <= limit else None), (most if most < UNBOUNDED else NONE), limit

    def _standing(self) -> Iterator[Finding]:
        """A paper that ended binds on, and is asked about; so is one that is suspended on the day."""
        day = self.asked.day
        if self.paper.ended is not None and day >= self.paper.ended[1]:
            yield self._found(Answer.ASK_FIRST, self.paper.ended[0].code, self.paper.ended[1])
        for first, last in self.paper.suspensions:
            if day >= first and not (last is not None and day > last):
                yield self._found(Answer.ASK_FIRST, "suspended", first)
