"""While the past is asked, what a statement reads is put in place before it runs, and nothing is written."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Final

from django.db import connection
from django.utils.translation import gettext as _

from governance.audit.clocks.errors import AsKnownError
from governance.audit.clocks.shadows import Shadows

_READS: Final = re.compile(r"[\s(]*(SELECT|WITH|EXPLAIN|VALUES|SAVEPOINT|RELEASE|ROLLBACK TO)\b", re.IGNORECASE)
_WRITES: Final = re.compile(r"\b(INSERT\s+INTO|UPDATE\s+\S+\s+SET|DELETE\s+FROM|MERGE\s+INTO)\b", re.IGNORECASE)


class Guard:
    """Stands before every statement of one connection and lets through what reads."""

    def __init__(self, shadows: Shadows) -> None:
        self._shadows, self._is_making = shadows, False

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if not self._is_making:
            if not _READS.match(sql) or (_begins_with(sql, "WITH") and _WRITES.search(sql)):
                raise AsKnownError(_("The register of an earlier moment can be read, not changed."))
            self._make(self._shadows.missing(sql))
        return execute(sql, params, many, context)

    def _make(self, names: list[str]) -> None:
        if not names:
            return
        self._is_making = True
        _allow_writes()
        try:
            self._shadows.put(names)
        finally:
            _refuse_writes()
            self._is_making = False


def _begins_with(sql: str, word: str) -> bool:
    return sql.lstrip("( \n\t").upper().startswith(word)


def is_guarded() -> bool:
    """Whether the past is asked on this connection already."""
    return any(isinstance(wrapper, Guard) for wrapper in connection.execute_wrappers)


@contextmanager
def guarded(shadows: Shadows) -> Iterator[None]:
    """Refuse writes within. The database refuses them too, for those that pass no wrapper: COPY, plain cursors.

    PostgreSQL does not allow writes again in a transaction that refused them, so there all is put in place at once.
    """
    if connection.vendor == "postgresql":
        shadows.put_all()
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL transaction_read_only = on")
    _refuse_writes()
    try:
        with connection.execute_wrapper(Guard(shadows)):
            yield
    finally:
        _allow_writes()


def _refuse_writes() -> None:
    _switch("on")


def _allow_writes() -> None:
    _switch("off")


def _switch(state: str) -> None:
    """On SQLite by the plain connection: after an error Django lets nothing pass until the transaction is rolled back.
    On PostgreSQL it ends with the transaction."""
    if connection.vendor == "sqlite" and connection.connection is not None:
        connection.connection.execute(f"PRAGMA query_only = {state}")
