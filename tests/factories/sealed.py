"""A chain followed by hand: what ``governance/docs/seal.md`` says, over an SQLite file, with nothing of the register.

Shares no code with the register: sqlite3, hashlib and json alone.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any


def _form(kind: str, value: Any) -> Any:
    if value is None or kind in {"text", "whole", "day"}:
        return value
    if kind == "real":
        return float(value)
    if kind == "decimal":
        return format(Decimal(str(value)).normalize(), "f")
    if kind == "yes/no":
        return bool(value)
    if kind == "moment":
        moment = datetime.fromisoformat(value)
        moment = moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC)
        return moment.strftime("%Y-%m-%d %H:%M:%S.%f")
    if kind == "json":
        return json.loads(
            value, parse_float=lambda text: int(float(text)) if float(text) == int(float(text)) else float(text)
        )
    if kind == "bytes":
        return {"sha256": hashlib.sha256(value).hexdigest()}
    raise ValueError(kind)


def _text(kept: sqlite3.Connection, shape: int, key: int) -> bytes:
    table, own, columns = kept.execute(
        'SELECT "table", "key", columns FROM people_sealshape WHERE id = ?', [shape]
    ).fetchone()
    row = kept.execute(f'SELECT * FROM "{table}" WHERE "{own}" = ?', [key]).fetchone()
    values: dict[str, Any] | None = None
    if row is not None:
        cells, values = dict(row), {}
        for name, kind in json.loads(columns):
            if kind == "personal" and cells[name] is not None:
                (salt,) = kept.execute(
                    'SELECT salt FROM people_personalsalt WHERE shape_id = ? AND "row" = ? AND "column" = ?',
                    [shape, key, name],
                ).fetchone()
                values[name] = {"sha256": hashlib.sha256(salt + cells[name].encode()).hexdigest()}
            else:
                values[name] = _form(kind, cells[name])
    whole = {"table": table, "key": key, "row": values}
    return json.dumps(whole, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def verified_head(path: str) -> tuple[int, str, list[int]]:
    """The last entry with its hash worked out anew, and the entries that do not come out. Of a row that is sealed by
    its state the newest entry counts."""
    kept = sqlite3.connect(path)
    kept.row_factory = sqlite3.Row
    states = {
        pk: table
        for pk, table, is_state in kept.execute('SELECT id, "table", is_state FROM people_sealshape')
        if is_state
    }
    columns = 'number, shape_id, "row", text_sha256, sha256'
    entries = kept.execute(f"SELECT {columns} FROM people_seal ORDER BY number").fetchall()
    newest = {(states[shape], row): number for number, shape, row, *_ in entries if shape in states}
    before, wrong, place = bytes(32), [], 0
    for place, (number, shape, row, told, stored) in enumerate(entries, 1):
        is_right = number == place and hashlib.sha256(before + told).digest() == stored
        if shape not in states or newest[states[shape], row] == number:
            is_right = is_right and hashlib.sha256(_text(kept, shape, row)).digest() == told
        if not is_right:
            wrong.append(number)
        before = stored
    kept.close()
    return place, before.hex(), wrong
