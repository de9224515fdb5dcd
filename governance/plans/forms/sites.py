"""A registered site, found by its code or its name."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.sites.keys import folded
from accessions.sites.models import Site


class SiteField(forms.CharField):
    """Code or name of a site, with the known ones offered."""

    def __init__(self) -> None:
        hint = _("Type part of its code or name; blank if it is none")
        super().__init__(label=_("Registered site"), required=False, max_length=200, help_text=hint)
        self.widget.attrs.update({"list": "sites-known", "autocomplete": "off"})

    def clean(self, value: Any) -> Site | None:
        """The site, None where blank.

        Raises:
            ValidationError: no site, or more than one, has this code or name.
        """
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        found = sites_named(text)
        if len(found) == 1:
            return found[0]
        words = (
            _t("“%(text)s” is the name of more than one site. Write its code: %(codes)s.")
            if found
            else _t("No site has the code or the name “%(text)s”. Choose one of the list, or leave it blank and give "
                    "the place below.")
        )  # fmt: skip
        raise ValidationError(words % {"text": text[:60], "codes": ", ".join(site.code for site in found[:5])})


def sites_named(text: str) -> list[Site]:
    """The site of this code, else the sites of this name."""
    key = folded(text)
    return list(Site.objects.filter(code_key=key)) or list(Site.objects.filter(name_key=key)[:6])
