"""How a paper stands on a day, in a word or two, for columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.utils.translation import gettext_lazy

from governance.papers.lifetimes import Standing

STANDING_WORDS: Final[Mapping[Standing, Any]] = {
    Standing.IN_FORCE: gettext_lazy("In force"), Standing.NOT_YET: gettext_lazy("Not yet in force"),
    Standing.BETWEEN: gettext_lazy("Between versions"), Standing.SUSPENDED: gettext_lazy("Suspended"),
    Standing.ENDED: gettext_lazy("Ended"), Standing.REVOKED: gettext_lazy("Revoked"),
    Standing.WITHDRAWN: gettext_lazy("Consent withdrawn"), Standing.SURRENDERED: gettext_lazy("Surrendered"),
    Standing.UNREAD: gettext_lazy("Not read yet"), Standing.APPLIED: gettext_lazy("Applied for"),
    Standing.REFUSED: gettext_lazy("Refused"),
}  # fmt: skip
