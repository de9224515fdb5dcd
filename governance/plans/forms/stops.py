"""What people type of a stop: the stop itself, its place, the groups that are meant, the traps that stand."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.problems import FileProblems
from accessions.people.entry_forms import Form, why_field
from accessions.sites.models import Site
from accessions.values import split_list
from governance.papers.countries import country_words
from governance.papers.forms.countries import CountryField
from governance.papers.forms.places import LONGEST_AREA, LengthField, area_object, point_of
from governance.plans.forms.sending import sent_with
from governance.plans.forms.sites import SiteField
from governance.plans.forms.stop_rows import BESIDE_NAME, MOST_ROWS, TargetRows, TrapRows, refuse_turned_period
from governance.plans.models import FieldPlan, Stop
from governance.plans.queries.known_groups import KnownGroups

BLANK_TARGETS, BLANK_TRAPS = 2, 1
MORE: Final = 3


class StopForm(Form):
    """A stop without its groups and traps. seen: the number of the version that the person has before them."""

    name = forms.CharField(label=_("Name of the stop"), max_length=200)
    site = SiteField()
    country = CountryField(label=_("Country"), help_text=_("Blank: that of the site"))
    position = forms.CharField(
        label=_("Point"), required=False, max_length=200, help_text=_("Latitude, longitude; degrees, UTM or MGRS")
    )
    radius_m = LengthField(
        label=_("Radius"), required=False, max_length=30,
        help_text=_("How far from the point you will collect: 500, or 2 km"),
    )  # fmt: skip
    area = forms.CharField(
        label=_("Drawn area"), required=False, max_length=LONGEST_AREA, widget=forms.Textarea(attrs={"lines": 2}),
        help_text=_("Draw it on the map, or paste GeoJSON, WKT, KML or GPX"),
    )  # fmt: skip
    area_file = forms.FileField(
        label=_("or its file"), required=False, help_text=_("GeoJSON, KML, KMZ, GPX, WKT, zipped shapefile")
    )
    first_on = forms.DateField(label=_("First day"), required=False, help_text=_("Blank while it is not fixed"))
    last_on = forms.DateField(label=_("Last day"), required=False, help_text=_("Blank while it is not fixed"))
    methods = forms.CharField(
        label=_("Methods"), required=False, max_length=500, help_text=_("Separate several by |; traps stand below")
    )
    people = forms.CharField(
        label=_("People"), required=False, max_length=1000, help_text=_("All who will collect; separate several by |")
    )
    consignment: Any = forms.ModelChoiceField(
        label=_("Way home"), required=False, queryset=None, empty_label=_("The first of the plan")
    )
    remarks = forms.CharField(label=_("Remarks"), required=False, widget=forms.Textarea)
    why = why_field(required=False)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, plan: FieldPlan, is_new: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        homes: Any = self.fields["consignment"]
        homes.queryset = plan.consignments.order_by("position", "pk")
        for name, label in (("methods", _t("One more method")), ("people", _t("One more person"))):
            self.fields[name].widget.attrs |= {
                "data-adds-from": f"{name}-known", "data-adds-label": label, "data-adds-button": _t("Add"),
            }  # fmt: skip
        if is_new:
            self.fields["why"].widget = forms.HiddenInput()

    def clean_methods(self) -> str:
        return " | ".join(split_list(self.cleaned_data["methods"]))

    def clean_people(self) -> str:
        return " | ".join(split_list(self.cleaned_data["people"]))

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        refuse_turned_period(self, told)
        told |= {"longitude_deg": None, "latitude_deg": None, "geometry": ""}
        if sum(map(bool, (told.get("position"), told.get("area"), told.get("area_file")))) > 1:
            self.add_error("area", _t("Give either a point with its radius, or an area, or its file: one place."))
        elif told.get("position"):
            self._read_point(told)
        else:
            self._read_area(told)
        if told.get("radius_m") is not None and not told["radius_m"] > 0:
            self.add_error("radius_m", _t("The radius is more than zero metres."))
        if told.get("radius_m") is not None and not told.get("position") and "position" not in self.errors:
            self.add_error("position", _t("A radius goes with a point: write latitude, longitude."))
        return told

    def _read_point(self, told: dict[str, Any]) -> None:
        latitude, longitude, problem = point_of(str(told["position"]).strip())
        if problem:
            self.add_error("position", problem)
        else:
            told |= {"latitude_deg": latitude, "longitude_deg": longitude}

    def _read_area(self, told: dict[str, Any]) -> None:
        text, file = str(told.get("area") or "").strip(), told.get("area_file")
        if not text and not file:
            return
        try:
            read = area_object(file.read(), Path(str(file.name)).name) if file else area_object(text.encode(), "area")
        except FileProblems as problems:
            for problem in problems.problems[:5]:
                words = f"{problem.where}: {problem.found}. {problem.expected}".lstrip(": ")
                self.add_error("area_file" if file else "area", words)
            return
        told["geometry"] = geometry_text(read)

    def keep_file(self) -> None:
        """A browser forgets a chosen file when the page comes back: what was read of it stays as text in the box."""
        told = getattr(self, "cleaned_data", {})
        if told.get("area_file") and told.get("geometry"):
            self.data = sent_with(self, "area", told["geometry"])

    def values(self) -> dict[str, Any]:
        """The fields of the stop."""
        told = self.cleaned_data
        same = (
            "name", "site", "country", "longitude_deg", "latitude_deg", "radius_m", "first_on", "last_on", "methods",
            "people", "consignment", "remarks",
        )  # fmt: skip
        return {name: told[name] for name in same} | {"area": told["geometry"]}


class StopSheet:
    """The whole page of a stop. filled: what the register said of groups, with its source."""

    def __init__(
        self, data: Any = None, files: Any = None, *, plan: FieldPlan, stop: Stop | None = None,
        seen: int | None = None,
    ) -> None:  # fmt: skip
        initial = {"seen": seen} | (stop_initial(stop) if stop else {})
        targets = [_row(row, ("name", *BESIDE_NAME)) for row in stop.targets.all()] if stop else []
        traps = [_row(row, ("method", "number", "first_on", "last_on")) for row in stop.traps.all()] if stop else []
        self.is_bound = data is not None
        self.filled: list[str] = []
        self.stop = StopForm(data, files, plan=plan, is_new=stop is None, initial=initial)
        self.targets = TargetRows(data, prefix="targets", initial=targets)
        self.traps = TrapRows(data, prefix="traps", initial=traps)
        if not self.is_bound:
            self.targets.extra, self.traps.extra = BLANK_TARGETS, BLANK_TRAPS

    @property
    def forms(self) -> list[Any]:
        """All forms, for the summary above the page."""
        return [self.stop, *self.targets.forms, *self.traps.forms]

    @property
    def status(self) -> int:
        """422 for a page with mistakes on it."""
        return 422 if self.is_bound and any(form.errors for form in self.forms) else 200

    def is_valid(self) -> bool:
        valid = all([self.stop.is_valid(), self.targets.is_valid(), self.traps.is_valid()])
        for rows in (self.targets, self.traps):
            for words in rows.non_form_errors():
                self.stop.add_error(None, words)
        return valid and self._place_groups()

    def _place_groups(self) -> bool:
        """Rank and higher names from the register where a row gives neither; what speaks against it is an error."""
        rows = [row for row in self.targets.forms if row.cleaned_data.get("name")]
        known = KnownGroups(row.cleaned_data for row in rows)
        self.filled = []
        for row in rows:
            field, words = known.problem(row.cleaned_data)
            if words:
                row.add_error(field, words)
                continue
            row.cleaned_data, told = known.filled(row.cleaned_data)
            if told:
                self.filled.append(told)
                for name in ("rank", "higher"):
                    row.data = sent_with(row, name, row.cleaned_data[name])
        return not any(row.errors for row in rows)

    def refuse(self, error: ValidationError) -> None:
        """Take over what an action refused."""
        self.stop.refuse(error)

    def target_rows(self) -> list[dict[str, Any]]:
        """The groups that were typed."""
        return [row.cleaned_data for row in self.targets.forms if row.cleaned_data.get("name")]

    def trap_rows(self) -> list[dict[str, Any]]:
        """The traps that were typed."""
        return [row.cleaned_data for row in self.traps.forms if row.cleaned_data.get("method")]

    @property
    def notes(self) -> list[str]:
        """What is odd, and kept all the same."""
        return [row.note for row in self.targets.forms if row.note]

    def allow_again(self, seen: int | None) -> None:
        """Let the next save count for what stands now: the person has been told what happened meanwhile."""
        self.stop.data = sent_with(self.stop, "seen", "" if seen is None else str(seen))


def more_rows(request: HttpRequest) -> Any:
    """What was typed with more rows, if one of the buttons for them was pressed; None if it was another button."""
    for prefix in ("targets", "traps"):
        if request.method == "POST" and f"more_{prefix}" in request.POST:
            data = request.POST.copy()
            total = str(data.get(f"{prefix}-TOTAL_FORMS", "0"))
            number = int(total) if total.isascii() and total.isdigit() and len(total) < 4 else 0
            data[f"{prefix}-TOTAL_FORMS"] = str(min(number + MORE, MOST_ROWS))
            return data
    return None


def geometry_text(area: Mapping[str, Any]) -> str:
    """An area as one GeoJSON geometry."""
    return json.dumps(area["geometry"] if area.get("type") == "Feature" else area, separators=(",", ":"))


def stop_initial(stop: Stop) -> dict[str, Any]:
    """A stop as the form shows it."""
    same = ("name", "area", "first_on", "last_on", "methods", "people", "consignment", "remarks")
    has_point = stop.latitude_deg is not None and stop.longitude_deg is not None
    return {name: getattr(stop, name) for name in same} | {
        "site": site_text(stop.site),
        "country": country_words(stop.country),
        "position": f"{stop.latitude_deg!r}, {stop.longitude_deg!r}" if has_point else "",
        "radius_m": "" if stop.radius_m is None else f"{stop.radius_m:.15g}",
    }


def site_text(site: Site | None) -> str:
    """A site as its box shows it: by its code."""
    return "" if site is None else site.code


def _row(row: Any, names: Sequence[str]) -> dict[str, Any]:
    return {"pk": row.pk} | {name: getattr(row, name) for name in names}
