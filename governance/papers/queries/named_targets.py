"""The names in ``covers`` found in the register, and those that are not there."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from accessions.material.models import Accession, SamplingEvent, Specimen
from accessions.sites.models import Site
from governance.engine.tables import fold
from governance.papers.queries.links import ALL, Links, parts_by_name

KINDS: Final = ("accessions", "parts", "sites", "events", "specimens")
_CHUNK: Final = 5000


@dataclass(frozen=True)
class Unknown:
    """Names of one kind that a paper covers and the register does not have."""

    reference: str
    kind: str
    names: tuple[str, ...]


class NamedTargets:
    """Keys by name, for all names that some objects cover; one query for 5,000 names of a kind (sites: all of them)."""

    def __init__(self, objects: Iterable[Mapping[str, Any]]) -> None:
        names: dict[str, set[str]] = defaultdict(set)
        for value in objects:
            for kind in KINDS:
                names[kind].update(name.strip() for name in (value.get("covers") or {}).get(kind) or ())
        self._keys: dict[str, dict[str, int]] = {
            "accessions": _by_name(Accession, "number", names["accessions"] - {ALL}),
            "parts": parts_by_name(names["parts"]) if names["parts"] else {},
            "sites": _sites() if names["sites"] else {},
            "events": _by_name(SamplingEvent, "number", names["events"]),
            "specimens": _by_name(Specimen, "catalog_number", names["specimens"]),
        }

    def of(self, value: Mapping[str, Any]) -> tuple[Links, list[Unknown]]:
        """What the object covers, as keys, and what of it is not in the register."""
        links, unknown = Links(), []
        for kind in KINDS:
            told = [name.strip() for name in (value.get("covers") or {}).get(kind) or ()]
            if kind == "accessions" and ALL in told:
                links.all_accessions = True
                told = [name for name in told if name != ALL]
            found = {name: self._key(kind, name) for name in told}
            getattr(links, kind).update(key for key in found.values() if key is not None)
            lost = tuple(name for name, key in found.items() if key is None)
            if lost:
                unknown.append(Unknown(value["reference"].strip(), kind, lost))
        return links, unknown

    def _key(self, kind: str, name: str) -> int | None:
        return self._keys[kind].get(fold(name) if kind == "sites" else name)


def _by_name(table: Any, column: str, names: Iterable[str]) -> dict[str, int]:
    """The first row of each name: an event that records state differently is several rows with one number."""
    found: dict[str, int] = {}
    wanted: Sequence[str] = sorted(names)
    for start in range(0, len(wanted), _CHUNK):
        rows = table.objects.filter(**{f"{column}__in": wanted[start : start + _CHUNK]}).order_by("pk")
        for name, key in rows.values_list(column, "pk"):
            found.setdefault(name, key)
    return found


def _sites() -> dict[str, int]:
    """By folded name, then by folded code, which wins. A name that several sites bear finds none: which of them a
    paper speaks for is not to be guessed."""
    rows = list(Site.objects.order_by("pk").values_list("pk", "code", "name"))
    bearers = Counter(fold(name) for _, _, name in rows)
    found = {fold(name): key for key, _, name in rows if name and bearers[fold(name)] == 1}
    return found | {fold(code): key for key, code, _ in rows}
