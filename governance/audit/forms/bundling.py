"""The two clocks of an evidence file."""

from __future__ import annotations

from datetime import date

from django import forms
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.entry_forms import Form
from governance.audit.bundle.subjects import KIND_NAMES


class SubjectForm(Form):
    """Of what evidence is asked, where the page was not opened from it."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Evidence of"),
        choices=[(kind, name) for kind, name in KIND_NAMES.items() if kind != "question"],
    )  # fmt: skip
    key = forms.CharField(
        label=gettext_lazy("Its number"), max_length=200,
        help_text=gettext_lazy("Catalogue number, accession number, reference, or the two letters of a country"),
    )  # fmt: skip

    @property
    def of(self) -> str:
        """As the address of the page names it, such as ``specimen:LMN-FW-0241873``."""
        return f"{self.cleaned_data['kind']}:{self.cleaned_data['key']}"


class BundleForm(Form):
    """As of which day in the world, as known on which day of the register; blank: today, now."""

    on = forms.DateField(
        label=gettext_lazy("As of (day in the world)"), required=False,
        help_text=gettext_lazy("Which version was in force, how duties stood. Blank: today"),
    )  # fmt: skip
    known = forms.DateField(
        label=gettext_lazy("As known on (day of the register)"), required=False,
        help_text=gettext_lazy("Blank: all that is entered. An earlier day also gives what differs from now"),
    )  # fmt: skip

    def clean_known(self) -> date | None:
        """What will be known nobody knows."""
        known: date | None = self.cleaned_data["known"]
        today = timezone.localdate()
        if known is not None and known > today:
            words = _("That day is to come; the register knows what was entered up to today, %(day)s.")
            raise forms.ValidationError(words % {"day": date_format(today, "j F Y")})
        return known
