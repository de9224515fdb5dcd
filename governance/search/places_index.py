"""The index of the words of places as records write them. The database keeps it in step by itself, as that of the words
of scans (``governance.scans.words_index``): whoever enters sampling events need not know of the search.

SQLite folds and parts words by the tokenizer of its full-text extension FTS5; PostgreSQL by an expression that is
written here. Both fold case and accents; letters that Unicode does not take apart (ø, ł) stay themselves.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Any, Final

TABLE: Final = "search_places"
NUMBERS: Final = "search_specimen_numbers"
_EVENTS: Final = "material_samplingevent"
_LONGEST: Final = 500
"""Letters of a locality that PostgreSQL indexes: it refuses words of more than 2,046 bytes."""

_SQLITE: Final = (
    f"""CREATE VIRTUAL TABLE IF NOT EXISTS {TABLE} USING fts5(
        locality, site_name, content='{_EVENTS}', content_rowid='id', detail='none', prefix='2 3 4',
        tokenize="unicode61 remove_diacritics 2")""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_added AFTER INSERT ON {_EVENTS} BEGIN
        INSERT INTO {TABLE} (rowid, locality, site_name) VALUES (new.id, new.locality, new.site_name); END""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_removed AFTER DELETE ON {_EVENTS} BEGIN
        INSERT INTO {TABLE} ({TABLE}, rowid, locality, site_name)
        VALUES ('delete', old.id, old.locality, old.site_name); END""",
    f"""CREATE TRIGGER IF NOT EXISTS {TABLE}_changed AFTER UPDATE OF locality, site_name ON {_EVENTS} BEGIN
        INSERT INTO {TABLE} ({TABLE}, rowid, locality, site_name)
        VALUES ('delete', old.id, old.locality, old.site_name);
        INSERT INTO {TABLE} (rowid, locality, site_name) VALUES (new.id, new.locality, new.site_name); END""",
)


def _accented() -> tuple[str, str]:
    """Latin letters that are a plain one with an accent (Unicode, canonical decomposition), and the plain ones."""
    pairs = [
        (chr(code), unicodedata.normalize("NFD", chr(code))[0])
        for code in [*range(0xC0, 0x250), *range(0x1E00, 0x1F00)]
    ]
    kept = [(letter, plain.lower()) for letter, plain in pairs if plain != letter and plain.isascii()]
    return "".join(letter for letter, _plain in kept), "".join(plain for _letter, plain in kept)


_FROM, _TO = _accented()
_PLAIN: Final = str.maketrans(_FROM, _TO)
_POSTGRES_WORDS: Final = (
    "array_to_tsvector(array_remove(string_to_array(regexp_replace(lower(translate("
    f"left(locality || ' ' || site_name, {_LONGEST}), '{_FROM}', '{_TO}')), '[^[:alnum:]]+', ' ', 'g'), ' '), ''))"
)
_POSTGRES: Final = (
    f"CREATE INDEX IF NOT EXISTS {TABLE} ON {_EVENTS} USING gin (({_POSTGRES_WORDS}))",
    # Numbers that begin with what was typed: PostgreSQL orders text by the rules of a language and finds no beginnings
    # by its usual index.
    f"CREATE INDEX IF NOT EXISTS {NUMBERS} ON material_specimen (catalog_number varchar_pattern_ops)",
)


def make(connection: Any) -> None:
    """Make the index where it is missing, and fill it."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            for statement in _POSTGRES:
                cursor.execute(statement)
            return
        for statement in (*_SQLITE, f"INSERT INTO {TABLE} ({TABLE}) VALUES ('rebuild')"):
            cursor.execute(statement)


def drop(connection: Any) -> None:
    """Take the index away."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"DROP INDEX IF EXISTS {TABLE}")
            cursor.execute(f"DROP INDEX IF EXISTS {NUMBERS}")
            return
        for name in ("added", "removed", "changed"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_{name}")
        cursor.execute(f"DROP TABLE IF EXISTS {TABLE}")


def exists(connection: Any) -> bool:
    """Whether the index is there: SQLite drops triggers with a table that a migration makes anew."""
    if connection.vendor == "postgresql":
        return True  # by what is computed, whether or not it is indexed
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM sqlite_master WHERE type = 'trigger' AND name = %s", [f"{TABLE}_added"])
        return cursor.fetchone() is not None


_WORD: Final = re.compile(r"[^\W_\u19b0-\u19c0\u19c8\u19c9\u1cf2\u1cf3]+")
"""The signs named here are letters since Unicode 8.0 and 10.0, and marks to FTS5, which knows 6.1: it would take a word
apart at them, and refuse."""


def words_of(text: str) -> list[str]:
    """The words of what was typed, in small letters without accents; letters and digits alone, so that none can be an
    operator.

    >>> words_of("Hällsjön, NE-shore")
    ['hallsjon', 'ne', 'shore']
    """
    plain = unicodedata.normalize("NFC", text).translate(_PLAIN).lower()
    return list(dict.fromkeys(_WORD.findall(plain)))[:20]


def question(connection: Any, words: Sequence[str], most: int) -> tuple[str, list[Any]]:
    """The statement that gives the keys of sampling events in which words begin with each of these, and its values."""
    if connection.vendor == "postgresql":
        asked = " & ".join(f"'{word}':*" for word in words)
        return f"SELECT id FROM {_EVENTS} WHERE {_POSTGRES_WORDS} @@ %s::tsquery LIMIT %s", [asked, most]
    asked = " AND ".join(f'"{word}" *' for word in words)
    return f"SELECT rowid FROM {TABLE} WHERE {TABLE} MATCH %s LIMIT %s", [asked, most]
