"""Forms of the room. They check what was typed; the actions check what it would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from accessions.intake import limits
from accessions.intake.actions.taking_back import LONGEST_WHY
from accessions.intake.kept import KEPT
from accessions.intake.label_dates import AS_WRITTEN, PLAIN, DateColumn
from accessions.material.models import Accession
from accessions.people.entry_forms import Form
from accessions.values.label_forms import DateOrder

_MEGABYTE = 1024**2


class AccessionField(forms.CharField):
    """The number of an accession that is there; the value is the accession, None where it is blank."""

    default_error_messages = {"absent": _("There is no accession %(number)s. Check the number, or enter it first.")}

    def clean(self, value: Any) -> Accession | None:
        number = super().clean(value)
        if not number:
            return None
        found = Accession.objects.filter(number=number).first()
        if found is None:
            raise forms.ValidationError(self.error_messages["absent"], params={"number": number}, code="absent")
        return found


def _accession_field() -> AccessionField:
    return AccessionField(
        label=_("Accession of rows that name none"),
        required=False,
        max_length=100,
        help_text=_("Its number, such as LMN-2024-038. Rows that fill accessionNumber go where they say."),
        widget=forms.TextInput(attrs={"list": "accession-numbers", "autocomplete": "off"}),
    )


class TakeBackForm(Form):
    """Why the file should not have been committed: the one thing that is asked."""

    why = forms.CharField(
        label=_("Reason"), max_length=LONGEST_WHY,
        help_text=_("Kept in the history of each specimen with your name, and shown to whoever looks for its number"),
    )  # fmt: skip


class UploadForm(Form):
    """A file, and the accession of its rows where they name none."""

    file = forms.FileField(
        label=_("File"),
        allow_empty_file=True,  # read_table says it better
        help_text=_(
            "CSV, TSV, XLSX, ODS or a Darwin Core archive (zip), at most 100 MB. The first row holds the headers."
        ),
        error_messages={"required": _("Choose a file.")},
    )
    accession = _accession_field()

    def clean_file(self) -> UploadedFile[bytes]:
        """Refuse what is too large before it is read."""
        file: UploadedFile[bytes] = self.cleaned_data["file"]
        if (file.size or 0) > limits.MAX_UPLOAD_BYTES:
            raise forms.ValidationError(
                gettext("%(name)s is %(size)s MB long; at most %(limit)s MB are read. Split the file.")
                % {
                    "name": file.name,
                    "size": f"{(file.size or 0) / _MEGABYTE:,.0f}",
                    "limit": limits.MAX_UPLOAD_BYTES // _MEGABYTE,
                }
            )
        return file


class AccessionForm(Form):
    """The accession of rows that name none."""

    accession = _accession_field()


class MappingForm(forms.Form):
    """One pick list a column, named by its position, since headers may hold anything."""

    def __init__(self, headers: Sequence[str], mapping: Mapping[str, str], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.headers = headers
        choices = [("", _("Leave aside")), *((term, term) for term in sorted(KEPT, key=str.casefold))]
        for index, header in enumerate(headers):
            self.fields[f"column-{index}"] = forms.ChoiceField(
                label=header,
                choices=choices,
                required=False,
                initial=mapping.get(header, ""),
                widget=forms.Select(attrs={"class": "in s"}),
            )

    def clean(self) -> dict[str, Any]:
        """Two columns of one term are named at each of them."""
        cleaned = super().clean() or {}
        at: dict[str, list[int]] = {}
        for index in range(len(self.headers)):
            if term := cleaned.get(f"column-{index}"):
                at.setdefault(term, []).append(index)
        for term, indexes in at.items():
            for index in indexes if len(indexes) > 1 else ():
                others = ", ".join(f'"{self.headers[other]}"' for other in indexes if other != index)
                self.add_error(
                    f"column-{index}",
                    gettext("%(others)s is %(term)s too: keep one of them, leave the other aside.")
                    % {"others": others, "term": term},
                )
        return cleaned

    @property
    def terms(self) -> dict[str, str]:
        """Header to term."""
        return {header: self.cleaned_data[f"column-{index}"] for index, header in enumerate(self.headers)}


class DatesForm(forms.Form):
    """One answer a column of dates as labels write them."""

    def __init__(self, columns: Sequence[DateColumn], answers: Mapping[str, str], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for column in columns:
            self.fields[column.term] = forms.ChoiceField(
                label=column.header,
                choices=_date_choices(column),
                initial=answers.get(column.term, "" if column.has_open_order else PLAIN),
                error_messages={"required": _("Choose how this column is read.")},
                widget=forms.RadioSelect,
            )

    @property
    def answers(self) -> dict[str, str]:
        """Term to answer."""
        return dict(self.cleaned_data)


def _date_choices(column: DateColumn) -> list[tuple[str, Any]]:
    as_written = (AS_WRITTEN, _("Leave the column as it is written; these dates then cannot be judged"))
    if not column.has_open_order:
        return [(PLAIN, _("Use the standard form")), as_written]
    return [
        (DateOrder.DAY_MONTH.value, _("Day first: 05/06/2019 is 5 June 2019")),
        (DateOrder.MONTH_DAY.value, _("Month first: 05/06/2019 is 6 May 2019")),
        (PLAIN, _("Use the standard form only where one reading is possible")),
        as_written,
    ]
