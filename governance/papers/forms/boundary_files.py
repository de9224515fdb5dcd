"""The boundary of a site from a file: the readers of areas belong to the papers, the boundary to the site."""

from __future__ import annotations

import json
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.intake.problems import FileProblems
from accessions.people.entry_forms import Form
from governance.papers.areas import MAX_AREA_BYTES
from governance.papers.forms.places import area_object


class BoundaryFileForm(Form):
    """A file with the outline, and from when to when it holds."""

    file = forms.FileField(
        label=_("File"), help_text=_("GeoJSON, KML, KMZ, GPX, WKT, or a zipped shapefile; all its polygons together")
    )
    held_from = forms.DateField(label=_("Held from"), required=False, help_text=_("Blank: since ever"))
    held_to = forms.DateField(label=_("Held to"), required=False, help_text=_("Blank: until today and on"))
    error_m = forms.FloatField(
        label=_("Error of the boundary (m)"), required=False, min_value=0, help_text=_("How well the line is known")
    )
    source = forms.CharField(
        label=_("Source"), required=False, max_length=300, help_text=_("Such as the map and its year")
    )

    def clean_file(self) -> Any:
        upload = self.cleaned_data["file"]
        if upload.size > MAX_AREA_BYTES:
            raise forms.ValidationError(
                _("The file has %(size)s MB; an outline has %(most)s MB at most.")
                % {"size": upload.size // 1024**2, "most": MAX_AREA_BYTES // 1024**2}
            )
        try:
            self.cleaned_data["polygon"] = _geometry_text(upload.read(), upload.name)
        except FileProblems as problems:
            raise forms.ValidationError([str(problem) for problem in problems.problems]) from problems
        return upload

    def values(self) -> dict[str, Any]:
        """The fields of the boundary."""
        names = ("held_from", "held_to", "error_m", "source", "polygon")
        return {name: self.cleaned_data[name] for name in names}


def _geometry_text(data: bytes, name: str) -> str:
    area = area_object(data, name)
    return json.dumps(area["geometry"] if area.get("type") == "Feature" else area, separators=(",", ":"))
