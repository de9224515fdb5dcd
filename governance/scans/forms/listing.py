"""What a person narrows the list of scans to."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.scans.models import Scan, ScanMark
from governance.scans.queries.listing import SORTS, WantedScans

TYPE_NAMES = [
    ("", _("Any")), ("pdf", _("PDF")), ("image", _("Picture")), ("mail", _("Mail")), ("document", _("Document")),
    ("text", _("Text")),
]  # fmt: skip
MARK_NAMES = [
    ("", _("Any")), (ScanMark.Kind.ILLEGIBLE, _("Illegible")), (ScanMark.Kind.INCOMPLETE, _("Incomplete")),
    (ScanMark.Kind.TRANSLATION, _("Translation")), (ScanMark.Kind.SUPERSEDED, _("Superseded")),
]  # fmt: skip


class ScanFilterForm(Form):
    """The filter above the list; what makes no sense is left out, never an error page."""

    q = forms.CharField(label=_("Name"), required=False, max_length=100)
    type = forms.ChoiceField(label=_("Kind of file"), required=False, choices=TYPE_NAMES)
    mark = forms.ChoiceField(label=_("Mark"), required=False, choices=MARK_NAMES)
    words = forms.ChoiceField(
        label=_("Words"), required=False, choices=[("", _("Any")), *Scan.TextState.choices]
    )  # fmt: skip
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def wanted(self) -> WantedScans:
        """What of it makes sense."""
        self.is_valid()
        told: dict[str, Any] = self.cleaned_data
        sort = told.get("sort") or ""
        return WantedScans(
            text=told.get("q") or "",
            type=told.get("type") or "",
            mark=told.get("mark") or "",
            text_state=told.get("words") or "",
            sort=sort if sort.removeprefix("-") in SORTS else "-received",
        )
