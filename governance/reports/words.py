"""What the pages of reports say about kinds, parts, texts and steps. The words of a report itself are those of its
language (``writing``)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.utils.translation import gettext_lazy as _

from governance.reports.models import ReportKind

KIND_FOR: Final[Mapping[str, Any]] = {
    ReportKind.PROVIDER: _("To a country or under one agreement: what was taken, where it is, what was done with it, "
                           "what was given back, what is open."),
    ReportKind.BENEFITS: _("To a country or under one agreement, once a year: what was promised, what was given."),
    ReportKind.AGENCY: _("To the authority of one permit: numbers by taxon for a year; also where nothing was taken."),
    ReportKind.LANDOWNER: _("To the owner of land, on a page or two: thanks, what was found there, where it is kept."),
    ReportKind.DILIGENCE: _("For a declaration under EU Regulation 511/2014: the fields, and where each one is known."),
    ReportKind.CERTIFICATE: _("Whether a certificate holds the nine items of Article 17(4) of the Nagoya Protocol."),
}  # fmt: skip
"""What each kind is for, in one line."""

PART_WORDS: Final[Mapping[str, Any]] = {
    "agreement": _("Agreement and papers"), "material": _("Material"), "where": _("Where it is now"),
    "exceptions": _("Exceptions"), "movements": _("Movements and recipients"), "uses": _("Uses"),
    "sequences": _("Sequences"), "publications": _("Publications"), "deposits": _("Deposits in the country"),
    "benefits": _("Benefits"), "losses": _("Used up and lost"), "changes": _("Changes"), "duties": _("Open duties"),
    "unknown": _("What the register cannot tell"), "map": _("Map"), "people": _("People who took part"),
    "permit": _("The permit"), "taken": _("Numbers by taxon"), "findings": _("Findings"),
    "duplicate": _("Duplicates"), "samples": _("Samples"), "declarations": _("Declarations"),
    "signature": _("Signature"), "thanks": _("Thanks"), "species": _("Species"), "notable": _("What is notable"),
    "kept": _("Where it is kept"), "done": _("What was done with it"), "fields": _("Fields"),
    "declaration": _("Declaration"), "items": _("The nine items"),
}  # fmt: skip

TEXT_WORDS: Final[Mapping[str, tuple[Any, Any]]] = {
    "introduction": (_("Introduction"), _("A few sentences at the beginning: who writes, and why")),
    "changes": (_("Changes"), _("Changes of use or of holder since the last report, and who agreed to them")),
    "remedies": (_("Remedies"), _("What is done about the exceptions, beyond what is recorded with each")),
    "closing": (_("Closing"), _("The last sentences, such as whom to ask")),
    "people": (_("People who took part"), _("Partners, trainees and co-authors, with what they did")),
    "findings": (_("Findings"), _("What was found, in a few sentences")),
    "duplicate": (_("Duplicates"), _("Where duplicates went, and under which numbers")),
    "released": (_("Released alive"), _("One line a taxon, such as “Salmo trutta: 12”. Empty: not told")),
    "salvaged": (_("Salvaged"), _("Found dead and kept; one line a taxon, such as “Salmo trutta: 2”")),
    "transfer": (_("Transfers"), _("What was passed on under the permit, and who agreed")),
    "thanks": (_("Thanks"), _("To the owner, in your own words")),
    "notable": (_("What is notable"), _("A rare species, a first record, an old one found again")),
    "done": (_("What was done with it"), _("In a few sentences, for somebody who is not of the trade")),
    "research": (_("Subject of the research"), _("Kind and purpose of the research")),
    "grant": (_("Grant"), _("Funder and number of the grant")),
    "recipient": (_("User"), _("Name and address of the one who declares")),
    "funding": (_("Source of the money"), _("Where it comes from; name “private” if it does")),
    "confidential": (_("Confidential"), _("Which of the fields are confidential, and why")),
    "product": (_("Product"), _("Name and kind of the product, where there is one")),
    "event": (_("What the declaration is made for"), _("Such as a request for market approval")),
}
"""Name and hint of each text that people write."""

STEP_WORDS: Final[Mapping[str, Any]] = {
    "material": _("Reading the material"), "papers": _("Reading the papers"), "verdicts": _("Reading the verdicts"),
    "uses": _("Reading uses and movements"), "benefits": _("Reading benefits and deposits"),
    "unknown": _("Looking for what is not known"), "figures": _("Counting"),
}  # fmt: skip
"""Steps of composing; a step that is not named here speaks for itself."""


def plain(key: str) -> str:
    """A key for which there are no words: "used_up" as "Used up"."""
    return key.replace("_", " ").replace("-", " ").capitalize()


def part_words(key: str) -> Any:
    """The name of a part."""
    return PART_WORDS.get(key, plain(key))


def text_words(key: str) -> Any:
    """The name of a text that people write."""
    return TEXT_WORDS[key][0] if key in TEXT_WORDS else plain(key)
