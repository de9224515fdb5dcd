"""What is noted about a scan, typed by a person."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import is_open_to
from accessions.people.entry_forms import Form, why_field
from governance.scans.models import Scan, ScanMark
from governance.scans.queries.listing import scans_named

_MOST_NAMESAKES = 5


class MarkForm(Form):
    """The mark, and of which other scan it speaks."""

    kind = forms.ChoiceField(
        label=_("Mark"), widget=forms.RadioSelect,
        choices=[
            ("illegible", _("Illegible: some of it cannot be read")),
            ("incomplete", _("Incomplete: pages or parts are missing")),
            ("translation", _("A translation of another scan")),
            ("superseded", _("Superseded: something newer came in its place")),
        ],
    )  # fmt: skip
    other = forms.CharField(
        label=_("The other scan"), required=False, max_length=500,
        help_text=_("For a translation what it translates, for a superseded scan what came in its place: the scan "
                    "number from its page, or its name"),
    )  # fmt: skip
    note = forms.CharField(
        label=_("Note"), required=False, max_length=300, help_text=_("Such as: the stamp covers the last day")
    )

    def __init__(self, data: Any, *, scan: Scan, person: Any) -> None:
        super().__init__(data)
        self.scan, self.person = scan, person

    def clean_other(self) -> Scan | None:
        """The scan that is meant; never one that the person may not open."""
        typed = self.cleaned_data["other"].strip()
        if not typed:
            return None
        found = [scan for scan in scans_named(typed) if is_open_to(self.person, scan.open_to)]
        if not found:
            raise ValidationError(
                _t("“%(typed)s” is neither the number nor the name of a scan that you may open.") % {"typed": typed}
            )
        if len(found) > 1:
            numbers = ", ".join(str(scan.pk) for scan in found[:_MOST_NAMESAKES])
            raise ValidationError(
                _t("%(count)s scans are named so. Write the number of the one you mean: %(numbers)s.")
                % {"count": len(found), "numbers": numbers}
            )
        return found[0]

    def clean(self) -> dict[str, Any]:
        """Only a translation must name another scan; illegible and incomplete speak of none."""
        told = super().clean() or {}
        kind, other = told.get("kind"), told.get("other")
        if "other" in self.errors or not kind:
            return told
        if kind == ScanMark.Kind.TRANSLATION and other is None:
            self.add_error("other", _t("Say which scan it is a translation of."))
        if kind in (ScanMark.Kind.ILLEGIBLE, ScanMark.Kind.INCOMPLETE) and other is not None:
            self.add_error("other", _t("This mark speaks of no other scan: leave it blank, or choose another mark."))
        if other == self.scan:
            self.add_error("other", _t("That is this scan itself. Name the other one."))
        return told


class WithdrawMarkForm(Form):
    """Why a mark is withdrawn."""

    why = why_field(required=True)
