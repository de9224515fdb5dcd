"""Where two objects of one paper differ, in words a person can weigh."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from governance.papers.columns import VersionColumns, paper_columns, status_columns, version_columns
from governance.papers.models import SAID_NAMES, USE_NAMES, VersionWord
from governance.papers.use_columns import UseColumns

_ADDED_TO_PAPER: Final = ("second_number", "language", "statuses", "remarks")
_ADDED_TO_VERSION: Final = ("note", "conditions")
_ASKS: Final = {"notice_days": "[notice, days: %s]", "report_by": "[report by %s]"}


@dataclass(frozen=True)
class Difference:
    """where: ``version from 2024-05-01, taxa``. before, after: "" where nothing stands."""

    where: str
    before: str
    after: str


def with_kept(told: Mapping[str, Any], standing: Mapping[str, Any]) -> dict[str, Any]:
    """The object told, completed by what the register knows and the file cannot say.

    A file of the plain contract has no second number, language, remarks, conditions: that it does not mention them is
    no word against them.
    """
    kept = {key: standing[key] for key in _ADDED_TO_PAPER if key in standing and key not in told}
    if "statuses" in kept and not _agree(told, standing):
        del kept["statuses"]
    by_start = {version["in_force_from"]: version for version in standing["versions"]}
    versions = []
    for version in told.get("versions") or ():
        known = by_start.get(version.get("in_force_from"), {})
        more = {key: known[key] for key in _ADDED_TO_VERSION if key in known and key not in version}
        versions.append(more | dict(version))
    return kept | dict(told) | {"versions": versions}


def _agree(told: Mapping[str, Any], standing: Mapping[str, Any]) -> bool:
    """Whether the short keys of both say the same of suspensions and the end."""
    return (
        (told.get("revoked_on") or None) == (standing.get("revoked_on") or None)
        and list(told.get("suspensions") or ()) == list(standing.get("suspensions") or ())
    )  # fmt: skip


def differences(standing: Mapping[str, Any], told: Mapping[str, Any]) -> list[Difference]:
    """All differences of face, turns and versions; links are compared by their keys, not here."""
    before, after = paper_columns(standing), paper_columns(told)
    found = [
        Difference(name, _words(before[name]), _words(after[name])) for name in before if before[name] != after[name]
    ]
    turns = [json.dumps(status_columns(value), default=str) for value in (standing, told)]
    if turns[0] != turns[1]:
        found.append(Difference("status", _turns(standing), _turns(told)))
    old, new = (
        {version.own["in_force_from"]: version for version in version_columns(value)} for value in (standing, told)
    )
    for start in sorted(old.keys() | new.keys(), key=lambda day: (day is not None, day)):
        found += _version_differences(start, old.get(start), new.get(start))
    return found


def _turns(value: Mapping[str, Any]) -> str:
    return "; ".join(
        f"{turn['state']} {turn['from_on']}" + (f" to {turn['to_on']}" if turn["to_on"] else "")
        for turn in status_columns(value)
    )


def _version_differences(
    start: object, old: VersionColumns | None, new: VersionColumns | None
) -> Iterator[Difference]:  # fmt: skip
    name = f"version from {start or 'an unknown day'}"
    if old is None or new is None:
        yield Difference(name, "stands in the register" if old else "", "stands in the file" if new else "")
        if old is not None and old.uses is not None:
            yield Difference(f"{name}, terms of use", _uses(old.uses), "")
        return
    for column in old.own:
        if old.own[column] != new.own[column]:
            yield Difference(f"{name}, {column}", _words(old.own[column]), _words(new.own[column]))
    for table, rows in old.terms.items():
        if list(rows) != list(new.terms[table]):
            words = "methods, sexes, life stages" if table is VersionWord else str(table._meta.verbose_name_plural)
            yield Difference(f"{name}, {words}", _lines(rows), _lines(new.terms[table]))
    if new.uses is not None:
        yield from _use_differences(name, old.uses, new.uses)


def _use_differences(name: str, old: UseColumns | None, new: UseColumns) -> Iterator[Difference]:
    """What a file says of the use of material; of what it says nothing there is no difference."""
    if old is None:
        yield Difference(f"{name}, terms of use", "", _uses(new))
        return
    for column, value in new.reading.items():
        if old.reading[column] != value:
            yield Difference(f"{name}, {column}", _words(old.reading[column]), _words(value))
    for use in sorted(old.terms.keys() | new.terms.keys()):
        before, after = old.terms.get(use), new.terms.get(use)
        if before != after:
            yield Difference(f"{name}, {USE_NAMES[use]}", _use(before), _use(after))


def _uses(uses: UseColumns) -> str:
    return "; ".join(f"{USE_NAMES[use]}: {_use(columns)}" for use, columns in uses.terms.items()) or "read"


def _use(columns: Mapping[str, Any] | None) -> str:
    """The answer, and all that is told with it."""
    if columns is None:
        return "not read"
    more = [str(value) for name, value in columns.items()
            if name not in ("said", "recipients", "otherwise") and value not in ("", None, False)]  # fmt: skip
    return " ".join([str(SAID_NAMES[columns["said"]]), *more])


def _lines(rows: Sequence[Mapping[str, Any]]) -> str:
    return "; ".join(_line(row) for row in rows)


def _line(row: Mapping[str, Any]) -> str:
    said = [
        _ASKS.get(key, "%s") % value
        for key, value in row.items()
        if key not in ("position", "excluded", "geojson") and value not in ("", None)
    ]
    if row.get("geojson"):
        said.append("a mapped area")
    return ("not " if row.get("excluded") else "") + " ".join(said)


def _words(value: object) -> str:
    return "" if value is None else str(value)
