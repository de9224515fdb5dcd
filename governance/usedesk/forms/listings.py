"""What people type of the names that CITES lists, and files of many."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, RecordForm, why_field
from governance.usedesk.forms.recipients import not_to_come
from governance.usedesk.models import CitesListing
from governance.usedesk.queries.rules import SORTS, ListingFilter

COLUMNS: Final = ("name", "kingdom", "rank", "higher", "appendix", "from", "to", "source", "checked_on")
"""Of a file of many, in any order. higher: names above it, with | between."""

_FIELDS: Final = {"from": "from_on", "to": "to_on", "higher": "higher_classification"}
NEEDED: Final = ("name", "appendix", "source", "checked_on")
_TEXTS: Final = ("name", "kingdom", "rank", "higher", "appendix", "source")
_MOST_BYTES: Final = 20_000_000
_MOST_ROWS: Final = 60_000
_MOST_PROBLEMS: Final = 50


class ListingForm(RecordForm):
    """One listed name."""

    class Meta:
        model = CitesListing
        fields = (
            "name", "kingdom", "rank", "higher_classification", "appendix", "from_on", "to_on", "source", "checked_on",
        )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["name"].help_text = _("As the Appendices write it: a species, a genus, a family or an order")
        self.fields["from_on"].help_text = _("Blank: not known, so it counts on every day up to its last")
        self.fields["source"].help_text = _("Where it stands, and of which day: the Appendices in force from …")
        self.fields["checked_on"].validators.append(not_to_come)

    def clean_name(self) -> str:
        return " ".join(str(self.cleaned_data["name"]).split())


class EndListingForm(Form):
    """The last day on which a name is listed, and why."""

    to_on = forms.DateField(label=_("Last day"))
    why = why_field(required=True)


class ListingFilterForm(Form):
    """Narrows the list of names."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Name, kingdom, source")
    appendix = forms.ChoiceField(
        label=_("Appendix"), required=False, choices=[("", _("All")), *CitesListing.Appendix.choices]
    )
    on = forms.DateField(label=_("Listed on"), required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def wanted(self) -> ListingFilter:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return ListingFilter(**{name: value for name, value in self.cleaned_data.items() if value})


class ListingFileForm(Form):
    """A CSV file of listed names; every problem of it is told at once."""

    file = forms.FileField(label=_("CSV file"), error_messages={"required": _("Choose the file.")})
    why = why_field(required=True)

    def clean_file(self) -> list[dict[str, Any]]:
        """The rows, as the action takes them."""
        rows = list(_rows(self.cleaned_data["file"]))
        problems: list[str] = []
        read = [_read(number, row, problems) for number, row in rows]
        if not rows:
            problems.append(_t("The file has a head and no rows."))
        if problems:
            more = len(problems) - _MOST_PROBLEMS
            shown = problems[:_MOST_PROBLEMS]
            raise ValidationError([*shown, *([_t("And %(n)d more.") % {"n": more}] if more > 0 else [])])
        return read


def _rows(file: Any) -> Iterator[tuple[int, dict[str, str]]]:
    if file.size > _MOST_BYTES:
        raise ValidationError(_t("The file is larger than %(n)d MB.") % {"n": _MOST_BYTES // 1_000_000})
    try:
        text = file.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValidationError(_t("The file is no text in UTF-8. Save it as “CSV UTF-8”.")) from None
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=False)
    try:
        head = [cell.strip().lower() for cell in next(lines, [])]
        _check_head(head)
        for number, cells in enumerate(lines, 2):
            if number > _MOST_ROWS + 1:
                raise ValidationError(_t("The file has more than %(n)d rows.") % {"n": _MOST_ROWS})
            if any(cell.strip() for cell in cells):
                yield number, dict(zip(head, (cell.strip() for cell in cells), strict=False))
    except csv.Error as error:
        raise ValidationError(_t("The file is no CSV: %(error)s.") % {"error": error}) from None


def _delimiter(text: str) -> str:
    head = text.partition("\n")[0]
    return max(",;\t", key=head.count)


def _check_head(head: list[str]) -> None:
    missing = [name for name in NEEDED if name not in head]
    strange = [name for name in head if name not in COLUMNS]
    if missing or strange:
        told = {"needed": ", ".join(NEEDED), "more": ", ".join(name for name in COLUMNS if name not in NEEDED)}
        words = _t("The first row names the columns: %(needed)s; and, where they are known, %(more)s.") % told
        if missing:
            words += " " + _t("Missing: %(names)s.") % {"names": ", ".join(missing)}
        if strange:
            words += " " + _t("Not known: %(names)s.") % {"names": ", ".join(name[:40] or "–" for name in strange)}
        raise ValidationError(words)


def _read(number: int, row: dict[str, str], problems: list[str]) -> dict[str, Any]:
    def say(words: str) -> None:
        problems.append(_t("Row %(n)d: %(words)s") % {"n": number, "words": words})

    for name in NEEDED:
        if not row.get(name):
            say(_t("“%(name)s” is blank.") % {"name": name})
    if row.get("appendix") and row["appendix"] not in CitesListing.Appendix.values:
        say(_t("“%(text)s” is no Appendix. Write I, II or III.") % {"text": row["appendix"][:40]})
    for name, most in (("name", 200), ("kingdom", 50), ("rank", 20), ("higher", 500), ("source", 300)):
        if len(row.get(name, "")) > most:
            say(_t("“%(name)s” is longer than %(n)d characters.") % {"name": name, "n": most})
    days = {name: _day(row.get(name, ""), name, say) for name in ("from", "to", "checked_on")}
    first, last = days["from"], days["to"]
    if first and last and last < first:
        say(_t("%(last)s is before %(first)s.") % {"last": last, "first": first})
    if (checked := days["checked_on"]) is not None:
        try:
            not_to_come(checked)
        except ValidationError as error:
            say(error.messages[0])
    texts = {name: " ".join(row.get(name, "").split()) for name in _TEXTS}
    return {_FIELDS.get(name, name): value for name, value in (texts | days).items()}


def _day(text: str, name: str, say: Any) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        say(_t("“%(text)s” in “%(name)s” is no day. Write days as 2026-11-26.") % {"text": text[:40], "name": name})
        return None
