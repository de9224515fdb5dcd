"""What a drop brings, and what is done with what is filed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.formats import date_format
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from accessions.people.models import User
from governance.scans.actions.dropping import Drop
from governance.scans.models import FiledAs, Scan, Upload
from governance.scans.queries.visible import may_open

Files = Sequence[UploadedFile[Any]]


class ManyFilesInput(forms.FileInput):
    """One control, many files."""

    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """Many files; the value is the list. What is wrong with one of them is said when it is received, file by file."""

    widget = ManyFilesInput

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, allow_empty_file=True, max_length=None, **more)

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile[Any]]:
        """The files as they came."""
        return list(data or ())


class DropForm(Form):
    """Files of a drop: sent whole, photographed, or sent in pieces before and named by their tokens."""

    files = ManyFilesField(label=_("Files"))  # type: ignore[assignment]  # the field, not what the form was given
    photographs = ManyFilesField(label=_("Photograph"))
    filed_as = forms.ChoiceField(label=_("What they are"), choices=FiledAs.choices, required=False)
    why = forms.CharField(label=_("Where they came from"), required=False, max_length=200)

    def __init__(self, data: Any, files: Any, *, person: User, now: datetime) -> None:
        super().__init__(data, files)
        self.person, self.now = person, now

    def clean(self) -> dict[str, Any]:
        """Under ``drop`` what was sent."""
        told = super().clean() or {}
        drop = Drop(
            files=[*told.get("files", ()), *self._named(told.get("photographs", ()))],
            uploads=self._uploads(),
            scans=self._scans(),
        )
        if not (drop.files or drop.uploads or drop.scans) and not self.errors:
            self.add_error("files", _t("No file came. Choose one or more files, then press the button again."))
        return told | {"drop": drop, "filed_as": told.get("filed_as") or FiledAs.UNSORTED}

    def _named(self, photographs: Files) -> Files:
        """Tablets call every photograph the same, and two of them are no editions of one another."""
        for number, file in enumerate(photographs, 1):
            name = file.name or ""
            ending = f".{name.rpartition('.')[2]}" if "." in name else ""
            taken = f"{date_format(self.now, 'Y-m-d H.i.s')} {number}"
            file.name = f"{_t('Photograph')} {taken}{ending}"
        return photographs

    def _uploads(self) -> list[Upload]:
        """Only the person's own; in the order of the tokens."""
        tokens = _sent(self.data, "upload")
        found = Upload.objects.filter(token__in=tokens, started_by=self.person).select_related("scan")
        of_token = {upload.token: upload for upload in found}
        return [of_token[token] for token in tokens if token in of_token]

    def _scans(self) -> list[Scan]:
        keys = [int(key) for key in _sent(self.data, "scan") if key.isascii() and key.isdigit() and len(key) < 19]
        found = [scan for scan in Scan.objects.filter(pk__in=keys).order_by("pk") if may_open(self.person, scan)]
        if len(found) < len(set(keys)):
            self.add_error(None, _t("A scan that was named is not in the register, or not open to you."))
        return found


def _sent(data: Any, name: str) -> list[str]:
    """Each value once, in the order in which they came."""
    return list(dict.fromkeys(data.getlist(name)))


class SortForm(Form):
    """What a filed scan is."""

    filed_as = forms.ChoiceField(label=_("What it is"), choices=FiledAs.choices)


class TakeOffForm(Form):
    """Why a filing ends."""

    why = why_field(required=True)
