"""Distinct combinations of columns, where there are few possible numbers and where there are too many for one table."""

from __future__ import annotations

import numpy as np
import pytest

from governance.engine.distinct import distinct


@pytest.mark.parametrize("most", [3, 2**31 - 3], ids=["small numbers", "numbers too large to multiply"])
def test_combinations_of_four_columns(most: int) -> None:
    """By hand: rows 0 and 3 are one combination, rows 1, 2 and 4 differ from them in the last column or the first."""
    rows = [(most, -1, most, 1), (most, -1, most, 0), (0, -1, most, 1), (most, -1, most, 1), (most, -1, most, 2)]
    columns = [np.array(column, np.int32) for column in zip(*rows, strict=True)]

    example, number = distinct(columns)

    assert example.tolist() == [2, 1, 0, 4]
    assert number.tolist() == [2, 1, 0, 2, 3]
