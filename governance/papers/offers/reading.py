"""All that is offered from the pages of a paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from governance.papers.offers.conditions import offered_conditions
from governance.papers.offers.countries import country_named
from governance.papers.offers.dating import offered_days
from governance.papers.offers.methods import offered_methods
from governance.papers.offers.numbers import offered_numbers
from governance.papers.offers.offer import Offer, PageText
from governance.papers.offers.parties import offered_parties
from governance.papers.offers.species import offered_taxa

FIELDS: Final = (
    "reference", "second_number", "issued_on", "issuer", "jurisdiction", "holder", "in_force_from", "in_force_to",
    "taxa", "methods", "conditions",
)  # fmt: skip
"""Fields for which something may be offered, in the order of the form."""

MOST_OFFERS: Final = 200
"""A paper of hundreds of pages may list thousands of names: beyond this many nobody looks."""


def offers_in(pages: Sequence[PageText], known_names: Mapping[str, str] | None = None) -> list[Offer]:
    """What the words of these pages offer, by field, each value once, in the order of the pages.

    known_names: names of the classification in small letters -> as written.
    """
    found = [*_by_page(pages, known_names or {}), *offered_conditions(pages)]
    order = {field: place for place, field in enumerate(FIELDS)}
    return sorted(_once(found), key=lambda offer: (order[offer.field], offer.page, offer.start))[:MOST_OFFERS]


def _by_page(pages: Iterable[PageText], known: Mapping[str, str]) -> Iterator[Offer]:
    for page in pages:
        yield from offered_numbers(page)
        yield from offered_days(page)
        yield from offered_parties(page, country_named)
        yield from offered_taxa(page, known)
        yield from offered_methods(page)


def _once(offers: Iterable[Offer]) -> list[Offer]:
    """The first of each value; one that was read with more certainty takes its place."""
    kept: dict[tuple[str, str, str], Offer] = {}
    for offer in offers:
        key = (offer.field, offer.value or offer.words, offer.why_not)
        standing = kept.get(key)
        if standing is None or (standing.confidence or 100) < (offer.confidence or 100):
            kept[key] = offer
    return list(kept.values())
