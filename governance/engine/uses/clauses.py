"""What one paper says to one use that is asked for: the version of the day, its clause, its conditions, the reply."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from governance.engine.tables import NONE, UNBOUNDED
from governance.engine.uses.kinds import (
    ELSEWHERE,
    FREE_OF_LOAN_IN,
    NOT_HEARD,
    TITLE_USES,
    Answer,
    Ended,
    Ownership,
    Replied,
    Said,
    Tri,
    Use,
)
from governance.engine.uses.tables import Asked, Finding, PaperTerms, Silence, Term, VersionTerms

_ANSWERS = {
    Said.ALLOWED: (Answer.ALLOWED, "allowed"),
    Said.WITH_DUTIES: (Answer.WITH_DUTIES, "duties"),
    Said.ASK_FIRST: (Answer.ASK_FIRST, "ask"),
    Said.NOT_ALLOWED: (Answer.NOT_ALLOWED, "not-allowed"),
}
_NEVER_GRANTED = frozenset({Ended.REFUSED, Ended.APPLIED})


@dataclass(frozen=True)
class Pair:
    """A paper and a use. row: of the paper. specimens, most: how many are asked for or were so used before, under this
    paper, at least and at most (None: as many)."""

    row: int
    paper: PaperTerms
    asked: Asked
    silence: Silence
    specimens: int = 0
    reply: Replied | None = None
    most: int | None = None

    def findings(self) -> tuple[Finding, ...]:
        """All that the paper says; at least one."""
        number = version_on(self.paper, self.asked.day)
        unread = self._unread(number)
        found = [unread] if unread else [*self._of_version(number), *self._of_standing(number)]
        return tuple(self._with_reply(found, number))

    def _unread(self, number: int) -> Finding | None:
        """Why the paper has no word that could be heard."""
        if self.paper.ended is not None and self.paper.ended[0] in _NEVER_GRANTED:
            return self._found(Answer.NOT_KNOWN, "not-granted")
        if not self.paper.versions:
            return self._found(Answer.NOT_KNOWN, "paper-unread")
        return self._found(Answer.NOT_KNOWN, "not-yet") if number == NONE else None

    def _found(self, answer: Answer, code: str, version: int = NONE, measure: int = 0, against: int = 0) -> Finding:
        return Finding(answer, code, self.asked.use, self.row, version, measure, against)

    def _of_version(self, number: int) -> Iterator[Finding]:
        version = self.paper.versions[number]
        term = version.terms.get(self.asked.use)
        if term is None:
            yield self._found(Answer.NOT_KNOWN, "terms-unread", number)
            return
        yield self._of_clause(number, version, term)
        if term.said != Said.NOT_ALLOWED:
            yield from self._of_conditions(number, version, term)

    def _of_clause(self, number: int, version: VersionTerms, term: Term) -> Finding:
        if term.said == Said.SILENT:
            silence = self._of_silence(number, version)
            return replace(silence, answer=max(silence.answer, Answer.WITH_DUTIES)) if term.duties else silence
        is_bare = term.said == Said.ALLOWED and not term.duties
        answer, code = _ANSWERS[Said.WITH_DUTIES if term.said == Said.ALLOWED and not is_bare else term.said]
        return self._found(answer, code, number)

    def _of_silence(self, number: int, version: VersionTerms) -> Finding:
        reading = self.silence.reading(self.asked.use, self.paper.kind)
        if reading < Answer.ASK_FIRST and is_for_the_owner(version.ownership, self.asked.use):
            return self._found(Answer.ASK_FIRST, "title-elsewhere", number)
        if reading == NOT_HEARD:
            return replace(self._found(Answer.ALLOWED, "not-heard", number), is_silent=True)
        return replace(self._found(Answer(reading), "silent", number), is_silent=True)

    def _of_conditions(self, number: int, version: VersionTerms, term: Term) -> Iterator[Finding]:
        for code, met, measure, against in conditions(term, self.asked, self.specimens, self.most):
            if met == Tri.NOT_TOLD:
                yield self._found(Answer.NOT_KNOWN, f"{code}-not-told", number, measure, against)
            elif met == Tri.NO and term.otherwise == Said.SILENT:
                silence = self._of_silence(number, version)
                answer = max(silence.answer, Answer.ASK_FIRST)
                yield replace(silence, code=code, answer=answer, measure=measure, against=against)
            elif met == Tri.NO:
                yield self._found(_ANSWERS[term.otherwise][0], code, number, measure, against)

    def _of_standing(self, number: int) -> Iterator[Finding]:
        """The paper is over, or paused on the day; what ended it is asked about first."""
        day, ended = self.asked.day, self.paper.ended
        if ended is not None and ended[1] <= day:
            yield self._found(Answer.ASK_FIRST, ended[0].code, number, measure=ended[1])
        for first, last in self.paper.suspensions:
            if first <= day and (last is None or day <= last):
                yield self._found(Answer.ASK_FIRST, "suspended", number, measure=first)

    def _with_reply(self, found: list[Finding], number: int) -> Iterator[Finding]:
        """An agreement stands in for "ask" and for silence, not for a clause that forbids, nor for one that is unread.

        A refusal is one, whatever was read.
        """
        settled = [f for f in found if self.reply == Replied.AGREED and _is_settled_by_agreement(f)]
        yield from (f for f in found if f not in settled)
        if settled:
            yield self._found(Answer.WITH_DUTIES, "agreed", number)
        if self.reply == Replied.REFUSED:
            yield self._found(Answer.NOT_ALLOWED, "refused", number)


def _is_settled_by_agreement(finding: Finding) -> bool:
    return finding.answer == Answer.ASK_FIRST or (finding.is_silent and finding.code != "not-heard")


def is_for_the_owner(ownership: Ownership, use: Use) -> bool:
    """Whether silence on the use asks whoever keeps the title.

    >>> [is_for_the_owner(ownership, Use.LOAN_AT_HOME) for ownership in (Ownership.DEPOSIT, Ownership.LOAN_IN)]
    [False, True]
    """
    if ownership == Ownership.LOAN_IN:
        return use not in FREE_OF_LOAN_IN
    return ownership in ELSEWHERE and use in TITLE_USES


def version_on(paper: PaperTerms, day: int) -> int:
    """The row of the version whose terms bind on a day: the last that had started, whether or not its days are over.

    >>> paper = PaperTerms("A", "other", (VersionTerms(20), VersionTerms(None), VersionTerms(10)))
    >>> [version_on(paper, day) for day in (9, 10, 20)], version_on(PaperTerms("B", "other"), 9)
    ([1, 2, 0], -1)
    """
    first = -(2**31)
    starts = [(first if v.from_day is None else v.from_day, row) for row, v in enumerate(paper.versions)]
    return max([(start, row) for start, row in starts if start <= day], default=(0, NONE))[1]


def conditions(
    term: Term, asked: Asked, specimens: int, most: int | None = None
) -> Iterator[tuple[str, Tri, int, int]]:
    """The conditions of a clause: code, whether it is met, what was compared with what.

    A fact that the request does not tell leaves a condition neither met nor broken. specimens, most: as of ``Pair``.
    """
    if term.recipients:
        yield "recipient", _within(asked.recipient, term.recipients), 0, 0
    if term.only_countries or term.not_countries:
        yield "country", _in_country(term, asked.country), 0, 0
    if term.non_commercial_only:
        yield "commercial", _NOT[asked.commercial], 0, 0
    if term.identification_only:
        yield "identification", asked.identification_only, 0, 0
    if term.parts:
        yield "parts", _parts(term, asked), 0, 0
    if term.most_specimens is not None:
        yield "most-specimens", *_number(term.most_specimens, specimens, specimens if most is None else most)
    if term.not_before_day is not None:
        met = Tri.YES if asked.day >= term.not_before_day else Tri.NO
        yield "embargo", met, asked.day, term.not_before_day


_NOT = {Tri.YES: Tri.NO, Tri.NO: Tri.YES, Tri.NOT_TOLD: Tri.NOT_TOLD}


def _number(limit: int, least: int, most: int) -> tuple[Tri, int, int]:
    if least > limit:
        return Tri.NO, least, limit
    return (Tri.YES if most <= limit else Tri.NOT_TOLD), (NONE if most >= UNBOUNDED else most), limit


def _within(value: object, allowed: frozenset[object] | frozenset[int]) -> Tri:
    if value is None:
        return Tri.NOT_TOLD
    return Tri.YES if value in allowed else Tri.NO


def _in_country(term: Term, country: str) -> Tri:
    if not country:
        return Tri.NOT_TOLD
    allowed = (not term.only_countries or country in term.only_countries) and country not in term.not_countries
    return Tri.YES if allowed else Tri.NO


def _parts(term: Term, asked: Asked) -> Tri:
    if not asked.parts:
        return Tri.NOT_TOLD
    return Tri.YES if asked.parts <= term.parts else Tri.NO
