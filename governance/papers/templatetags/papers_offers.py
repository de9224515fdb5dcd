"""Offers from the words of a scan, in templates: what they say, why some are not offered, where their words stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import template
from django.template.context import Context
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.papers.countries import country_name
from governance.papers.forms.offers import OfferRow, stands
from governance.papers.models import AcceptedOffer, PaperScan
from governance.papers.offers import Offer, Origin, WhyNot, looks_alike
from governance.papers.queries import exchange_object
from governance.papers.queries.reading_notes import ReadingNotes
from governance.papers.queries.reading_notes import reading_notes as notes_of_readings
from governance.scans.pane import boxes_text

register = template.Library()
_DAYS = ("issued_on", "in_force_from", "in_force_to")
_SURE = 85


@register.filter
def offered_words(offer: Offer) -> str:
    """The value as a person reads it: ``22 April 2024``, ``Georgia (GE)``."""
    if not offer.value:
        return ""
    if offer.field in _DAYS:
        return day_words(offer.value)
    if offer.field == "jurisdiction":
        return f"{country_name(offer.value)} ({offer.value})"
    return offer.value


@register.filter
def day_words(day: str | date) -> str:
    """``22 April 2024``."""
    return date_format(date.fromisoformat(day) if isinstance(day, str) else day, "j F Y")


@register.filter
def why_not_words(offer: Offer) -> str:
    """Why the words are shown and no value is offered; what a person can do."""
    if offer.why_not == WhyNot.TWO_READINGS:
        first, other = (day_words(day) for day in offer.readings)
        return _("Can be meant as %(first)s or %(other)s. Choose, or look at the page.") % {
            "first": first, "other": other,
        }  # fmt: skip
    return {
        WhyNot.TWO_DIGIT_YEAR: _("The century is not written. Type the date if you know it."),
        WhyNot.NO_SUCH_DAY: _("This day is not in the calendar. Look at the page."),
        WhyNot.LETTER_FOR_FIGURE: _("A letter stands where a figure should be. Look at the page and type the date."),
        WhyNot.UNSURE: _("Read with little certainty. Look at the page and type the date."),
        WhyNot.BLANK_INSIDE: _("A blank was read inside the number. Look at the page and type it."),
        WhyNot.NO_YEAR: _("The year is not written. Look at the page."),
        "": "",
    }[offer.why_not]


@register.filter
def sure_words(offer: Offer) -> str:
    """How sure the recognition is of the least sure word; "" for the text of the file itself."""
    return "" if offer.confidence is None else _("%(n)d %% sure") % {"n": offer.confidence}


@register.filter
def is_unsure(offer: Offer) -> bool:
    """Whether the recognition was unsure enough to say so aloud."""
    return offer.confidence is not None and offer.confidence < _SURE


@register.filter
def origin_words(offer: Offer) -> str:
    """How the value was found, where that says how far to trust it; also signs that are easily confused."""
    if offer.field in ("reference", "second_number") and looks_alike(offer.value):
        return _("check O and 0, l and 1")
    return {
        Origin.LETTERHEAD: _("from the letterhead"),
        Origin.KNOWN_NAME: _("known in the register"),
        Origin.LATIN_FORM: _("has the form of a Latin name"),
    }.get(Origin(offer.origin), "")


@register.filter
def is_words_only(row: OfferRow) -> bool:
    """Whether the words say all that the value says, so that one of them is enough."""
    return row.offer.field == "conditions"


@register.simple_tag(takes_context=True)
def passage_href(context: Context, page: int, boxes: Sequence[Sequence[float]] = (), anchor: str = "pane") -> str:
    """The address of this page with a passage shown in the pane; what else stands in the address stays."""
    query = context["request"].GET.copy()
    query["page"] = str(page)
    query.pop("mark", None)
    mark = boxes_text([tuple(box) for box in boxes])  # type: ignore[misc]
    if mark:
        query["mark"] = mark
    return f"?{query.urlencode(safe=',;')}#{anchor}"


@dataclass(frozen=True)
class Notes:
    """What the page of a paper says of its readings: their pages, and what of them was taken over and still stands."""

    found: ReadingNotes
    standing: Sequence[AcceptedOffer] = ()


@register.simple_tag(takes_context=True)
def reading_notes(context: Context, page: Any) -> Notes:
    """The notes of a page of a paper (``PaperPage``); nothing for those who may not read it."""
    if not page.is_readable:
        return Notes(ReadingNotes())
    shown = page.shown.version if page.shown else None
    found = notes_of_readings(page.paper, shown, context["request"].user)
    if not found.accepted:
        return Notes(found)
    value = exchange_object(page.paper, with_links=False)
    first = shown.in_force_from.isoformat() if shown and shown.in_force_from else None
    told: dict[str, Any] = next((version for version in value["versions"] if version["in_force_from"] == first), {})
    return Notes(found, [offer for offer in found.accepted if stands(offer, value, told)])


@register.inclusion_tag("papers/_reading_note.html")
def reading_note(notes: Notes | None, subject: str) -> dict[str, Any]:
    """Beside a reading or a fact: the page on which it stands, and who took it over from the words of the scan."""
    if not notes:
        return {}
    fields = _FIELDS_OF_SUBJECT.get(subject, (subject,))
    offers = [offer for offer in notes.standing if offer.field in fields]
    filing, page = notes.found.filing, notes.found.pages.get(subject)
    if page is None and filing is not None:
        page = next((_page_of_paper(offer, filing) for offer in offers), None)
    return {"page": page, "filing": filing, "scan_page": filing.page_of_scan(page) if filing and page else None,
            "offer": offers[0] if offers else None}  # fmt: skip


@register.inclusion_tag("papers/_reading_note.html")
def condition_note(notes: Notes | None, condition: Any) -> dict[str, Any]:
    """The same beside a condition, which carries its own page."""
    if not notes:
        return {"page": condition.page, "is_long": True}
    written = f"p. {condition.page}: {' '.join(condition.text.split())}"
    offers = [offer for offer in notes.standing if offer.field == "conditions" and offer.value == written]
    filing, page = notes.found.filing, condition.page
    return {"page": page, "filing": filing, "scan_page": filing.page_of_scan(page) if filing and page else None,
            "offer": offers[0] if offers else None, "is_long": True}  # fmt: skip


def _page_of_paper(offer: AcceptedOffer, filing: PaperScan) -> int | None:
    first = filing.first_page or 1
    is_inside = offer.scan_id == filing.scan_id and first <= offer.page <= (filing.last_page or offer.page)
    return offer.page - first + 1 if is_inside else None


_FIELDS_OF_SUBJECT = {"valid": ("in_force_from", "in_force_to")}
