"""From the words of a scan to values that a person may take over. Pure: no register, no clock, nothing is saved."""

from governance.papers.offers.cues import language_of
from governance.papers.offers.numbers import looks_alike
from governance.papers.offers.offer import Offer, Origin, PageText, WhyNot
from governance.papers.offers.reading import FIELDS, offers_in

__all__ = ["FIELDS", "Offer", "Origin", "PageText", "WhyNot", "language_of", "looks_alike", "offers_in"]
