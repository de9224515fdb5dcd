"""One place of a version as a row of the form: a country, a subdivision, a site, an area, a point with a radius."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.problems import FileProblems
from accessions.people.entry_forms import Form
from accessions.values.coordinates import read_position
from governance.engine.tables import fold
from governance.jurisdictions.codes import is_country, is_subdivision, nearest
from governance.papers.countries import country_name

LONGEST_AREA: Final = 2_000_000
_IN_BRACKETS: Final = re.compile(r".*\((?P<code>[A-Z]{2}(?:-[A-Z0-9]{1,3})?)\)")
_DECIMALS: Final = re.compile(
    r"(?P<lat>[+-]?\d+(?:\.\d+)?(?:e-?\d+)?)\s*[,; ]\s*(?P<lon>[+-]?\d+(?:\.\d+)?(?:e-?\d+)?)"
)
_LENGTH: Final = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>m|km)?", re.IGNORECASE)


class LengthField(forms.CharField):
    """Metres, or kilometres with their unit: ``500``, ``500 m``, ``5 km``."""

    def clean(self, value: Any) -> Any:
        """Metres, or None where blank."""
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        match = _LENGTH.fullmatch(text)
        if match is None:
            raise ValidationError(_t("“%(text)s” is no length. Write metres, such as 500, or 5 km.") % {"text": text})
        return float(match["number"]) * (1000 if (match["unit"] or "m").casefold() == "km" else 1)


class PlaceForm(Form):
    """A row; all blank is no place."""

    KINDS = [
        ("", _("as written")), ("country", _("Country")), ("subdivision", _("Province or state")), ("site", _("Site")),
    ]  # fmt: skip
    excluded = forms.TypedChoiceField(
        label=_("The paper"), choices=[("", _("includes")), ("1", _("excludes"))], required=False, coerce=bool
    )
    name = forms.CharField(label=_("Country, province or site"), required=False, max_length=200)
    kind = forms.ChoiceField(label=_("which is a"), choices=KINDS, required=False)
    position = forms.CharField(
        label=_("Point"), required=False, max_length=200, help_text=_("Latitude, longitude; degrees, UTM or MGRS")
    )
    radius_m = LengthField(label=_("Radius"), required=False, max_length=30, help_text=_("Metres, or such as 5 km"))
    area = forms.CharField(
        label=_("Area"), required=False, max_length=LONGEST_AREA, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("Paste GeoJSON, WKT, KML or GPX"),
    )  # fmt: skip
    area_file = forms.FileField(
        label=_("or its file"), required=False, help_text=_("GeoJSON, KML, KMZ, GPX, WKT, zipped shapefile")
    )
    boundary_error_m = LengthField(
        label=_("Known to"), required=False, max_length=30, help_text=_("How far the drawn edge may be off")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["name"].widget.attrs["list"] = "places-known"
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        """The place as the object of the exchange file, under ``object``; None where the row is blank."""
        told = super().clean() or {}
        try:
            told["object"] = None if self.errors else self._object(told)
        except FileProblems as problems:
            field = "area_file" if told.get("area_file") else "area"
            for problem in problems.problems[:5]:
                self.add_error(field, f"{problem.where}: {problem.found}. {problem.expected}".lstrip(": "))
        return told

    def _object(self, told: Mapping[str, Any]) -> dict[str, Any] | None:
        named = self._named(told)
        shaped = self._shape(told)
        error_m = told.get("boundary_error_m")
        if not named and not shaped:
            if error_m is not None:
                self.add_error("boundary_error_m", _t("Say of which place this is the error."))
            return None
        if named and shaped and "site" not in named:
            self.add_error("name", _t("An area belongs to a site or stands alone; a country has its own outline."))
        return named | shaped | ({} if error_m is None else {"boundary_error_m": error_m})

    def _named(self, told: Mapping[str, Any]) -> dict[str, str]:
        text, kind = str(told.get("name") or "").strip(), told.get("kind")
        if not text:
            return {}
        code = code_of(text)
        if kind == "site" or (not kind and not code):
            return {"site": text}
        if kind == "country" and not is_country(code):
            self.add_error("name", _t("“%(text)s” is no country of ISO 3166-1.") % {"text": text[:60]})
        if kind == "subdivision" and not is_subdivision(code):
            self.add_error("name", _t("“%(text)s” is no code of ISO 3166-2, such as CR-A.") % {"text": text[:60]})
        return {"subdivision" if "-" in code else "country": code}

    def _shape(self, told: Mapping[str, Any]) -> dict[str, Any]:
        text, file, point = str(told.get("area") or "").strip(), told.get("area_file"), told.get("position")
        radius_m = told.get("radius_m")
        if sum(map(bool, (text, file, point))) > 1:
            self.add_error("area", _t("Give one of area, file, and point: a place has one shape."))
            return {}
        if file:
            return {"geojson": area_object(file.read(), Path(str(file.name)).name)}
        if text:
            return {"geojson": area_object(text.encode(), "area")}
        if not point:
            if radius_m is not None:
                self.add_error("position", _t("A radius goes with a point: write latitude, longitude."))
            return {}
        if not radius_m:
            self.add_error("radius_m", _t("A point has a radius above 0 m: how far around it does the paper hold?"))
            return {}
        return self._disc(str(point).strip(), radius_m)

    def _disc(self, text: str, radius_m: float) -> dict[str, Any]:
        latitude, longitude, problem = point_of(text)
        if problem:
            self.add_error("position", problem)
            return {}
        return {"point": [longitude, latitude], "radius_m": radius_m}


def code_of(text: str) -> str:
    """The code of a country or subdivision that a text names: ``CR``, ``Costa Rica``, ``Costa Rica (CR)``, ``CR-A``;
    "" if it names none."""
    match = _IN_BRACKETS.fullmatch(text)
    code = match["code"] if match else text.strip()
    if is_country(code) or is_subdivision(code):
        return code
    if len(code) <= 3:
        return ""
    found = nearest(code) or ""
    return found if found and fold(country_name(found)) == fold(code) else ""


def point_of(text: str) -> tuple[float, float, str]:
    """Latitude, longitude, and what is wrong ("" if nothing is)."""
    decimals = _DECIMALS.fullmatch(text)
    if decimals:
        latitude, longitude = float(decimals["lat"]), float(decimals["lon"])
        if abs(latitude) <= 90 and abs(longitude) <= 180:
            return latitude, longitude, ""
        return math.nan, math.nan, _t("Latitude is -90 to 90 and comes first, longitude -180 to 180.")
    read = read_position(verbatim_coordinates=text, verbatim_srs="WGS84")
    if read.position == "point":
        return read.latitude_deg, read.longitude_deg, ""
    expected = _t("Write latitude, longitude, such as 42.084, 43.903.")
    return math.nan, math.nan, f"{read.hint[:1].upper()}{read.hint[1:]}. {expected}" if read.hint else expected


def area_object(data: bytes, file: str) -> dict[str, Any]:
    """The area of a file or of pasted text as GeoJSON. A GeoJSON geometry stays as it was written.

    Raises:
        FileProblems: it cannot be read, or a ring is faulty.
    """
    from shapely.geometry import mapping

    from governance.papers.areas import read_area

    with TemporaryDirectory() as folder:
        path = Path(folder) / (re.sub(r"[^\w.\- ]", "_", file)[-80:] or "area")
        path.write_bytes(data)
        shape = read_area(path)
    written = _geometry(data)
    return written or json.loads(json.dumps(mapping(shape)))


def _geometry(data: bytes) -> dict[str, Any] | None:
    try:
        value = json.loads(data)
    except ValueError:
        return None
    return value if isinstance(value, dict) and value.get("type") in ("Polygon", "MultiPolygon", "Feature") else None


def place_initial(value: Mapping[str, Any], excluded: bool) -> dict[str, Any]:
    """A place of the register as a row of the form."""
    kind = next((key for key in ("country", "subdivision", "site") if value.get(key)), "")
    name = value.get(kind, "") if kind else ""
    point = value.get("point")
    return {
        "excluded": "1" if excluded else "",
        "kind": kind,
        "name": f"{country_name(name)} ({name})" if kind == "country" else name,
        "position": f"{point[1]!r}, {point[0]!r}" if point else "",
        "radius_m": _number(value.get("radius_m")),
        "area": json.dumps(value["geojson"]) if value.get("geojson") else "",
        "boundary_error_m": _number(value.get("boundary_error_m")),
    }


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.15g}"


PlaceRows = forms.formset_factory(PlaceForm, extra=0, min_num=0, max_num=1000, absolute_max=1000)
