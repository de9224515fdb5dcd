"""What entries of the seal cover of each table, and the plain text of a row: the same on every kind of database.

The text is JSON with sorted keys and no spaces: ``{"key":7,"row":{"name":"Dunefield"},"table":"sites_site"}``. How each
kind of column is written stands in ``governance/docs/seal.md``, so that anybody can write a verifier; what is sealed
with one form of the text can be checked by that form alone, so it never changes: a new kind gets a new name.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache, lru_cache
from json.encoder import encode_basestring
from typing import Any, Final

from django.db import connection, models

Cells = tuple[Any, ...]
"""The values of a row as its text is made of them, in the order of the columns of its shape."""

PERSONAL: Final = "personal"
_FEW: Final = 20
_OF_FIELD: Final = {
    "CharField": "text", "TextField": "text", "AutoField": "whole", "BigAutoField": "whole", "IntegerField": "whole",
    "BigIntegerField": "whole", "SmallIntegerField": "whole", "PositiveIntegerField": "whole",
    "PositiveBigIntegerField": "whole", "PositiveSmallIntegerField": "whole", "FloatField": "real",
    "DecimalField": "decimal", "BooleanField": "yes/no", "DateField": "day", "DateTimeField": "moment",
    "JSONField": "json", "BinaryField": "bytes",
}  # fmt: skip

PERSONAL_COLUMNS: Final[Mapping[str, frozenset[str]]] = {
    "people_historicalagent": frozenset({"name", "contact", "remarks"}),
    "people_historicalagentname": frozenset({"form", "key"}),
    "people_historicaluser": frozenset({"first_name", "last_name", "email"}),
}
"""By table, the columns that tell of a person: sealed as the hash of a salt and the value, so that both can go."""


@dataclass(frozen=True)
class Shape:
    """A table and the columns that an entry covers; ``pk`` of its ``SealShape``, 0 before it is kept."""

    table: str
    key: str
    columns: tuple[tuple[str, str], ...]
    is_state: bool
    pk: int = 0

    @property
    def personal(self) -> tuple[str, ...]:
        """The columns whose values can be taken out later."""
        return tuple(name for name, kind in self.columns if kind == PERSONAL)


def is_history(model: type[models.Model]) -> bool:
    """Whether the rows of a model are rows of a history: written once, never changed."""
    return hasattr(model, "instance_type")


@cache
def shape_of(model: type[models.Model]) -> Shape:
    """All columns of a model as it is today, sorted by name; its key aside."""
    key, table = model._meta.pk, model._meta.db_table
    assert key is not None
    personal = PERSONAL_COLUMNS.get(table, frozenset())
    columns = sorted(
        (str(field.column), PERSONAL if field.column in personal else _kind(field))
        for field in model._meta.concrete_fields
        if field is not key
    )
    return Shape(table, str(key.column), tuple(columns), not is_history(model))


def _kind(field: Any) -> str:
    while field.is_relation:
        field = field.target_field
    try:
        return _OF_FIELD[field.get_internal_type()]
    except KeyError:
        raise TypeError(f"{field}: the seal has no form for {field.get_internal_type()} yet") from None


def rows_of(shape: Shape, keys: Collection[int], *besides: str) -> dict[int, Cells]:
    """The rows of a shape's table as they are now, by key; columns ``besides`` follow those of the shape."""
    if not keys:
        return {}
    with connection.cursor() as cursor:
        cursor.execute(f"{_select(shape, besides)} WHERE {among(connection.ops.quote_name(shape.key), keys)}")
        return {row[0]: row[1:] for row in cursor.fetchall()}


def rows_after(shape: Shape, after: int, until: int, most: int) -> list[tuple[int, Cells]]:
    """The first rows with keys above one and up to another, in the order of their keys."""
    key = connection.ops.quote_name(shape.key)
    with connection.cursor() as cursor:
        cursor.execute(
            f"{_select(shape)} WHERE {key} > %s AND {key} <= %s ORDER BY {key} LIMIT %s", [after, until, most]
        )
        return [(row[0], row[1:]) for row in cursor.fetchall()]


def _select(shape: Shape, besides: Sequence[str] = ()) -> str:
    quote = connection.ops.quote_name
    forms = [_sql(quote(name), kind) for name, kind in shape.columns] + [quote(name) for name in besides]
    return f"SELECT {', '.join([quote(shape.key), *forms])} FROM {quote(shape.table)}"


