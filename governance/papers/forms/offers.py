"""Offers beside a form: which can be taken over, what taking one does to the form, and which were taken in the end.

Nothing is taken over without a click. A click puts the value into its box and notes the offer in the form
(``taken``); only what still stands in its box when the paper is saved counts as taken over.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any, Final, Protocol

from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext_lazy as _

from governance.papers.actions.offers import ReadFrom
from governance.papers.countries import country_name
from governance.papers.forms import lines
from governance.papers.forms.places import code_of
from governance.papers.offers import FIELDS, Offer, WhyNot, language_of
from governance.papers.queries.beside import Beside, offers_beside

TAKE: Final = "take"
LOOK: Final = "show_words"
TAKEN: Final = "taken"
LISTS: Final = ("taxa", "methods", "conditions")
"""Fields of several values, one a line: a value is added to them, never put in the place of another."""

FACE_FIELDS: Final = ("reference", "second_number", "issued_on", "issuer", "jurisdiction", "holder")
TERM_FIELDS: Final = ("in_force_from", "in_force_to", *LISTS)
PAGE_OF: Final[Mapping[str, str]] = {
    "in_force_from": "page_valid", "in_force_to": "page_valid", "taxa": "page_taxa", "methods": "page_methods",
}  # fmt: skip
"""The box for the page of the reading into which a value goes."""

LABELS: Final[Mapping[str, Any]] = {
    "reference": _("Reference"), "second_number": _("Second number"), "issued_on": _("Issued on"),
    "issuer": _("Given by"), "jurisdiction": _("Country or province"), "holder": _("Held by"),
    "in_force_from": _("Valid from"), "in_force_to": _("Valid to"), "taxa": _("Taxa"), "methods": _("Methods"),
    "conditions": _("Conditions"),
}  # fmt: skip


@dataclass(frozen=True)
class Choice:
    """A value that one click takes over. key: tells it apart; written: as it stands in its box; day: if it is one."""

    key: str
    written: str
    offer: Offer
    day: date | None = None


@dataclass(frozen=True)
class OfferRow:
    """An offer on the page. state: "standing" (its box holds it), "blank", "other" (its box holds something else).

    present: what the box holds instead. boxes: where the words stand on the page of the scan, 0 to 1.
    """

    offer: Offer
    choices: Sequence[Choice]
    state: str
    present: str
    boxes: Sequence[Sequence[float]]


@dataclass(frozen=True)
class OfferGroup:
    """The offers for one field."""

    field: str
    label: Any
    rows: Sequence[OfferRow]
    is_list: bool

    @property
    def addable(self) -> Sequence[OfferRow]:
        """Rows of a list that are not in their box yet."""
        return [row for row in self.rows if row.choices and row.state != "standing"]


class OffersBeside:
    """The offers of the scan beside a form, as far as the form has boxes for them."""

    def __init__(self, beside: Beside | None, fields: Iterable[str]) -> None:
        self.beside = beside
        self._fields = frozenset(fields)

    @cached_property
    def offers(self) -> list[Offer]:
        """All of them, with ambiguous days as they stand on the paper."""
        return [offer for offer in offers_beside(self.beside) if offer.field in self._fields]

    @cached_property
    def choices(self) -> dict[str, Choice]:
        """All that can be taken over, by key."""
        return {choice.key: choice for offer in self.offers for choice in choices_of(offer)}

    def taken_over(self, request: HttpRequest) -> QueryDict | None:
        """What was typed, with the values of the button of the offers that was pressed; None if it was none of them.
        A button that only shows a passage changes nothing."""
        if request.method != "POST" or not {TAKE, LOOK} & request.POST.keys():
            return None
        data = request.POST.copy()
        for key in data.pop(TAKE, []):
            for choice in self._pressed(str(key)):
                self._take(choice, data)
        return data

    def _pressed(self, key: str) -> list[Choice]:
        if key.startswith("all-"):
            return [choice for choice in self.choices.values() if choice.offer.field == key[4:] and key[4:] in LISTS]
        return [self.choices[key]] if key in self.choices else []

    def _take(self, choice: Choice, data: QueryDict) -> None:
        field = choice.offer.field
        if field in LISTS:
            there = lines.filled_lines(data.get(field, ""))
            data[field] = "\n".join(there if _is_held(choice, there) else [*there, choice.written])
        else:
            data[field] = choice.written
        page = PAGE_OF.get(field)
        if page and not data.get(page):
            data[page] = str(choice.offer.of_paper)
        if choice.key not in data.getlist(TAKEN):
            data.appendlist(TAKEN, choice.key)

    def taken(self, data: QueryDict) -> list[Offer]:
        """The offers that were taken in this form, whether or not they still stand in it."""
        keys = dict.fromkeys(data.getlist(TAKEN))
        found = [self.choices[key] for key in keys if key in self.choices]
        return [
            replace(choice.offer, value=choice.day.isoformat() if choice.day else choice.offer.value)
            for choice in found
        ]

    def read(
        self, data: QueryDict, *, face: Mapping[str, Any], version: Mapping[str, Any] | None,
        pages: Mapping[str, int] | None = None,
    ) -> ReadFrom:  # fmt: skip
        """What is kept with the paper on saving: the offers that still stand in what was typed, and the pages."""
        told = version or {}
        start = told.get("in_force_from")
        return ReadFrom(
            beside=self.beside, taken=[offer for offer in self.taken(data) if stands(offer, face, told)],
            pages=pages, has_version=version is not None, start=date.fromisoformat(start) if start else None,
            version_fields=TERM_FIELDS,
        )  # fmt: skip

    def groups(self, *forms: Any) -> list[OfferGroup]:
        """By field, as the panel shows them beside what the boxes of these forms hold."""
        values = {
            field.name: str(field.value() or "") for form in forms for field in form if field.name in self._fields
        }
        words = self._words_of_pages() if self.offers else {}
        found = []
        for field in FIELDS:
            rows = [_row(offer, values.get(field, ""), words) for offer in self.offers if offer.field == field]
            if rows:
                found.append(OfferGroup(field, LABELS[field], rows, field in LISTS))
        return found

    def context(self, *forms: Any, data: QueryDict | None = None) -> dict[str, Any]:
        """What the panel and the pane of a page need."""
        return {
            "beside": self.beside, "offers": self.groups(*forms), "taken": data.getlist(TAKEN) if data else [],
            "language_read": language_of(offer.words for offer in self.offers),
        }  # fmt: skip

    def _words_of_pages(self) -> dict[int, list[Any]]:
        if self.beside is None:
            return {}
        pages = {offer.page for offer in self.offers}
        return dict(self.beside.scan.pages.filter(number__in=pages).values_list("number", "words"))


def choices_of(offer: Offer) -> list[Choice]:
    """What a click can take over of an offer: its value; of a day of two readings each, as the person's own choice."""
    if offer.why_not == WhyNot.TWO_READINGS:
        return [Choice(_key(offer, day), day, offer, date.fromisoformat(day)) for day in offer.readings]
    if not offer.value:
        return []
    day = date.fromisoformat(offer.value) if offer.field in ("issued_on", "in_force_from", "in_force_to") else None
    return [Choice(_key(offer, offer.value), _written(offer), offer, day)]


