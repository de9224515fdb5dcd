"""What people type of sites."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm, offer
from accessions.sites.keys import folded
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure
from accessions.sites.outlines import read_outline
from accessions.sites.queries.sites import BOUNDARY_KNOWN, BOUNDARY_MISSING, SiteFilter, countries_of_sites


class SiteFilterForm(Form):
    """Narrows the list of sites."""

    q = forms.CharField(label=_("Code or name"), required=False)
    country = forms.ChoiceField(label=_("Country"), required=False)
    boundary = forms.ChoiceField(
        label=_("Boundary"),
        required=False,
        choices=[("", _("Any")), (BOUNDARY_KNOWN, _("Known")), (BOUNDARY_MISSING, _("Not recorded"))],
    )
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["country"], [("", _("All")), *((code, code) for code in countries_of_sites())])

    def narrowed(self) -> SiteFilter:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return SiteFilter(**{name: value for name, value in self.cleaned_data.items() if value})


class SiteForm(RecordForm):
    """A site."""

    class Meta:
        model = Site
        fields = ("code", "name", "country", "subdivision", "remarks")

    def clean_country(self) -> str:
        return str(self.cleaned_data["country"]).strip().upper()

    def clean_subdivision(self) -> str:
        return str(self.cleaned_data["subdivision"]).strip().upper()

    def clean_code(self) -> str:
        code = str(self.cleaned_data["code"])
        if Site.objects.filter(code_key=folded(code)).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(_("Another site has this code."))
        return code


class BoundaryForm(RecordForm):
    """A boundary: a pasted outline, or a point with its radius."""

    class Meta:
        model = SiteBoundary
        fields = (
            "held_from", "held_to", "polygon", "longitude_deg", "latitude_deg", "radius_m", "error_m", "source",
        )  # fmt: skip
        labels = {"polygon": _("Outline")}
        help_texts = {
            "held_from": _("Blank: since ever"),
            "held_to": _("Blank: until today and on"),
            "polygon": _("GeoJSON or WKT, longitude first, WGS84. Leave blank if you give a point and a radius."),
            "longitude_deg": _("Degrees, west is negative"),
            "latitude_deg": _("Degrees, south is negative"),
            "error_m": _("How well the line is known; blank: not known"),
            "source": _("Such as the map and its year"),
        }

    def clean_polygon(self) -> str:
        text = str(self.cleaned_data["polygon"])
        return read_outline(text) if text.strip() else ""


class TenureForm(RecordForm):
    """An owner or occupier."""

    class Meta:
        model = SiteTenure
        fields = ("agent", "kind", "held_from", "held_to", "source")
        help_texts = {"held_from": _("Blank: not known"), "held_to": _("Blank: until today and on")}


class DesignationForm(RecordForm):
    """A protected status."""

    class Meta:
        model = SiteDesignation
        fields = ("name", "category", "authority", "held_from", "held_to", "source")
        help_texts = {"held_from": _("Blank: not known"), "held_to": _("Blank: until today and on")}
