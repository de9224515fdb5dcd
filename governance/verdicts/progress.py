"""Progress of long work on a terminal; silent elsewhere and on work that is done in a moment."""

from __future__ import annotations

from types import TracebackType
from typing import Any, Self


class Progress:
    """One line that names the step and counts the rows."""

    def __init__(self, console: Any) -> None:
        self._console = console
        self._status: Any = None

    def __enter__(self) -> Self:
        if self._console.is_terminal:
            self._status = self._console.status("Starting")
            self._status.start()
        return self

    def step(self, name: str, rows: int) -> None:
        if self._status is not None:
            self._status.update(f"{name}: {rows:,} rows")

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._status is not None:
            self._status.stop()
