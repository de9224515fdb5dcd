"""Nothing is written while the past is asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Final

from django.db import connection
from django.utils.translation import gettext as _

from governance.audit.clocks.errors import AsKnownError

_READS: Final = re.compile(r"[\s(]*(SELECT|WITH|EXPLAIN|VALUES|SAVEPOINT|RELEASE|ROLLBACK TO)\b", re.IGNORECASE)
_WRITES: Final = re.compile(r"\b(INSERT\s+INTO|UPDATE\s+\S+\s+SET|DELETE\s+FROM|MERGE\s+INTO)\b", re.IGNORECASE)


class Guard:
    """Stands before every statement of one connection and lets through what reads."""

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if not _READS.match(sql) or (_begins_with(sql, "WITH") and _WRITES.search(sql)):
            raise AsKnownError(_("The register of an earlier moment can be read, not changed."))
        return execute(sql, params, many, context)


def _begins_with(sql: str, word: str) -> bool:
    return sql.lstrip("( \n\t").upper().startswith(word)


def is_guarded() -> bool:
    """Whether the past is asked on this connection already."""
    return any(isinstance(wrapper, Guard) for wrapper in connection.execute_wrappers)


@contextmanager
def guarded() -> Iterator[None]:
    """Refuse writes within. The database refuses them too, for those that pass no wrapper: COPY, plain cursors."""
    _refuse_writes()
    try:
        with connection.execute_wrapper(Guard()):
            yield
    finally:
        _allow_writes()


def _refuse_writes() -> None:
    sql = "SET LOCAL transaction_read_only = on" if connection.vendor == "postgresql" else "PRAGMA query_only = on"
    with connection.cursor() as cursor:
        cursor.execute(sql)


def _allow_writes() -> None:
    """On PostgreSQL it ends with the transaction. On SQLite by the plain connection: after an error Django lets nothing
    pass until the transaction is rolled back."""
    if connection.vendor == "sqlite" and connection.connection is not None:
        connection.connection.execute("PRAGMA query_only = off")