class Taken(Protocol):
    """An offer that was taken over: in the form, or as the register keeps it."""

    @property
    def field(self) -> str: ...

    @property
    def value(self) -> str: ...


def stands(offer: Taken, face: Mapping[str, Any], version: Mapping[str, Any]) -> bool:
    """Whether a paper that is saved holds what was taken over, unchanged. face, version: objects of the exchange
    file."""
    value: Any = (version if offer.field in TERM_FIELDS else face).get(offer.field)
    if offer.field in ("taxa", "methods"):
        return offer.value in lines.filled_lines(lines.taxa_text(value))
    if offer.field == "conditions":
        words = [{key: told[key] for key in ("text", "page") if key in told} for told in value or ()]
        return offer.value in lines.filled_lines(lines.conditions_text(words))
    return (value or "") == offer.value


def _written(offer: Offer) -> str:
    """A value as its box holds it."""
    return f"{country_name(offer.value)} ({offer.value})" if offer.field == "jurisdiction" else offer.value


def _key(offer: Offer, value: str) -> str:
    told = "\x1f".join((offer.field, value, str(offer.page), str(offer.start)))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _row(offer: Offer, present: str, words: Mapping[int, Sequence[Any]]) -> OfferRow:
    choices = choices_of(offer)
    return OfferRow(offer, choices, _state(offer, choices, present), present, _boxes(words.get(offer.page, ()), offer))


def _state(offer: Offer, choices: Sequence[Choice], present: str) -> str:
    held = lines.filled_lines(present)
    if any(_is_held(choice, held) for choice in choices):
        return "standing"
    if offer.field == "jurisdiction" and present and code_of(present) == offer.value:
        return "standing"
    return "blank" if not held or offer.field in LISTS else "other"


def _is_held(choice: Choice, held: Sequence[str]) -> bool:
    """Whether a line holds what is offered; what a condition asks for may stand behind it in brackets."""
    if choice.written in held:
        return True
    return choice.offer.field == "conditions" and any(line.startswith(f"{choice.written} [") for line in held)


def _boxes(words: Sequence[Any], offer: Offer) -> list[list[float]]:
    """Boxes of the words on the page, those of one line joined."""
    found: list[list[float]] = []
    for start, end, left, top, right, bottom, *_more in words:
        if not (start < offer.end and end > offer.start):
            continue
        line = found[-1] if found else None
        if line and top < line[3] and bottom > line[1] and left >= line[0]:
            line[1:] = [min(top, line[1]), max(right, line[2]), max(bottom, line[3])]
        else:
            found.append([left, top, right, bottom])
    return found
