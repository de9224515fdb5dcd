"""No key of a specimen is ever given twice: histories, sealed results and removals point at it for ever.

SQLite forgets the highest key that was ever given when a migration writes the table anew, and counts on from the
highest one that is there. So each migration that changes the table of specimens ends with
``migrations.RunPython(keep_keys_given, migrations.RunPython.noop)``; a test holds that. PostgreSQL counts apart from
the table.
"""

from __future__ import annotations

from typing import Any


def keep_keys_given(_apps: Any, schema_editor: Any) -> None:
    """Let the next specimen get a key above those of all that were removed."""
    if schema_editor.connection.vendor != "sqlite":
        return
    with schema_editor.connection.cursor() as cursor:
        cursor.execute("SELECT max(specimen) FROM material_removal")
        if highest := cursor.fetchone()[0]:
            cursor.execute("UPDATE sqlite_sequence SET seq = max(seq, %s) WHERE name = 'material_specimen'", [highest])
            if not cursor.rowcount:  # no specimen is left that would tell a key
                cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES ('material_specimen', %s)", [highest])
