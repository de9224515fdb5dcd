"""An answer as pages show it: signs and colours, the bar, the reasons of a group with what their reader may read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from governance.engine.tables import Layer
from governance.engine.uses import Answer, Finding
from governance.engine.uses.findings import OF_READING, OF_WAY
from governance.papers.models import USE_NAMES, Paper, PaperVersion, TermsReading
from governance.papers.restriction import opens, restricted_words
from governance.usedesk.models import ANSWER_NAMES, SilenceRule
from governance.usedesk.queries.groups import DeskAnswer, Group
from governance.usedesk.words import ClauseQuote, clause_of, finding_words

ICONS: Final[Mapping[Answer, str]] = {
    Answer.ALLOWED: "u-allowed", Answer.WITH_DUTIES: "u-duties", Answer.ASK_FIRST: "u-ask", Answer.SILENT: "u-silent",
    Answer.NOT_KNOWN: "u-unread", Answer.NOT_ALLOWED: "u-no",
}  # fmt: skip
"""Drawings of the answers in the sprite."""

COLOURS: Final[Mapping[Answer, str]] = {
    Answer.ALLOWED: "covered", Answer.WITH_DUTIES: "duties", Answer.ASK_FIRST: "cannot", Answer.SILENT: "straddle",
    Answer.NOT_KNOWN: "missing", Answer.NOT_ALLOWED: "outside",
}  # fmt: skip
"""``data-v`` of the answers."""

_ROOM_FOR_A_COUNT: Final = 6.0
"""Percent of the bar from which on a count fits inside."""

REASONS_SHOWN: Final = 5
"""Reasons of a group that a list shows; its own page shows all."""


@dataclass(frozen=True)
class Sign:
    """An answer in word, drawing and colour."""

    answer: Answer

    @property
    def word(self) -> Any:
        return ANSWER_NAMES[self.answer]

    @property
    def icon(self) -> str:
        return ICONS[self.answer]

    @property
    def colour(self) -> str:
        return COLOURS[self.answer]


@dataclass(frozen=True)
class Share:
    """One stretch of the bar of answers; x, width and middle in percent, as text."""

    sign: Sign
    count: int
    x: str
    width: str
    middle: str
    is_labelled: bool


def shares(counts: Mapping[Answer, int]) -> list[Share]:
    """The stretches of the bar, mildest word first; words that nobody got have none.

    >>> [(one.count, one.x, one.width) for one in shares({Answer.ALLOWED: 3, Answer.NOT_ALLOWED: 1})]
    [(3, '0.00', '75.00'), (1, '75.00', '25.00')]
    """
    total, start, found = sum(counts.values()), 0.0, []
    for word in Answer:
        count = counts.get(word, 0)
        width = 100 * count / total if total else 0.0
        if count:
            found.append(
                Share(Sign(word), count, f"{start:.2f}", f"{width:.2f}", f"{start + width / 2:.2f}",
                      width >= _ROOM_FOR_A_COUNT)
            )  # fmt: skip
        start += width
    return found


@dataclass(frozen=True)
class Reason:
    """What one paper, or the footing, or the way says alike to some uses, for one reader.

    findings: one a use; count: specimens of which it decides. quotes: clauses, for readers of the paper only;
    restricted: the line in their place. version: in force on the day; paper: the one that speaks, whoever reads. rule:
    how the house reads silence. duties: what must be done for it, for readers.
    """

    findings: tuple[Finding, ...]
    words: str
    count: int
    paper: Paper | None = None
    version: PaperVersion | None = None
    quotes: tuple[ClauseQuote, ...] = ()
    restricted: str = ""
    reading: TermsReading | None = None
    rule: SilenceRule | None = None
    duties: tuple[str, ...] = ()
    of_all_uses: bool = False

    @property
    def code(self) -> str:
        return self.findings[0].code

    @property
    def answer(self) -> Answer:
        return self.findings[0].answer

    @property
    def uses(self) -> list[Any]:
        """Names of the uses to which it speaks; none if these are all that are asked for."""
        return [] if self.of_all_uses else [USE_NAMES[finding.use] for finding in self.findings]

    @property
    def is_unread(self) -> bool:
        return self.code in OF_READING

    @property
    def is_not_expected(self) -> bool:
        """Whether the paper is silent, and by a house rule not expected to speak of it."""
        return self.code == "not-heard"

    @property
    def sentence(self) -> str:
        """The uses, then the words."""
        names = [str(name) for name in self.uses]
        uses = ", ".join(name if not at else name[:1].lower() + name[1:] for at, name in enumerate(names))
        return f"{uses}: {self.words}" if uses else self.words


def reasons(counts: Mapping[Finding, int], desk: DeskAnswer, user: Any) -> list[Reason]:
    """The reasons as a person may read them, what decides of most first; of as many those with a clause first.

    Args:
        counts: by finding, the specimens of which it decides.
    """
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for finding in sorted(counts, key=lambda one: one.use):
        place = (finding.code, finding.paper, finding.version, finding.answer, finding.measure, counts[finding])
        alike.setdefault(place, []).append(finding)
    told = [_reason(tuple(found), counts[found[0]], desk, user) for found in alike.values()]
    return sorted(told, key=lambda one: (-one.count, not one.quotes, one.is_unread))


def _reason(findings: tuple[Finding, ...], count: int, desk: DeskAnswer, user: Any) -> Reason:
    first = findings[0]
    paper = desk.papers.get(first.paper)
    may_read = paper is not None and opens(paper, user)
    quotes = [quote for finding in findings if (quote := clause_of(finding, desk)) is not None]
    duties = dict.fromkeys(duty for finding in findings for duty in _duties(finding, desk))
    return Reason(
        findings=findings,
        words=finding_words(first, desk, None if len(quotes) > 1 else user, with_use=False),
        count=count,
        paper=paper,
        version=desk.versions.get((first.paper, first.version)),
        quotes=tuple({(quote.text, quote.place): quote for quote in quotes}.values()) if may_read else (),
        restricted=restricted_words(paper.restricted_to) if paper is not None and quotes and not may_read else "",
        reading=desk.reading(first) if may_read else None,
        rule=desk.silence_rule(first) if first.is_silent else None,
        duties=tuple(duties) if may_read else (),
        of_all_uses=len(findings) == len(desk.facts.uses),
    )


def _duties(finding: Finding, desk: DeskAnswer) -> Iterator[str]:
    """What the clause and the version ask for, where the answer is that it may go with duties."""
    term, reading = desk.term(finding), desk.reading(finding)
    if finding.code not in ("duties", "silent") or term is None:
        return
    yield from (text for text in (term.duties, term.other_condition) if text)
    if term.amount:
        yield _("Amount: %(amount)s") % {"amount": term.amount}
    if reading is not None and reading.acknowledgement:
        yield _("Acknowledgement: %(words)s") % {"words": reading.acknowledgement}


@dataclass(frozen=True)
class ShownGroup:
    """A group for one reader. undecided, approved, declined: how its specimens stand among the decisions."""

    group: Group
    desk: DeskAnswer
    user: Any
    undecided: int
    approved: int
    declined: int

    @property
    def sign(self) -> Sign:
        return Sign(self.group.word)

    @property
    def read_as(self) -> Any:
        """Of silence: how the house reads it; else nothing."""
        return ANSWER_NAMES[self.group.answer] if self.group.word != self.group.answer else ""

    @cached_property
    def reasons(self) -> list[Reason]:
        counts: dict[Finding, int] = dict.fromkeys(self.group.findings, 0)
        for group in self.group.parts or (self.group,):
            for finding in group.findings:
                counts[finding] += group.count
        return reasons(counts, self.desk, self.user)

    @property
    def is_mixed(self) -> bool:
        """Whether not all of its specimens have the same reasons."""
        return len(self.group.parts) > 1

    @cached_property
    def speaking(self) -> list[Reason]:
        """The reasons without papers that are silent and not expected to speak; all where there is no other."""
        return [one for one in self.reasons if not one.is_not_expected] or self.reasons

    @cached_property
    def not_expected(self) -> list[Reason]:
        """What was left out of :attr:`speaking`."""
        return [] if len(self.speaking) == len(self.reasons) else [one for one in self.reasons if one.is_not_expected]

    @property
    def first_reasons(self) -> list[Reason]:
        return self.speaking[:REASONS_SHOWN]

    @property
    def more_reasons(self) -> int:
        return max(0, len(self.speaking) - REASONS_SHOWN)

    @cached_property
    def papers(self) -> list[Paper]:
        """The papers that decide, each once."""
        found = {one.paper.pk: one.paper for one in self.speaking if one.paper is not None}
        return list(found.values())

    @property
    def to_ask(self) -> list[Paper]:
        """Papers whose provider is asked: those that ask, and those that are silent where nobody decided."""
        asks = [one for one in self.reasons if one.paper is not None and not one.is_unread and _is_for_provider(one)]
        return list({one.paper.pk: one.paper for one in asks if one.paper is not None}.values())

    @property
    def to_read(self) -> list[tuple[Paper, PaperVersion | None]]:
        """Papers that nobody has read for this use, with the version in force; None: not read at all."""
        unread = {one.paper.pk: (one.paper, one.version) for one in self.reasons if one.paper and one.is_unread}
        return list(unread.values())

    @property
    def way_layers(self) -> list[str]:
        """The papers of the way there that decide, by the codes of their layers."""
        found = {one.code.split("-")[0] for one in self.reasons if one.code in OF_WAY}
        return [layer.code for layer in (Layer.EXPORT, Layer.IMPORT, Layer.CITES) if layer.code in found]

    @property
    def facts_missing(self) -> bool:
        """A clause asks about a fact that the request does not tell."""
        return any(one.code.endswith("-not-told") for one in self.reasons)


def _is_for_provider(reason: Reason) -> bool:
    return reason.answer in (Answer.ASK_FIRST, Answer.SILENT)


def shown_groups(
    groups: Sequence[Group], desk: DeskAnswer, user: Any, decided: Mapping[int, bool]
) -> Iterator[ShownGroup]:
    """Groups for one reader. decided: by specimen, whether it may go; those that are not there are undecided."""
    for group in groups:
        told = [decided[pk] for pk in group.ids if pk in decided]
        yield ShownGroup(group, desk, user, group.count - len(told), sum(told), len(told) - sum(told))


def answer_sentence(counts: Mapping[Answer, int], may_go: int) -> tuple[str, str]:
    """The answer first, then the rest, in whole sentences: "308 of 400 can go now, 96 of them with duties.".

    Args:
        counts: by the answer that counts, not by the word: silence is where the house reads it.
    """
    total, duties = sum(counts.values()), counts.get(Answer.WITH_DUTIES, 0)
    told = {"go": intcomma(may_go), "all": intcomma(total), "duties": intcomma(duties)}
    if not may_go:
        first = _("None of %(all)s can go now.") % told if total != 1 else _("It cannot go now.")
    elif duties == may_go:
        first = _("%(go)s of %(all)s can go now, with duties.") % told
    elif duties:
        first = _("%(go)s of %(all)s can go now, %(duties)s of them with duties.") % told
    else:
        first = _("%(go)s of %(all)s can go now.") % told
    return first, _rest(counts)


def _rest(counts: Mapping[Answer, int]) -> str:
    person = counts.get(Answer.SILENT, 0) + counts.get(Answer.NOT_KNOWN, 0)
    parts = [
        _said(counts.get(Answer.ASK_FIRST, 0), _("%(n)s waits for an agreement"), _("%(n)s wait for an agreement")),
        _said(counts.get(Answer.NOT_ALLOWED, 0), _("%(n)s stays here"), _("%(n)s stay here")),
        _said(person, _("%(n)s needs a person to read or decide"), _("%(n)s need a person to read or decide")),
    ]
    text = ", ".join(part for part in parts if part)
    return f"{text}." if text else ""


def _said(count: int, one: str, many: str) -> str:
    return "" if not count else (one if count == 1 else many) % {"n": intcomma(count)}
