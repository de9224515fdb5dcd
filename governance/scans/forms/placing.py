"""Into which file a scan that is here already is put."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession
from accessions.people.entry_forms import Form
from accessions.sites.models import Site
from governance.scans.models import FiledAs

_WHY_LENGTH = 200


class PlaceForm(Form):
    """An accession or a site, by the number or code that people know."""

    accession = forms.CharField(label=_("Accession"), required=False, max_length=200, help_text=_("Its number"))
    site = forms.CharField(label=_("or site"), required=False, max_length=200, help_text=_("Its code"))
    filed_as = forms.ChoiceField(label=_("What it is"), choices=FiledAs.choices, initial=FiledAs.UNSORTED)
    why = forms.CharField(label=_("Where it came from"), required=False, max_length=_WHY_LENGTH)

    def clean_accession(self) -> Accession | None:
        """The accession of the number."""
        typed = self.cleaned_data["accession"].strip()
        if not typed:
            return None
        found = Accession.objects.filter(number__iexact=typed).first()
        if found is None:
            raise ValidationError(_t("No accession has the number “%(typed)s”.") % {"typed": typed})
        return found

    def clean_site(self) -> Site | None:
        """The site of the code."""
        typed = self.cleaned_data["site"].strip()
        if not typed:
            return None
        found = Site.objects.filter(code_key=typed.casefold()).first()
        if found is None:
            raise ValidationError(_t("No site has the code “%(typed)s”.") % {"typed": typed})
        return found

    def clean(self) -> dict[str, Any]:
        """One of the two."""
        told = super().clean() or {}
        if not self.errors and (told.get("accession") is None) == (told.get("site") is None):
            self.add_error("accession", _t("Write the number of an accession or the code of a site, not both."))
        return told
