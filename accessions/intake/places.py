"""The site of a sampling event: one that is there, or one made from what the record says.

A locationID finds a site by its code alone: codes do not repeat, names ("north bay") do, so a locationID that no site
has makes a new site even where another site bears the name. Only a record without locationID is placed by its
siteName, if exactly one site has that name or code; where none has it, a site is made whose code is the name.
A site made here has no boundary.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, Final

from accessions.material.reading import country_of
from accessions.material.touches import Scope, touch
from accessions.people.bulk import insert, reserve_keys
from accessions.sites.keys import folded
from accessions.sites.models import Site

_SUBDIVISION: Final = re.compile(r"[A-Z]{2}-[A-Z0-9]{1,3}")

Written = Mapping[str, str]


class Sites:
    """The sites of the register by code and name; all of them are read once (they are few thousand at most)."""

    def __init__(self) -> None:
        self.by_code: dict[str, int] = {}
        self._by_name: dict[str, list[int]] = defaultdict(list)
        for pk, code, name in Site.objects.order_by().values_list("pk", "code_key", "name_key"):
            self.by_code[code] = pk
            if name:
                self._by_name[name].append(pk)

    def find(self, written: Written) -> int | None:
        """The site of an event, None if there is none, or several bear the name."""
        if code := folded(written.get("locationID", "")):
            return self.by_code.get(code)
        name = folded(written.get("siteName", ""))
        named = self._by_name.get(name, [])
        return named[0] if len(named) == 1 else self.by_code.get(name)

    def is_ambiguous(self, written: Written) -> bool:
        """Whether a name alone fits several sites: the event then has none until a person says which."""
        name = folded(written.get("siteName", ""))
        return not written.get("locationID") and name not in self.by_code and len(self._by_name.get(name, ())) > 1

    def missing(self, events: Iterable[Written]) -> dict[str, Written]:
        """By the folded code of the site that would be made: the first event that states it."""
        found: dict[str, Written] = {}
        for written in events:
            code = folded(written.get("locationID") or written.get("siteName", ""))
            if code and self.find(written) is None and not self.is_ambiguous(written):
                found.setdefault(code, written)
        return found

    def make(self, events: Iterable[Written], *, by: Any, why: str) -> int:
        """Make the sites that events state and the register lacks; returns how many."""
        missing = self.missing(events)
        keys = reserve_keys(Site, len(missing))
        rows = [_site_row(code, written) for code, written in missing.items()]
        insert(Site, ("code", "name", "country", "subdivision", "code_key", "name_key"), rows, keys, by=by, why=why)
        touch(Scope.SITE, keys, by=by, why=why)  # one that bears the name of another makes it ambiguous on papers
        for key, row in zip(keys, rows, strict=True):
            self.by_code[row[4]] = key
            if row[5]:
                self._by_name[row[5]].append(key)
        return len(missing)


def _site_row(code_key: str, written: Written) -> tuple[str, ...]:
    name = written.get("siteName", "") if written.get("locationID") else ""
    country = country_of(written.get("countryCode", ""))
    subdivision = written.get("stateProvince", "").upper()
    fits = _SUBDIVISION.fullmatch(subdivision) and subdivision[:2] == country
    code = written.get("locationID") or written.get("siteName", "")
    return code, name, country, subdivision if fits else "", code_key, folded(name)
