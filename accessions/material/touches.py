"""Marks that verdicts are to be looked at again: written by whatever changes facts or papers.

The rooms of facts do not know of verdicts; they leave a mark, and the verdicts room takes it up (decision 3).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from accessions.material.models import Touch

Scope = Touch.Scope


def touch(scope: Scope, keys: Iterable[int] = (0,), *, by: Any, why: str) -> None:
    """Mark what changed. Call it inside the transaction of the change.

    Args:
        scope: what the keys are of; ``Scope.COUNTRY`` and ``Scope.PAPER`` take the key of the sheet or paper.
        keys: primary keys; ``(0,)`` for all.
    """
    Touch.objects.bulk_create(Touch(scope=scope, key=key, why=why[:200], by=by) for key in keys)
