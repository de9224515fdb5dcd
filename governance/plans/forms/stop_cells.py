"""One row of a table of stops: its cells to the fields of a stop, with every problem of the row."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from accessions.intake.problems import shown
from accessions.names.models import RANKS
from accessions.sites.keys import folded
from accessions.sites.models import Site
from accessions.sites.outlines import read_outline
from accessions.values import read_position, split_list
from governance.papers.forms.countries import CountryField
from governance.papers.forms.lines import read_taxon
from governance.papers.forms.places import LengthField, point_of
from governance.plans.forms.day_cells import DayProblem, read_day, read_days
from governance.plans.forms.stop_rows import count_note
from governance.plans.models import Stop, StopTarget, StopTrap
from governance.plans.queries.known_groups import KnownGroups, higher_names, rank_word
from governance.plans.stop_draft import StopDraft

_PLACE: Final = ("latitude", "longitude", "position", "radius", "area")
_DECIMAL_COMMA: Final = re.compile(r"(?<=\d),(?=\d)")
_TRAP: Final = re.compile(
    r"(?:(?P<before>\d{1,5})\s*[x×]\s*)?(?P<method>.+?)(?:\s*[x×]\s*(?P<after>\d{1,5}))?(?:\s*\((?P<days>[^()]+)\))?"
)
_UNPARTED: Final = {
    "methods": re.compile(r"[;,\n]"), "people": re.compile(r"[;&\n]|\band\b"), "groups": re.compile(r"[;,\n]"),
}  # fmt: skip
"""Signs that often part several. A comma may stand in a name ("Ek, J."): there it parts nothing."""

_DAYS_APART: Final = re.compile(r"\s+(?:to|until)\s+")


class RowReader:
    """Reads the cells of one row by meaning. problems: where, found, expected. notes: what is odd, and kept."""

    def __init__(
        self, cells: Mapping[str, str], sites: Mapping[str, Sequence[Site]], where: Callable[[str], str]
    ) -> None:
        self._cells = cells
        self._sites = sites
        self._where = where
        self.problems: list[tuple[str, str, str]] = []
        self.notes: list[str] = []

    def _problem(self, meaning: str, found: str, expected: str) -> None:
        self.problems.append((self._where(meaning), found, expected))

    def _cell(self, meaning: str) -> str:
        return self._cells.get(meaning, "")

    def draft(self) -> StopDraft:
        """The stop of the row. A column that the table does not have says nothing of it."""
        values: dict[str, Any] = {}
        if "site" in self._cells:
            values["site"] = self._site()
        values["name"] = self._name(values.get("site"))
        if "country" in self._cells:
            values["country"] = self._by_field("country", CountryField()) or ""
        if any(meaning in self._cells for meaning in _PLACE):
            values |= self._place()
        if any(meaning in self._cells for meaning in ("first", "last", "days")):
            values["first_on"], values["last_on"] = self._days()
        for meaning in ("methods", "people"):
            if meaning in self._cells:
                self._note_unparted(meaning, _UNPARTED[meaning])
                values[meaning] = self._short(Stop, meaning, " | ".join(split_list(self._cell(meaning))), meaning)
        if "remarks" in self._cells:
            values["remarks"] = self._cell("remarks")
        if "groups" not in self._cells:
            self._refuse_ungrouped()
        targets = self._targets() if "groups" in self._cells else None
        traps = self._traps(values) if "traps" in self._cells else None
        return StopDraft(values, targets, traps)

    def _note_unparted(self, meaning: str, signs: re.Pattern[str]) -> None:
        """An entry with a sign that often parts several is kept as one, and said to be so."""
        for entry in split_list(self._cell(meaning)):
            if signs.search(entry):
                words = _("%(entry)s is read as one entry. Several are parted by |.")
                self.notes.append(words % {"entry": shown(entry)})

    def _name(self, site: Site | None) -> str:
        name = self._cell("name") or (site.name or site.code if site else "")
        if not name and not self._cell("site"):
            self._problem("name" if "name" in self._cells else "site", _("the stop has no name"),
                          _("Name it, or give the code of its registered site."))  # fmt: skip
        return self._short(Stop, "name", name, "name")

    def _short(self, model: type[Any], field: str, text: str, meaning: str) -> str:
        most = model._meta.get_field(field).max_length
        if len(text) > most:
            self._problem(meaning, _("%(text)s is %(n)d characters long") % {"text": shown(text), "n": len(text)},
                          _("At most %(n)d are kept.") % {"n": most})  # fmt: skip
        return text

    def _site(self) -> Site | None:
        text = self._cell("site")
        if not text:
            return None
        found = self._sites.get(folded(text), ())
        if len(found) == 1:
            return found[0]
        if found:
            codes = ", ".join(site.code for site in found[:5])
            self._problem("site", _("%(text)s is the name of several sites") % {"text": shown(text)},
                          _("Write the code of one: %(codes)s.") % {"codes": codes})  # fmt: skip
        else:
            self._problem(
                "site", _("no site has the code or name %(text)s") % {"text": shown(text)},
                _("Write it as the list of sites has it; or call the column “stop” if it is no registered site."),
            )  # fmt: skip
        return None

    def _by_field(self, meaning: str, field: Any, text: str | None = None) -> Any:
        """What a field of a form makes of the cell; what it refuses is a problem."""
        try:
            return field.clean(self._cell(meaning) if text is None else text)
        except ValidationError as error:
            found, _dot, expected = " ".join(error.messages).partition(". ")
            self._problem(meaning, found, expected)
            return None

    def _place(self) -> dict[str, Any]:
        nowhere = {"latitude_deg": None, "longitude_deg": None, "radius_m": None, "area": ""}
        told = [m for m in ("position", "area") if self._cell(m)]
        told += ["latitude"] if self._cell("latitude") or self._cell("longitude") else []
        if len(told) > 1:
            self._problem(told[0], _("the row gives its place more than once"),
                          _("Give a latitude and longitude, or coordinates in one cell, or an area."))  # fmt: skip
            return nowhere
        radius_m = self._by_field("radius", LengthField(required=False)) if self._cell("radius") else None
        if radius_m is not None and not radius_m > 0:
            self._problem("radius", _("the radius is %(n)s m") % {"n": f"{radius_m:g}"},
                          _("A radius is more than zero metres."))  # fmt: skip
        if told == ["area"]:
            return nowhere | {"area": self._area()}
        point = self._point(told[0]) if told else None
        if point is None:
            if radius_m is not None and not told:
                self._problem("radius", _("a radius stands without a point"),
                              _("Give the latitude and longitude of its middle."))  # fmt: skip
            return nowhere
        return {"latitude_deg": point[0], "longitude_deg": point[1], "radius_m": radius_m, "area": ""}

    def _area(self) -> str:
        try:
            return read_outline(self._cell("area"))
        except ValidationError as error:
            self._problem("area", _("the area cannot be read"), " ".join(error.messages))
            return ""

    def _point(self, meaning: str) -> tuple[float, float] | None:
        if meaning == "position":
            latitude, longitude, problem = point_of(self._cell("position"))
            if problem:
                self._problem("position", shown(self._cell("position")), problem)
            return None if math.isnan(latitude) else (latitude, longitude)
        texts = [_with_point(self._cell(axis)) for axis in ("latitude", "longitude")]
        for axis, text in zip(("latitude", "longitude"), texts, strict=True):
            if not text:
                self._problem(axis, _("it is blank, while the other one is given"), _("Give both, or neither."))
                return None
        read = read_position(verbatim_latitude=texts[0], verbatim_longitude=texts[1], verbatim_srs="WGS84")
        if read.position == "point":
            return read.latitude_deg, read.longitude_deg
        found = f"{shown(self._cell('latitude'))}, {shown(self._cell('longitude'))}: {read.hint}"
        self._problem("longitude" if "longitude" in read.hint.partition(" is ")[0] else "latitude", found,
                      _("Write degrees such as 61.95 and 15.3, or 61°57.0'N and 15°18.0'E; south and west with a minus "
                        "or S and W."))  # fmt: skip
        return None

    def _days(self) -> tuple[date | None, date | None]:
        ends: list[date | None] = [self._day("first"), self._day("last")]
        if self._cell("days"):
            try:
                days = read_days(self._cell("days"))
            except DayProblem as problem:
                self._problem("days", problem.found, problem.expected)
            else:
                for end, (meaning, day) in enumerate(zip(("first", "last"), days, strict=True)):
                    if ends[end] is not None and ends[end] != day:
                        self._problem(meaning, _("it is not the day that the column of dates gives"),
                                      _("Let both say the same, or empty one."))  # fmt: skip
                    ends[end] = day
        first, last = ends
        if first and last and last < first:
            self._problem("last" if self._cell("last") else "days",
                          _("the last day, %(last)s, is before the first, %(first)s") % {"last": last, "first": first},
                          _("Check which is which."))  # fmt: skip
            return first, None
        return first, last

    def _day(self, meaning: str) -> date | None:
        if not self._cell(meaning):
            return None
        try:
            return read_day(self._cell(meaning))
        except DayProblem as problem:
            self._problem(meaning, problem.found, problem.expected)
            return None

    def _refuse_ungrouped(self) -> None:
        for meaning in ("kingdom", "rank", "higher", "expected"):
            if self._cell(meaning):
                self._problem(meaning, _("it says how many or of what kind, but no column names the group"),
                              _("Give a column “groups”."))  # fmt: skip

    def _targets(self) -> list[dict[str, str]]:
        self._note_unparted("groups", _UNPARTED["groups"])
        named = [read_taxon(text) for text in split_list(self._cell("groups"))]
        groups = [(one, "") if isinstance(one, str) else (one["name"], one["kingdom"]) for one in named]
        kingdoms = self._beside("kingdom", len(groups), one_for_all=True)
        ranks = [self._rank(text) for text in self._beside("rank", len(groups), one_for_all=True, parted_by=";|")]
        above = self._beside("higher", len(groups), one_for_all=True, parted_by=";")
        numbers = self._beside("expected", len(groups), one_for_all=False)
        rows = []
        for (name, kingdom), column, rank, higher, expected in zip(
            groups, kingdoms, ranks, above, numbers, strict=True
        ):
            row = {
                "name": name, "kingdom": kingdom or column, "rank": rank, "higher": " | ".join(higher_names(higher)),
                "expected": expected,
            }  # fmt: skip
            for field in row:
                self._short(StopTarget, field, row[field], "groups" if field == "name" else field)
            if note := count_note(name, expected):
                self.notes.append(note)
            rows.append(row)
        return rows

    def placed(self, draft: StopDraft, known: KnownGroups) -> StopDraft:
        """The draft with rank and higher names of the register for groups that have none; what differs is a problem."""
        if not draft.targets:
            return draft
        rows = []
        for row in draft.targets:
            field, words = known.problem(row)
            if words:
                found, _dot, expected = words.partition(". ")
                self._problem(field if field in self._cells else "groups", found, expected)
            filled, told = known.filled(row)
            rows.append(filled)
            self.notes += [told] if told else []
        return StopDraft(draft.values, rows, draft.traps)

    def _rank(self, text: str) -> str:
        rank = rank_word(text)
        if text and not rank:
            self._problem("rank", _("%(text)s is no rank that is known") % {"text": shown(text)},
                          _("Write one of: %(ranks)s.") % {"ranks": ", ".join(RANKS)})  # fmt: skip
        return rank

    def _beside(self, meaning: str, groups: int, *, one_for_all: bool, parted_by: str = "|") -> list[str]:
        """The entries of a cell that stands beside the groups, one a group. parted_by: any of these."""
        text = self._cell(meaning)
        entries = [entry.strip() for entry in re.split(f"[{parted_by}]", text)] if text else []
        if one_for_all and len(entries) == 1:
            entries *= groups
        if entries and len(entries) != groups:
            self._problem(
                meaning, _("%(n)d for %(groups)d groups") % {"n": len(entries), "groups": groups},
                _("Write one for each group in their order, parted by %(sign)s; leave blank between two %(sign)s what "
                  "is not known.") % {"sign": parted_by[0]},
            )  # fmt: skip
            entries = []
        return entries or [""] * groups

    def _traps(self, values: Mapping[str, Any]) -> list[dict[str, Any]]:
        rows = []
        for text in split_list(self._cell("traps")):
            match = _TRAP.fullmatch(text)
            method = self._short(StopTrap, "method", match["method"].strip() if match else text, "traps")
            first, last = values.get("first_on"), values.get("last_on")
            if match and match["days"]:
                first, last = self._trap_days(match["days"], text)
            number = int((match and (match["before"] or match["after"])) or 1)
            if not 1 <= number <= 32767:
                self._problem("traps", _("%(n)d traps") % {"n": number}, _("Write a number from 1 to 32767."))
            rows.append({"method": method, "number": number, "first_on": first, "last_on": last})
        return rows

    def _trap_days(self, days: str, text: str) -> tuple[date | None, date | None]:
        try:
            return read_days(_DAYS_APART.sub("/", days.strip()))
        except DayProblem as problem:
            self._problem("traps", f"{shown(text)}: {problem.found}", problem.expected)
            return None, None


def _with_point(text: str) -> str:
    """A decimal comma as a point: in a cell of one coordinate a comma between two digits can be nothing else."""
    return _DECIMAL_COMMA.sub(".", text) if text.count(",") == 1 else text