def among(column: str, keys: Collection[int]) -> str:
    """The SQL condition that a column is one of these whole numbers: a range where many of them are one. Few are named
    one by one: after a range the next column of an index is of no use."""
    first, last = min(keys), max(keys)
    if len(keys) > _FEW and last - first + 1 == len(keys):
        return f"{column} BETWEEN {first:d} AND {last:d}"
    return f"{column} IN ({', '.join(map(str, map(int, keys)))})"


def _sql(column: str, kind: str) -> str:
    """The column so that the driver gives it as it stands: ``+`` keeps that of SQLite from converting by the type that
    a column was declared with, and PostgreSQL writes days and moments as text."""
    if connection.vendor != "postgresql":
        return f"+{column}"
    if kind == "moment":
        return f"to_char({column} AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI:SS.US')"
    if kind == "day":
        return f"to_char({column}, 'YYYY-MM-DD')"
    return f"{column}::text" if kind == "json" else column


def writer_of(shape: Shape) -> Callable[[int, Sequence[Any]], bytes]:
    """What writes the text of a row, in UTF-8, from its key and cells; a personal cell holds the hash, in hex."""
    pairs = [(f"{encode_basestring(name)}:", _FORMS[kind]) for name, kind in shape.columns]
    table = encode_basestring(shape.table)

    def written(key: int, cells: Sequence[Any]) -> bytes:
        inner = ",".join(
            [name + ("null" if cell is None else form(cell)) for (name, form), cell in zip(pairs, cells, strict=False)]
        )
        return f'{{"key":{key},"row":{{{inner}}},"table":{table}}}'.encode("utf-8", "surrogatepass")

    return written


def gone_text(shape: Shape, key: int) -> bytes:
    """The text for a row that was there and is not any more."""
    return f'{{"key":{key},"row":null,"table":{encode_basestring(shape.table)}}}'.encode()


def personal_hash(salt: bytes, value: str) -> str:
    """What stands in the text for a value that tells of a person."""
    return hashlib.sha256(salt + value.encode("utf-8", "surrogatepass")).hexdigest()


def _text(cell: Any) -> str:
    return encode_basestring(cell) if type(cell) is str else encode_basestring(str(cell))


def _whole(cell: Any) -> str:
    return str(cell) if type(cell) is int else _text(cell)


def _real(cell: Any) -> str:
    return repr(float(cell)) if isinstance(cell, int | float) else _text(cell)


def _decimal(cell: Any) -> str:
    if not isinstance(cell, int | float | Decimal):
        return _text(cell)
    number = Decimal(repr(cell)) if isinstance(cell, float) else Decimal(cell)
    return f'"{number.normalize() + 0:f}"' if number else '"0"'


def _yes_or_no(cell: Any) -> str:
    return {0: "false", 1: "true"}.get(cell) or _text(cell)


def _moment(cell: Any) -> str:
    """UTC, to the microsecond; SQLite holds it as it was written: with or without fraction and offset."""
    text = str(cell)
    if len(text) == 26:
        return f'"{text}"'
    if len(text) == 19:
        return f'"{text}.000000"'
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return _text(cell)
    if moment.tzinfo is not None:
        moment = moment.astimezone(UTC)
    return f'"{moment:%Y-%m-%d %H:%M:%S.%f}"'


@lru_cache(maxsize=4096)
def _json(cell: Any) -> str:
    """Sorted, without spaces; numbers without a fraction as whole ones, since PostgreSQL keeps no exponents."""
    try:
        value = json.loads(cell, parse_float=_number)
    except (TypeError, ValueError):
        return _text(cell)
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def _number(text: str) -> float | int:
    number = float(text)
    return int(number) if number.is_integer() else number


def _hashed(cell: Any) -> str:
    content = cell.encode() if isinstance(cell, str) else bytes(cell)
    return f'{{"sha256":"{hashlib.sha256(content).hexdigest()}"}}'


_FORMS: Final[Mapping[str, Callable[[Any], str]]] = {
    "text": _text, "whole": _whole, "real": _real, "decimal": _decimal, "yes/no": _yes_or_no, "day": _text,
    "moment": _moment, "json": _json, "bytes": _hashed, PERSONAL: lambda cell: f'{{"sha256":"{cell}"}}',
}  # fmt: skip
