"""Where the words of verdicts stand, and the way to their help pages is shown."""

from __future__ import annotations

from collections.abc import Sequence

from django import template

from governance.audit.asking import Column, ColumnKind

register = template.Library()

_OF_VERDICTS = frozenset({ColumnKind.VERDICT, ColumnKind.STRIP})


@register.filter
def tell_verdicts(columns: Sequence[Column]) -> bool:
    """Whether the rows of an answer tell verdicts or their reasons."""
    return any(column.kind in _OF_VERDICTS or column.key == "reason" for column in columns)
