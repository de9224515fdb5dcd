"""Uses that were made, on pages: answers of their day, where specimens are, how papers want to be named."""

from __future__ import annotations

from typing import Any

from django import template

from governance.engine.uses import Answer
from governance.usedesk.models import ANSWER_NAMES, MadeUse
from governance.usedesk.queries.acknowledging import Acknowledgements
from governance.usedesk.queries.acknowledging import acknowledgements as read
from governance.usedesk.queries.one_use import STATES, is_silence

register = template.Library()

_DRAWN = {
    Answer.ALLOWED: ("covered", "u-allowed"), Answer.WITH_DUTIES: ("duties", "u-duties"),
    Answer.ASK_FIRST: ("cannot", "u-ask"), Answer.SILENT: ("straddle", "u-silent"),
    Answer.NOT_KNOWN: ("missing", "u-unread"), Answer.NOT_ALLOWED: ("outside", "u-no"),
}  # fmt: skip


@register.filter
def answer_colour(code: str) -> str:
    """The colours of an answer, by its word in addresses."""
    return _DRAWN[_of(code)][0]


@register.filter
def answer_sign(code: str) -> str:
    """The sign of an answer in the sprite, by its word in addresses."""
    return _DRAWN[_of(code)][1]


def _of(code: str) -> Answer:
    return next(answer for answer in Answer if answer.code == code)


@register.filter
def answer_then(item: Any) -> Any:
    """The answer that a specimen had on the day: silence is called silence, however the house read it."""
    return ANSWER_NAMES[Answer.SILENT if is_silence(item.answer, item.reasons) else Answer(item.answer)]


@register.filter
def state_name(state: str) -> Any:
    """Where a specimen of a loan is."""
    return STATES.get(state, "")


@register.simple_tag
def acknowledgements(made: MadeUse, reader: Any) -> Acknowledgements:
    """How the papers that bear on the specimens want to be named in print."""
    return read(made, reader)
