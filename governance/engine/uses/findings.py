"""The codes of reasons: what a paper, the footing of the material, or the way there says to a use."""

from __future__ import annotations

from typing import Final

from governance.engine.tables import NONE, Verdict

OF_CLAUSE: Final = ("allowed", "duties", "ask", "not-allowed", "silent", "not-heard", "title-elsewhere")
"""What the version in force says. silent: ``Finding.is_silent``, the answer is how the house reads it. not-heard:
silent, and not expected to speak. title-elsewhere: silent, while title lies with somebody who is to be asked."""

OF_READING: Final = ("paper-unread", "terms-unread", "not-yet", "not-granted")
"""Nobody has read the paper, or its terms on this use; no version had started by the day; it was never granted."""

UNHEARD: Final = frozenset({"not-heard", "not-yet", "not-granted"})
"""Such a paper does not speak of the use: where all others are such too, the reading for no paper counts as well."""

OF_PAPER: Final = ("revoked", "withdrawn", "surrendered", "suspended")
"""The paper holds no longer, or not on this day: its terms bind on, and the provider is asked."""

OF_CONDITIONS: Final = (
    "recipient", "recipient-not-told", "country", "country-not-told", "commercial", "commercial-not-told",
    "identification", "identification-not-told", "parts", "parts-not-told", "most-specimens", "most-specimens-not-told",
    "embargo",
)  # fmt: skip
"""A condition that is certainly not met, or that asks about a fact that the request does not tell.
most-specimens-not-told: how many individuals there are is not known exactly, and may be more than the paper allows."""

OF_REPLY: Final = ("agreed", "refused")
"""What the provider replied for this request."""

OF_MATERIAL: Final = ("no-terms", "not-judged", *(f"verdict-{verdict.code}" for verdict in Verdict))
"""No paper is heard at all; the footing of the material."""

OF_WAY: Final = (
    "export-held", "export-needed", "export-not-known", "import-held", "import-needed", "import-not-known",
    "cites-held", "cites-exchange-label", "cites-needed", "cites-not-known",
)  # fmt: skip
"""The papers of the way there."""

CODES: Final = (*OF_CLAUSE, *OF_READING, *OF_PAPER, *OF_CONDITIONS, *OF_REPLY, *OF_MATERIAL, *OF_WAY)


def verdict_code(verdict: int) -> str:
    """The code of a footing; NONE is not judged."""
    return "not-judged" if verdict == NONE else f"verdict-{Verdict(verdict).code}"
