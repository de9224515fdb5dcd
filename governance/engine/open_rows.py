"""A column that is filled line by line of a table of rules: the first line that holds settles a row."""

from __future__ import annotations

import numpy as np

from governance.engine.columns import Column
from governance.engine.tables import BoolColumn, FloatColumn, Rows


class OpenRows:
    """A column being filled: which of its rows no line of the table has settled yet."""

    def __init__(self, column: Column, rows: Rows) -> None:
        self.column = column
        self.rows = rows
        self._open = np.ones(len(rows), bool)

    def left(self) -> Rows:
        """All places still open. A place here is a row of the column."""
        return np.flatnonzero(self._open)

    def keep_open(self, places: Rows) -> Rows:
        """Those of the places that are still open."""
        return places[self._open[places]]

    def where(self, flags: BoolColumn) -> Rows:
        """Open places whose row has the flag; flags are over all places of the grounds."""
        return np.flatnonzero(self._open & flags[self.rows])

    def among(self, rows: Rows) -> Rows:
        """Open places whose row is one of these."""
        return np.flatnonzero(self._open & np.isin(self.rows, rows)) if len(rows) else np.zeros(0, np.int64)

    def filter(self, places: Rows, flags: BoolColumn) -> Rows:
        """Those of the places whose row has the flag."""
        return places[flags[self.rows[places]]]

    def close(self, places: Rows) -> None:
        """The places are settled."""
        self._open[places] = False

    def settle(self, places: Rows, answer: int, code: str = "", **values: FloatColumn | float) -> None:
        """Settle places in the column, and close them."""
        self.column.settle(places, answer, code, **values)
        self.close(places)
