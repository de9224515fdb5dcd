"""Three answers, and how they join: no beats unknown beats yes."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

Answers = npt.NDArray[np.uint8]

YES: Final = 0
UNKNOWN: Final = 1
NO: Final = 2


def and_(*answers: Answers) -> Answers:
    """The answer of all tests together: the worst one."""
    joined = answers[0]
    for other in answers[1:]:
        joined = np.maximum(joined, other)
    return joined
