"""Ways of freezing dry material that people published, as an offer: what a delivery had is kept as it was written.

Each value has its source. The hours are the longest that the source names, counted from when the material goes in;
where the source counts from another moment, ``note`` says so. A museum's own rule is written by hand instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Regime:
    """One published way. degrees_c: None where the source was not read for it."""

    key: str
    words: Any
    degrees_c: float | None
    hours: int
    source: Any
    note: Any = ""


REGIMES: Final = (
    Regime(
        "minus-30-72h", _("-30 °C for 72 hours"), -30, 72,
        "a curator of a museum in London, leps-l mailing list, 2000",
    ),
    Regime(
        "minus-30-48h", _("Below -30 °C for two days"), -30, 48,
        "Norfolk Museums, Taxacom mailing list, 2000",
        _("The two days count from when the lowest temperature is reached; add the hours that your freezer needs."),
    ),
    Regime(
        "minus-20-10d", _("-20 °C for 6 to 10 days"), -20, 240,
        "US National Park Service, Conserve O Gram 3/6, 1994",
        _("240 hours are the ten days; six days are 144 hours."),
    ),
    Regime(
        "two-cycles", _("Two cycles of 48 hours, thawed between"), None, 96,
        "US National Park Service, Conserve O Gram 3/6, 1994",
        _("Both cycles together, without the time between them; write the temperature of your freezer."),
    ),
    Regime(
        "minus-20-48h", _("-20 °C for 48 hours, of which 24 at the core"), -20, 48,
        "staff of the Royal British Columbia Museum, leps-l mailing list, 1999 and 2000",
    ),
    Regime(
        "minus-18-86h", _("Below -17.6 °C for 50 hours, after up to 36 hours of cooling"), -17.6, 86,
        "Bergh and others, Collection Forum: larvae of dermestid beetles and clothes moths",
        _("50 hours and the 36 that the inside of thick material took to get so cold."),
    ),
    Regime(
        "minus-20-2w", _("-20 °C for two weeks"), -20, 336, _("common house rule, no source"),
    ),
)  # fmt: skip
"""The better sourced and shorter first; the house rule without a source last."""

OWN: Final = "own"
NONE: Final = "none"
"""Choices beside the published ones: another treatment, and none at all."""

WAIVERS: Final = (
    _("It is in ethanol"),
    _("It is in another preserving fluid"),
    _("On slides, sealed"),
)
"""Usual reasons for no quarantine, as suggestions: common practice, no source (fluid material is not frozen)."""


def regime(key: str) -> Regime | None:
    """The regime of a key; None for another treatment."""
    return next((one for one in REGIMES if one.key == key), None)
