"""The whole page on which a paper or a version is entered: several forms, one object, problems beside their boxes."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from django import forms

from accessions.intake.problems import FileProblems, Problem
from accessions.people.entry_forms import Form, why_field
from governance.papers.forms.face import FaceForm
from governance.papers.forms.pages import PagesForm
from governance.papers.forms.places import PlaceRows, place_initial
from governance.papers.forms.version import CapRows, VersionForm, cap_initial, version_initial

BLANK_PLACES, BLANK_CAPS = 3, 2
_INCLUDE: Final = re.compile(r"places\.(include|exclude)\[(\d+)\]")
_KEY: Final = re.compile(r"^key (?P<path>\S+)(?: \(paper .*)?$")


class ReasonForm(Form):
    """Why a version is added or corrected, and what the person saw of the paper."""

    why = why_field(required=True)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)


class TermsSheet:
    """A version: its form, its places, its caps, and the pages on which they stand.

    pages: by subject, as they are noted. number: that of the version in problems of the whole paper
    (``papers[0].versions[number]``).
    """

    def __init__(
        self, data: Any = None, files: Any = None, initial: Mapping[str, Any] | None = None, *,
        pages: Mapping[str, int] | None = None,
    ) -> None:  # fmt: skip
        value = initial or {}
        self.is_bound = data is not None
        self.pages = PagesForm(data, pages=pages)
        self.version = VersionForm(data, initial=version_initial(value))
        self.places = PlaceRows(data, files, prefix="places", initial=_places(value))
        self.caps = CapRows(data, prefix="caps", initial=[cap_initial(cap) for cap in value.get("caps", ())])
        if not self.is_bound:
            self.places.extra, self.caps.extra = BLANK_PLACES, BLANK_CAPS

    @property
    def forms(self) -> list[Any]:
        """All forms of the sheet, for the summary above them."""
        return [self.version, self.pages, *self.places.forms, *self.caps.forms]

    @property
    def says_something(self) -> bool:
        """Whether anything was typed: a paper of which nothing was typed is unread."""
        rows = [*self.places.forms, *self.caps.forms]
        return self.version.has_changed() or any(row.cleaned_data.get("object") for row in rows)

    def is_valid(self) -> bool:
        return all([self.version.is_valid(), self.places.is_valid(), self.caps.is_valid(), self.pages.is_valid()])

    def object(self) -> dict[str, Any]:
        """The version as the object of the exchange file."""
        return self.version.object() | {
            "places": {
                "include": [row.cleaned_data["object"] for row in self._place_rows(excluded=False)],
                "exclude": [row.cleaned_data["object"] for row in self._place_rows(excluded=True)],
            },
            "caps": [c.cleaned_data["object"] for c in self.caps.forms if c.cleaned_data.get("object")],
        }

    def _place_rows(self, *, excluded: bool) -> list[Any]:
        rows = [row for row in self.places.forms if row.cleaned_data.get("object")]
        return [row for row in rows if bool(row.cleaned_data.get("excluded")) == excluded]

    def keep_files(self) -> None:
        """A browser forgets a chosen file when the page comes back: what was read of it stays as text in the box."""
        rows: list[Any] = list(self.places.forms) if self.is_bound else []
        for row in rows:
            read = getattr(row, "cleaned_data", {}).get("object") or {}
            if row.files.get(row.add_prefix("area_file")) and "geojson" in read:
                row.data[row.add_prefix("area")] = json.dumps(read["geojson"])  # a copy of what was sent

    def take(self, path: str, words: str) -> bool:
        """Put a problem beside the box that it is about; False if it is about none of them."""
        place = _INCLUDE.search(path)
        if place:
            rows = self._place_rows(excluded=place[1] == "exclude")
            rows[int(place[2])].add_error(None if "site" in path else "area", words)
            return True
        for key, field in _FIELD_OF_KEY.items():
            if path == key or path.startswith((f"{key}.", f"{key}[")):
                self.version.add_error(field, words)
                return True
        if path.startswith("caps["):
            rows = [row for row in self.caps.forms if row.cleaned_data.get("object")]
            rows[int(path[5 : path.index("]")])].add_error("limit", words)
            return True
        return False


_FIELD_OF_KEY: Final = {
    key: key
    for key in ("in_force_from", "in_force_to", "note", "taxa", "methods", "people", "closed_seasons", "sexes",
                "life_stages", "conditions")
}  # fmt: skip


class PaperSheet:
    """A new paper: its face, and its first version if anything of it was typed."""

    def __init__(self, data: Any = None, files: Any = None, initial: Mapping[str, Any] | None = None) -> None:
        self.face = FaceForm(data, initial=initial)
        self.terms = TermsSheet(data, files)

    @property
    def forms(self) -> list[Any]:
        return [self.face, *self.terms.forms]

    def is_valid(self) -> bool:
        return all([self.face.is_valid(), self.terms.is_valid()])

    def object(self) -> dict[str, Any]:
        """The paper as the object of the exchange file; without a version if nothing of one was typed: unread."""
        versions = [self.terms.object()] if self.terms.says_something else []
        return self.face.object() | {"versions": versions}

    def refuse(self, problems: FileProblems) -> None:
        """Take over what the reading refused."""
        distribute(problems.problems, self.face, self.terms, 0)


def distribute(problems: Sequence[Problem], face: Any, terms: TermsSheet | None, number: int) -> None:
    """Put problems of a whole paper beside the boxes of a page; what is about none of them stands above the form."""
    for problem in problems:
        match = _KEY.match(problem.where)
        path = match["path"].removeprefix("papers[0]").lstrip(".") if match else ""
        words = f"{problem.found[:1].upper()}{problem.found[1:]}. {problem.expected}"
        mine = f"versions[{number}]"
        if terms is not None and path.startswith(mine) and terms.take(path.removeprefix(mine).lstrip("."), words):
            continue
        field = path.split(".")[0].split("[")[0]
        fits = face is not None and field in face.fields
        (face or (terms.version if terms else None)).add_error(field if fits else None, words)  # type: ignore[union-attr]


def _places(value: Mapping[str, Any]) -> list[dict[str, Any]]:
    places = value.get("places") or {}
    return [
        place_initial(place, excluded)
        for key, excluded in (("include", False), ("exclude", True))
        for place in places.get(key, ())
    ]
