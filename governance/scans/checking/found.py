"""What the look into a content found, as it travels from the child process to the server."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from governance.scans.checking.kinds import Kind

__all__ = ["MOST_PIXELS", "Found", "Unfit"]

MOST_PIXELS = 150_000_000
"""Pixels of a picture or of a page of one: A2 at 600 dots an inch is 139 million. Decoded it takes 450 MB."""


@dataclass
class Found:
    """A content that is sound. remarks: a code and values each, for ``words``."""

    kind: Kind
    page_count: int | None = None
    has_scripts: bool = False
    remarks: list[tuple[str, dict[str, Any]]] = field(default_factory=list)

    def note(self, code: str, **values: Any) -> None:
        self.remarks.append((code, values))


class Unfit(Exception):  # the content is unfit; nothing went wrong here
    """A content that is not received. code: one of ``words``; values: what its sentence needs."""

    def __init__(self, code: str, **values: Any) -> None:
        super().__init__(code)
        self.code = code
        self.values = values
