"""Which tests of a paper are not yes, a bit each; the bits are numbered here (VERDICTS sections 3 to 6)."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

Failing = npt.NDArray[np.uint16]
"""Bits of the tests that are not yes, by row: bit ``1 << DATE``, and so on."""

# Numbers of the bits; ranks and outcomes are made of them, but none is stored.
DATE: Final = 0
PLACE: Final = 1
TAXON: Final = 2
METHODS: Final = 3
PEOPLE: Final = 4
SEXES: Final = 5
STAGES: Final = 6
NUMBERS: Final = 7
UNREAD: Final = 8

TESTS: Final = (UNREAD, DATE, PLACE, TAXON, METHODS, PEOPLE, SEXES, STAGES, NUMBERS)
"""In the order in which findings are written; UNREAD: the paper has no version that could be tested."""
