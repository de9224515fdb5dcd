"""The index of the words of all pages. The database keeps it in step by itself, so that nobody who writes a page can
forget it: SQLite by triggers on a table of its full-text extension FTS5, PostgreSQL by an index on what it computes.

Both index the same: the words of ``ScanPage.folded`` that stand between blanks. Neither the tokenizer of one nor the
parser of the other decides what a word is (``reading/folding.py`` does), so both give the same answers. Where words
stand is not indexed: phrases are looked for in the pages that hold all their words.
"""

from __future__ import annotations

from typing import Any, Final

TABLE: Final = "scans_words"
_PAGES: Final = "scans_scanpage"

_SQLITE: Final = (
    f"""CREATE VIRTUAL TABLE IF NOT EXISTS {TABLE} USING fts5(
        folded, content='{_PAGES}', content_rowid='id', detail='none', prefix='2 3 4',
        tokenize="unicode61 remove_diacritics 0")""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_added AFTER INSERT ON {_PAGES} BEGIN
        INSERT INTO {TABLE} (rowid, folded) VALUES (new.id, new.folded); END""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_removed AFTER DELETE ON {_PAGES} BEGIN
        INSERT INTO {TABLE} ({TABLE}, rowid, folded) VALUES ('delete', old.id, old.folded); END""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_changed AFTER UPDATE OF folded ON {_PAGES} BEGIN
        INSERT INTO {TABLE} ({TABLE}, rowid, folded) VALUES ('delete', old.id, old.folded);
        INSERT INTO {TABLE} (rowid, folded) VALUES (new.id, new.folded); END""",
)
_SQLITE_REBUILD: Final = f"INSERT INTO {TABLE} ({TABLE}) VALUES ('rebuild')"

POSTGRES_WORDS: Final = f"array_to_tsvector(array_remove(string_to_array({_PAGES}.folded, ' '), ''))"
"""What PostgreSQL indexes: a tsvector of the words as they are, without dictionary or parser."""

_POSTGRES: Final = f"CREATE INDEX IF NOT EXISTS {TABLE} ON {_PAGES} USING gin (({POSTGRES_WORDS}))"


def make(connection: Any) -> None:
    """Make the index where it is missing, and fill it."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRES)
            return
        for statement in (*_SQLITE, _SQLITE_REBUILD):
            cursor.execute(statement)


def drop(connection: Any) -> None:
    """Take the index away."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"DROP INDEX IF EXISTS {TABLE}")
            return
        for name in ("added", "removed", "changed"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_{name}")
        cursor.execute(f"DROP TABLE IF EXISTS {TABLE}")


def exists(connection: Any) -> bool:
    """Whether the index is there. Without it the search reads all pages, with the same answers."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            return True  # by what is computed, whether or not it is indexed
        cursor.execute("SELECT 1 FROM sqlite_master WHERE type = 'trigger' AND name = %s", [f"{TABLE}_added"])
        return cursor.fetchone() is not None
