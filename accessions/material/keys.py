"""No key of a specimen is ever given twice: histories, sealed results and removals point at it for ever.

SQLite forgets the highest key that was ever given when a migration writes the table anew, and counts on from the
highest one that is there. So it is told again after every migration; PostgreSQL counts apart from the table.
"""

from __future__ import annotations

from typing import Any, Final

from django.db import DEFAULT_DB_ALIAS, connections

_TABLES: Final = frozenset({"material_specimen", "material_removal", "sqlite_sequence"})


def keep_keys_given(*, using: str = DEFAULT_DB_ALIAS, **_of_the_signal: Any) -> None:
    """Let the next specimen get a key above those of all that were removed. Called after migrations."""
    connection = connections[using]
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM sqlite_master WHERE name IN (%s, %s, %s)", sorted(_TABLES))
        if cursor.fetchone()[0] < len(_TABLES):
            return
        cursor.execute("SELECT max(specimen) FROM material_removal")
        if highest := cursor.fetchone()[0]:
            cursor.execute("UPDATE sqlite_sequence SET seq = max(seq, %s) WHERE name = 'material_specimen'", [highest])
            if not cursor.rowcount:  # no specimen is left that would tell a key
                cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES ('material_specimen', %s)", [highest])
