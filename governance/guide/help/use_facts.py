"""The facts of a worked example of the use desk in words: what is asked, what the papers say, and the sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final, cast

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from governance.engine.tables import NONE, Verdict
from governance.engine.uses import Answer, Finding, Ownership, RecipientKind, Said, Use
from governance.guide.help.facts import Line, pause_words
from governance.guide.help.kept import Kept
from governance.papers.models import OWNERSHIP_NAMES, RECIPIENT_NAMES, SAID_NAMES, USE_NAMES, PaperKind
from governance.usedesk.models import ANSWER_NAMES
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.questions import Facts
from governance.usedesk.words import finding_words
from governance.verdicts.models import VERDICT_NAMES
from governance.verdicts.shown_days import short_day


@dataclass(frozen=True)
class _Told:
    """As much of an answer of the desk as a sentence for everybody reads: nothing of it is in the register."""

    facts: Facts
    references: Sequence[str]
    papers: Mapping[int, Any] = field(default_factory=dict)


def sentences(kept: Kept) -> Sequence[str]:
    """The deciding reasons, in the words of the use desk."""
    uses = tuple(Use.from_code(code) for code in kept["uses"])
    told = _Told(Facts(uses, date.fromisoformat(kept["day"])), [one["reference"] for one in kept["papers"]])
    return [finding_words(_finding(row), cast("DeskAnswer", told)) for row in kept["findings"]]


def _finding(row: Kept) -> Finding:
    paper = NONE if row["paper"] is None else row["paper"]
    answer = _member(Answer, row["answer"])
    return Finding(
        answer, row["code"], Use.from_code(row["use"]), paper, NONE, row["measure"], row["against"], row["is_silent"]
    )


def _member(words: Any, code: str) -> Any:
    return words[code.upper().replace("-", "_")]


def use_names(codes: Sequence[str]) -> str:
    """Kinds of use in words."""
    return "; ".join(str(USE_NAMES[Use.from_code(code)]) for code in codes)


def asked(kept: Kept) -> Sequence[Line]:
    """What is asked, what is told of it, and what the house and the provider say."""
    lines = [Line(_("Asked for"), use_names(kept["uses"]))]
    lines += [Line(NAMES[term], _VALUES[term](value)) for term, value in kept["facts"] if term in NAMES]
    return lines


NAMES: Final[Mapping[str, Promise]] = {
    "recipient": gettext_lazy("Recipient"),
    "country": gettext_lazy("Goes to"),
    "commercial": gettext_lazy("For a commercial purpose"),
    "identification": gettext_lazy("For identification only"),
    "parts": gettext_lazy("Parts asked for"),
    "verdict": gettext_lazy("Verdict on the material"),
    "listed": gettext_lazy("Listed by CITES"),
    "way": gettext_lazy("Papers of the way there"),
    "silence": gettext_lazy("House rule on silence"),
    "gates": gettext_lazy("House rule on verdicts"),
    "replies": gettext_lazy("Reply of the provider"),
    "before": gettext_lazy("Already used under the paper"),
    "material": gettext_lazy("Material"),
}
"""Names of what is told; terms of the tables that have none here stay with the tables."""


def _way(values: Sequence[str]) -> str:
    names = (_("export"), _("import"), _("CITES, for a listed species:"))
    return "; ".join(f"{name} {_WAYS[code]}" for name, code in zip(names, values, strict=True))


_WAYS: Final = {
    "not-needed": gettext_lazy("not needed"),
    "held": gettext_lazy("held"),
    "exchange-label": gettext_lazy("by an exchange label"),
    "needed": gettext_lazy("needed"),
    "not-known": gettext_lazy("not known"),
}


def _silence(values: Sequence[str]) -> str:
    use, kind, reading = values
    said = _("not expected to speak") if reading == "not-heard" else ANSWER_NAMES[_member(Answer, reading)]
    return f"{_of_use(use)}, {_of_kind(kind)}: {said}"


def _of_use(code: str) -> str:
    return _("any use") if code == "any" else use_names([code])


def _of_kind(code: str) -> str:
    words = {"any": _("any paper"), "none": _("no paper")}
    return words.get(code) or str(PaperKind(code).label)


def _gate(values: Sequence[str]) -> str:
    use, verdict, told = values
    return f"{use_names([use])}, {VERDICT_NAMES[_member(Verdict, verdict)]}: {ANSWER_NAMES[_member(Answer, told)]}"


def _reply(values: Sequence[str]) -> str:
    paper, use, reply = values
    return f"{_('Paper')} {paper}, {use_names([use])}: {_REPLIES[reply]}"


_REPLIES: Final = {
    "agreed": gettext_lazy("agreed"),
    "waiting": gettext_lazy("no reply yet"),
    "refused": gettext_lazy("refused"),
}


def _before(values: Sequence[str]) -> str:
    return _("%(number)s specimens, %(use)s") % {"number": values[2], "use": use_names([values[1]])}


def _material(values: Sequence[str]) -> str:
    number, papers, source, count = values
    parts = [_("lot %(number)s") % {"number": number}]
    parts += [_("under %(papers)s") % {"papers": papers}] if papers else []
    parts += [_("made from lot %(number)s") % {"number": source}] if source else []
    return ", ".join([*parts, *([_("%(count)s individuals") % {"count": count}] if count != "1" else [])])


def _yes(value: str) -> str:
    return str(_ANSWERED.get(value, value))


_ANSWERED: Final = {
    "yes": gettext_lazy("yes"),
    "no": gettext_lazy("no"),
    "not-told": gettext_lazy("not told"),
    "unknown": gettext_lazy("not known"),
}

_VALUES: Final[Mapping[str, Callable[[Any], str]]] = {
    "recipient": lambda value: str(RECIPIENT_NAMES[_member(RecipientKind, value)]),
    "country": str, "commercial": _yes, "identification": _yes, "parts": str, "listed": _yes,
    "verdict": lambda value: _("not yet checked") if value == "none" else str(VERDICT_NAMES[_member(Verdict, value)]),
    "way": _way, "silence": _silence, "gates": _gate, "replies": _reply, "before": _before, "material": _material,
}  # fmt: skip


@dataclass(frozen=True)
class PaperSays:
    """A paper of an example: its number, and what it says."""

    reference: str
    lines: Sequence[Line]


def papers(kept: Kept) -> Sequence[PaperSays]:
    """The papers, each with its kind, how it stands, and its clauses."""
    return [PaperSays(one["reference"], list(_lines(one))) for one in kept["papers"]]


def _lines(paper: Kept) -> list[Line]:
    lines = [Line(_("Kind"), str(PaperKind(paper["kind"]).label))]
    if paper["ended"]:
        code, day = paper["ended"]
        lines.append(Line(_ENDED[code], _day(day)))
    lines += [Line(_("Suspended"), pause_words(pause)) for pause in paper["suspended"]]
    if not paper["versions"]:
        lines.append(Line(_("Terms"), _("not read yet")))
    for version in paper["versions"]:
        lines += _of_version(version)
    return lines


_ENDED: Final = {
    "revoked": gettext_lazy("Revoked on"),
    "withdrawn": gettext_lazy("Withdrawn on"),
    "surrendered": gettext_lazy("Given back on"),
    "refused": gettext_lazy("Refused on"),
    "applied": gettext_lazy("Applied for on"),
}


def _day(text: str) -> str:
    return short_day(date.fromisoformat(text))


def _of_version(version: Kept) -> list[Line]:
    lines = [Line(_("Version from"), _day(version["from"]))] if version["from"] else []
    if version["owner"] != "not-said":
        lines.append(Line(_("Who keeps the title"), str(OWNERSHIP_NAMES[_member(Ownership, version["owner"])])))
    return lines + [Line(USE_NAMES[Use.from_code(term["use"])], _term(term)) for term in version["terms"]]


def _term(term: Kept) -> str:
    said = str(SAID_NAMES[_member(Said, term["said"])])
    conditions = list(_conditions(term))
    if conditions and term["otherwise"] != "not-allowed":
        conditions.append(_("otherwise: %(said)s") % {"said": SAID_NAMES[_member(Said, term["otherwise"])]})
    return "; ".join([said, *conditions])


def _conditions(term: Kept) -> Sequence[str]:
    recipients = ", ".join(str(RECIPIENT_NAMES[_member(RecipientKind, code)]) for code in term["recipients"])
    found = [
        (recipients, _("only to: %(value)s")),
        (", ".join(term["only_in"]), _("only in: %(value)s")),
        (", ".join(term["not_in"]), _("not in: %(value)s")),
        (term["non_commercial"], _("non-commercial only")),
        (term["identification"], _("for identification only")),
        (term["most"], _("at most %(value)s specimens")),
        (", ".join(term["parts"]), _("only: %(value)s")),
        (term["not_before"] and _day(term["not_before"]), _("not before %(value)s")),
        (term["duties"], _("with a duty")),
    ]
    return [words % {"value": value} for value, words in found if value]
