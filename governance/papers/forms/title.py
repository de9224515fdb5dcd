"""What people type of title and custody."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession
from accessions.people.access import is_open_to
from accessions.people.entry_forms import Form, RecordForm, why_field
from governance.papers.models import Paper, TitleRecord
from governance.scans.models import Scan


class TitleForm(RecordForm):
    """One record of title. The paper is written by its number, the scan is one that is filed with the accession."""

    paper = forms.CharField(
        label=_("Its paper"), required=False, max_length=100,
        help_text=_("The number of a registered paper, such as the deed; blank if there is none"),
    )  # fmt: skip

    class Meta:
        model = TitleRecord
        fields = ("kind", "part", "dated_on", "given_by", "right_held_by", "right_basis", "paper", "scan", "note")

    def __init__(self, *args: Any, accession: Accession, reader: Any, **more: Any) -> None:
        instance = more.get("instance")
        if instance is not None and instance.paper_id:
            more["initial"] = {**(more.get("initial") or {}), "paper": instance.paper.reference}
        super().__init__(*args, **more)
        self.fields["part"].queryset = accession.parts.all()  # type: ignore[attr-defined]
        self.fields["part"].label, self.fields["scan"].label = _("Part"), _("Scan")
        self.fields["part"].empty_label = _("Whole accession")  # type: ignore[attr-defined]
        scans = _scans_of(accession, instance, reader)
        self.fields["scan"].queryset = Scan.objects.filter(pk__in=scans)  # type: ignore[attr-defined]
        self.fields["scan"].empty_label = _("None")  # type: ignore[attr-defined]
        self.fields["scan"].label_from_instance = lambda scan: (  # type: ignore[attr-defined]
            scan.original_name if is_open_to(reader, scan.open_to) else _("a scan that is open to some roles only")
        )
        self.fields["scan"].help_text = _("One that is filed with this accession")
        self.fields["right_held_by"].help_text = _(
            "The owner who could give it away; blank is not known, and the file says so"
        )
        self.fields["paper"].widget.attrs |= {"list": "papers-known", "autocomplete": "off"}
        for name in ("right_basis", "note"):
            self.fields[name].widget.attrs["rows"] = 2

    def clean_paper(self) -> Paper | None:
        text = self.cleaned_data["paper"].strip()
        if not text:
            return None
        found = Paper.objects.filter(reference__iexact=text).first()
        if found is None:
            raise forms.ValidationError(
                _("No paper has the number “%(text)s”. Register it first, or leave this blank.") % {"text": text}
            )
        return found

    def values(self) -> dict[str, Any]:
        """What was typed; the paper of an old record is compared by its number."""
        values = super().values()
        if not self.is_new and "paper" not in values and "paper" in self.changed_data:
            values["paper"] = self.cleaned_data["paper"]
        return values


def _scans_of(accession: Accession, title: TitleRecord | None, reader: Any) -> list[int]:
    """Scans that are filed with the accession and open to this person, and the one that the record has."""
    filed = Q(filings__accession=accession, filings__taken_off_at__isnull=True)
    scans = Scan.objects.filter(filed | Q(pk=title.scan_id if title else None)).distinct()
    own = title.scan_id if title else None
    return [scan.pk for scan in scans if scan.pk == own or is_open_to(reader, scan.open_to)]


class TitleRemoveForm(Form):
    """Why a record of title goes."""

    why = why_field(required=True)
