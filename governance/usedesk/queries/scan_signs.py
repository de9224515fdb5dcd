"""The answer of the desk for specimens that are being scanned, as one sign and one word."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final

from governance.engine.uses import MAY_GO, Answer
from governance.usedesk.models import ANSWER_NAMES, UseRequest
from governance.usedesk.queries.answering import answers_in_basket
from governance.usedesk.questions import Facts


@dataclass(frozen=True)
class Sign:
    """icon: of the sprite. v: the key of the colours. tone: the sound, "go" or "wait"."""

    word: Any
    icon: str
    v: str
    tone: str


_DRAWN: Final = {
    Answer.ALLOWED: ("u-allowed", "covered"),
    Answer.WITH_DUTIES: ("u-duties", "duties"),
    Answer.ASK_FIRST: ("u-ask", "cannot"),
    Answer.SILENT: ("u-silent", "straddle"),
    Answer.NOT_KNOWN: ("u-unread", "missing"),
    Answer.NOT_ALLOWED: ("u-no", "outside"),
}
"""Drawing and colours of each answer."""


def sign_of(word: Answer, answer: Answer) -> Sign:
    """word: what screens say. answer: what decides whether it may go: silence may be read either way."""
    icon, v = _DRAWN[word]
    return Sign(ANSWER_NAMES[word], icon, v, "go" if answer in MAY_GO else "wait")


def signs_of(request: UseRequest, specimens: Collection[int]) -> Mapping[int, Sign]:
    """The sign of each specimen, by its key, as it stands in the basket: limits of number count all of it."""
    if not specimens:
        return {}
    desk = answers_in_basket(Facts.of(request), sorted(specimens))
    found = {key: desk.case_of(key) for key in desk.ids}
    return {key: sign_of(case.word, case.answer) for key, case in found.items()}
