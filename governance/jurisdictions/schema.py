"""What a data file must hold: every value says where it comes from and on which day somebody looked.

Hand-written, since the rules are few and the messages are read by whoever adds a value.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

BASES = ("published", "memory")
"""``published``: the source was read. ``memory``: nobody has looked it up yet; such a value never decides alone."""

REQUIRED = ("key", "source", "checked_on", "basis")


class DataFileError(ValueError):
    """A data file breaks the rules. The message lists every breach: file, section, entry, what to do."""


def check(name: str, document: Any, sections: Mapping[str, frozenset[str]]) -> None:
    """Refuse a data file with any value that has no source, no day or no basis.

    Args:
        name: the file, for messages.
        document: what the YAML file holds.
        sections: the lists of values the file must have, each with the fields that its entries have beside
            ``REQUIRED``; a field that ends in "?" may be absent.

    Raises:
        DataFileError: naming every breach at once.
    """
    breaches = list(_breaches(document, sections))
    if breaches:
        raise DataFileError("\n".join(f"{name}: {breach}" for breach in breaches))


def _breaches(document: Any, sections: Mapping[str, frozenset[str]]) -> Iterator[str]:
    if not isinstance(document, dict):
        yield f"the file holds {type(document).__name__}, expected a mapping with {', '.join(sections)}"
        return
    for unknown in sorted(set(map(str, document)) - set(sections) - {"title"}):
        yield f"{unknown} is no section of this file; the sections are {', '.join(sections)}"
    for section, fields in sections.items():
        entries = document.get(section)
        if not isinstance(entries, list) or not entries:
            yield f"{section} is missing or empty; expected a list of values"
            continue
        yield from _repeated(section, entries)
        for number, entry in enumerate(entries, start=1):
            yield from _entry_breaches(f"{section}, entry {number}", entry, fields)


def _repeated(section: str, entries: list[Any]) -> Iterator[str]:
    keys = [str(entry.get("key")) for entry in entries if isinstance(entry, dict)]
    for key in sorted({key for key in keys if keys.count(key) > 1}):
        yield f"{section}: the key {key} stands more than once; give each value its own key"


def _entry_breaches(where: str, entry: Any, fields: frozenset[str]) -> Iterator[str]:
    if not isinstance(entry, dict):
        yield f"{where} is {type(entry).__name__}, expected a mapping"
        return
    where = f"{where} ({entry.get('key', 'no key')})"
    needed = {field for field in fields if not field.endswith("?")} | set(REQUIRED)
    allowed = needed | {field.rstrip("?") for field in fields}
    for field in sorted(needed - set(entry)):
        yield f"{where} has no {field}; add it"
    for field in sorted(set(map(str, entry)) - allowed):
        yield f"{where} has the unknown field {field}; expected {', '.join(sorted(allowed))}"
    yield from _value_breaches(where, entry)


def _value_breaches(where: str, entry: Mapping[str, Any]) -> Iterator[str]:
    for field in ("key", "source"):
        if field in entry and not (isinstance(entry[field], str) and entry[field].strip()):
            yield f"{where}: {field} is {entry[field]!r}, expected text (quote words like NO)"
    if "checked_on" in entry and type(entry["checked_on"]) is not date:
        yield f"{where}: checked_on is {entry['checked_on']!r}, expected a day such as 2026-11-20"
    if "basis" in entry and entry["basis"] not in BASES:
        yield f"{where}: basis is {entry['basis']!r}, expected one of {', '.join(BASES)}"
