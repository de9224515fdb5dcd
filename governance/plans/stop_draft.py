"""A stop that is not in the register yet: as it was pasted, loaded or copied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class StopDraft:
    """values: by field of ``Stop``. targets, traps: by their fields; None: what stands there stays."""

    values: Mapping[str, Any] = field(default_factory=dict)
    targets: Sequence[Mapping[str, Any]] | None = ()
    traps: Sequence[Mapping[str, Any]] | None = ()
