"""Three answers, and how they join: no beats unknown beats yes (VERDICTS sections 1 and 7)."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

Answers = npt.NDArray[np.uint8]
"""Answers by row, uint8: ``YES``, ``UNKNOWN`` or ``NO``. Nothing is missing: what is not known is ``UNKNOWN``."""

YES: Final = 0
"""The paper allows it."""

UNKNOWN: Final = 1
"""What is recorded does not tell; never a default for either of the others."""

NO: Final = 2
"""The paper does not allow it."""


def and_(*answers: Answers) -> Answers:
    """The answer of all tests together: the worst one, by row.

    Args:
        answers: one column a test, uint8, all of one shape; at least one.

    >>> and_(np.array([YES, YES, UNKNOWN]), np.array([YES, UNKNOWN, NO])).tolist()
    [0, 1, 2]
    """
    joined = answers[0]
    for other in answers[1:]:
        joined = np.maximum(joined, other)
    return joined
