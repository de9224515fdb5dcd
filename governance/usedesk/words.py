"""Sentences of the desk: what decided, and the clause that it stands on. Neutral: they blame nobody.

Who reads them matters: that a paper exists and how it answers is for everybody, its clauses, pages and numbers are for
its readers. Sentences without a reader hold nothing of that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from django.conf import settings
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, override

from governance.engine.tables import NONE
from governance.engine.uses import NOT_HEARD, Answer, Case, Finding
from governance.papers.models import USE_NAMES, Paper, PaperVersion
from governance.papers.restriction import opens
from governance.usedesk.models import ANSWER_NAMES

if TYPE_CHECKING:
    from governance.usedesk.queries.groups import DeskAnswer


_OF_PAPER: Final[Mapping[str, Promise]] = {
    "allowed": gettext_lazy("%(paper)s allows it"),
    "duties": gettext_lazy("%(paper)s allows it with duties"),
    "ask": gettext_lazy("%(paper)s asks for written agreement first"),
    "not-allowed": gettext_lazy("%(paper)s does not allow it"),
    "silent": gettext_lazy("%(paper)s is silent on it"),
    "not-heard": gettext_lazy("%(paper)s is silent on it, and not expected to speak of it"),
    "title-elsewhere": gettext_lazy("%(paper)s is silent on it, and title lies with somebody else, who is asked first"),
    "paper-unread": gettext_lazy("Nobody has read %(paper)s yet"),
    "terms-unread": gettext_lazy("Nobody has read %(paper)s for this use yet"),
    "not-yet": gettext_lazy("No version of %(paper)s had started by %(day)s"),
    "not-granted": gettext_lazy("%(paper)s is not known to have been granted"),
    "revoked": gettext_lazy("%(paper)s was revoked on %(measure_day)s: its terms bind on, and the provider is asked"),
    "withdrawn": gettext_lazy("The consent %(paper)s was withdrawn on %(measure_day)s: the provider is asked"),
    "surrendered": gettext_lazy("%(paper)s was given back on %(measure_day)s: the provider is asked"),
    "suspended": gettext_lazy("%(paper)s is suspended since %(measure_day)s: the provider is asked"),
    "recipient": gettext_lazy("%(paper)s limits who may receive, and this recipient is not among them"),
    "recipient-not-told": gettext_lazy("%(paper)s limits who may receive, and the kind of recipient is not told"),
    "country": gettext_lazy("%(paper)s limits where it may go, and this country is not among them"),
    "country-not-told": gettext_lazy("%(paper)s limits where it may go, and the country is not told"),
    "commercial": gettext_lazy("%(paper)s allows it for non-commercial purposes only, and this one is commercial"),
    "commercial-not-told": gettext_lazy("%(paper)s allows it for non-commercial purposes only, and whether this one is commercial is not told"),  # noqa: E501
    "identification": gettext_lazy("%(paper)s allows it for identification only, and more is asked"),
    "identification-not-told": gettext_lazy("%(paper)s allows it for identification only, and whether that is all is not told"),  # noqa: E501
    "parts": gettext_lazy("%(paper)s limits which parts may be taken, and others are asked for"),
    "parts-not-told": gettext_lazy("%(paper)s limits which parts may be taken, and the parts are not told"),
    "most-specimens": gettext_lazy("%(paper)s limits the number of specimens, and more are asked for"),
    "most-specimens-not-told": gettext_lazy("%(paper)s limits the number of specimens, and how many these are is not known exactly"),  # noqa: E501
    "embargo": gettext_lazy("%(paper)s has an embargo that is not over on %(day)s"),
    "agreed": gettext_lazy("The provider agreed for this request, under %(paper)s"),
    "refused": gettext_lazy("The provider refused this request, under %(paper)s"),
}  # fmt: skip
"""What a paper says, by the code of the finding, without its words."""

_OF_MATERIAL: Final[Mapping[str, Promise]] = {
    "no-terms": gettext_lazy("No paper on file speaks of it"),
    "not-judged": gettext_lazy("Not checked against its papers yet, or a change waits to be checked; a person decides"),
    "verdict-covered": gettext_lazy("Covered by its papers on collecting; by house rule that is not enough"),
    "verdict-not-required": gettext_lazy("No papers on collecting were required; by house rule that is not enough"),
    "verdict-cannot-tell": gettext_lazy("Whether it was collected within terms cannot be told; a person decides"),
    "verdict-straddles": gettext_lazy("It straddles the terms on collecting; a person decides"),
    "verdict-outside": gettext_lazy("Outside terms on collecting; a person decides"),
    "verdict-missing": gettext_lazy("No paper on collecting is on file; a person decides"),
    "export-held": gettext_lazy("The export paper is held and travels with it"),
    "export-needed": gettext_lazy("An export permit is needed first"),
    "export-not-known": gettext_lazy("Whether an export permit is needed is not known"),
    "import-held": gettext_lazy("The import paper is held and travels with it"),
    "import-needed": gettext_lazy("An import permit is needed first"),
    "import-not-known": gettext_lazy("Whether an import permit is needed is not known"),
    "cites-held": gettext_lazy("The CITES paper is held and travels with it"),
    "cites-exchange-label": gettext_lazy("It goes under the label of a scientific exchange (CITES, Article VII, paragraph 6)"),  # noqa: E501
    "cites-needed": gettext_lazy("CITES lists the species: a CITES paper is needed first"),
    "cites-not-known": gettext_lazy("Whether CITES lists the species is not known"),
}  # fmt: skip

_LIMITS: Final[Mapping[str, Promise]] = {
    "most-specimens": gettext_lazy("%(measure)s specimens, %(against)s allowed"),
    "embargo": gettext_lazy("until %(against_day)s"),
}
"""What was compared, for readers of the paper."""

SILENCE_READINGS: Final[Mapping[int, Promise]] = {
    NOT_HEARD: gettext_lazy("by house rule it is not expected to speak of it"),
    Answer.ALLOWED: gettext_lazy("by house rule silence is read as allowed"),
    Answer.WITH_DUTIES: gettext_lazy("by house rule silence is read as allowed with duties"),
    Answer.ASK_FIRST: gettext_lazy("by house rule silence means: ask first"),
    Answer.SILENT: gettext_lazy("silence is not a yes, a person decides"),
    Answer.NOT_KNOWN: gettext_lazy("silence is not a yes, a person decides"),
    Answer.NOT_ALLOWED: gettext_lazy("by house rule silence is read as not allowed"),
}
"""How the house reads silence, for the second half of a sentence."""


@dataclass(frozen=True)
class ClauseQuote:
    """The clause that a finding stands on, in the words of its paper: for readers of the paper only.

    text: blank where the paper is silent. version: the one in force on the day.
    """

    paper: Paper
    reference: str
    text: str
    clause_number: str
    page: int | None
    version: PaperVersion
    is_silent: bool = False
    whole_text_read: bool = False

    @property
    def place(self) -> str:
        """Where it stands: "clause 13.1, page 6"."""
        return _place(self.clause_number, self.page)


def finding_words(finding: Finding, desk: DeskAnswer, user: Any = None, *, with_use: bool = True) -> str:
    """One sentence on a finding, ended by a full stop.

    Args:
        user: who reads it: whoever may read the paper is told the clause, its page and its numbers. None: anybody.
        with_use: whether the use is named where several are asked for.
    """
    words = str(_ALL_WORDS.get(finding.code, finding.code)) % _Values(finding, desk)
    is_read_by_rule = finding.is_silent and finding.code in ("silent", "no-terms")
    more = [str(SILENCE_READINGS[finding.answer])] if is_read_by_rule else []
    if with_use and len(desk.facts.uses) > 1:
        words = f"{USE_NAMES[finding.use]}: {words}"
    paper = desk.papers.get(finding.paper)
    if paper is not None and user is not None and opens(paper, user):
        more += _for_readers(finding, desk)
    return f"{words} ({'; '.join(more)})." if more else f"{words}."


_ALL_WORDS: Final = {**_OF_PAPER, **_OF_MATERIAL}


def _for_readers(finding: Finding, desk: DeskAnswer) -> list[str]:
    """Clause, page and numbers."""
    quote = clause_of(finding, desk)
    place = quote.place if quote is not None else ""
    limit = str(_LIMITS[finding.code]) % _Values(finding, desk) if finding.code in _LIMITS else ""
    return [part for part in (place, limit) if part]


class _Values(dict[str, str]):
    """What stands between the words of a sentence."""

    def __init__(self, finding: Finding, desk: DeskAnswer) -> None:
        super().__init__(
            paper=desk.references[finding.paper] if finding.paper != NONE else "",
            day=_day(desk.facts.day.toordinal()), measure=intcomma(finding.measure), against=intcomma(finding.against),
            measure_day=_day(finding.measure), against_day=_day(finding.against),
        )  # fmt: skip


def _day(number: int) -> str:
    """A day in a text, "17 June 2024"; of a number that is no day, nothing."""
    return date_format(date.fromordinal(number), "j F Y") if number > 1 else ""


def _place(clause_number: str, page: int | None) -> str:
    parts = [_("clause %(number)s") % {"number": clause_number}] if clause_number else []
    return ", ".join([*parts, *([_("page %(page)s") % {"page": page}] if page else [])])


def clause_of(finding: Finding, desk: DeskAnswer) -> ClauseQuote | None:
    """The clause on which a finding stands; None where no clause was entered. Show it to readers of the paper only."""
    term, version = desk.term(finding), desk.versions.get((finding.paper, finding.version))
    paper = desk.papers.get(finding.paper)
    if term is None or version is None or paper is None:
        return None
    reading = desk.reading(finding)
    return ClauseQuote(
        paper, paper.reference, term.clause, term.clause_number, term.page, version, finding.is_silent,
        bool(reading and reading.whole_text_read),
    )  # fmt: skip


def snapshot(case: Case, desk: DeskAnswer) -> list[dict[str, Any]]:
    """What decided, to be kept: so that a use stays judged by the terms of its day.

    sentence: for everybody. clause, clause_number, page, measure, against: for readers of the paper alone; whoever
    shows them asks ``is_readable`` of the paper with the key ``paper``. In English, whoever records it.
    """
    with override(settings.LANGUAGE_CODE):
        return [_kept(finding, desk) for finding in case.deciding]


def _kept(finding: Finding, desk: DeskAnswer) -> dict[str, Any]:
    quote = clause_of(finding, desk)
    paper, version = desk.papers.get(finding.paper), desk.versions.get((finding.paper, finding.version))
    start = version.in_force_from if version else None
    return {
        "code": finding.code, "answer": int(finding.answer), "word": str(ANSWER_NAMES[finding.answer]),
        "is_silent": finding.is_silent, "use": int(finding.use), "paper": paper.pk if paper else None,
        "reference": desk.references[finding.paper] if finding.paper != NONE else "",
        "version": version.pk if version else None, "version_start": start.isoformat() if start else None,
        "clause": quote.text if quote else "", "clause_number": quote.clause_number if quote else "",
        "page": quote.page if quote else None, "measure": finding.measure, "against": finding.against,
        "sentence": finding_words(finding, desk),
    }  # fmt: skip
