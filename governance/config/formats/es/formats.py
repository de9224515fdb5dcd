"""Spanish. Pages ask for a day in the English order ("j F Y"); here stands how the same is written in Spanish.

Django looks a format up by its name before it takes it as it stands, so that a format that pages ask for can be a name.
The preposition between day, month and year: Real Academia Española, Ortografía de la lengua española (2010).
"""

from __future__ import annotations

DATE_INPUT_FORMATS = ["%Y-%m-%d"]
"""In forms days are ISO 8601, whatever the language: 03/04 is two days."""

IN_PLACE_OF = {
    "j F": r"j \d\e F",
    "j F Y": r"j \d\e F \d\e Y",
    "j F Y, H:i": r"j \d\e F \d\e Y, H:i",
    "j F Y, H:i:s": r"j \d\e F \d\e Y, H:i:s",
    "l j F Y": r"l j \d\e F \d\e Y",
    "F Y": r"F \d\e Y",
    # Names of months begin small; M would begin with a capital.
    "j M": "j b",
    "j M Y": "j b Y",
    "j M Y, H:i": "j b Y, H:i",
    "j M Y, H:i:s": "j b Y, H:i:s",
    "j M, H:i": "j b, H:i",
    "D j M": "D j b",
    "M Y": "b Y",
}
globals().update(IN_PLACE_OF)
