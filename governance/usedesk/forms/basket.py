"""Lists of numbers that are put into the basket, and what the page of the basket is narrowed to."""

from __future__ import annotations

import re
from typing import Any, Final

from django import forms
from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.columns import header_key, recognise
from accessions.intake.grid import TextTable
from accessions.intake.problems import FileProblems, shown
from accessions.intake.stored import read_bytes
from accessions.people.entry_forms import Form
from governance.usedesk.forms.scanning import KEY, MOST_CHARACTERS, key_of, new_key
from governance.usedesk.queries.basket import DECIDED, SORTS, Wanted

MOST_LINES: Final = 50_000
MOST_TEXT: Final = 2_000_000
"""Characters of a pasted list, below what Django takes of a form."""

MOST_FILE_BYTES: Final = 20 * 1024**2

_BETWEEN: Final = re.compile(r"[\n\r\t;,]+")
_HEADERS: Final = frozenset({"barcode", "barcodes", "code", "codes", "number", "numbers", "label", "labels"})
"""Words over a single column that are no number themselves; common practice, no source."""


class ListForm(Form):
    """A list, pasted or as a file. token: begins the keys of its lines, so that a list that is sent twice counts once.

    ``codes`` has what was read, in order.
    """

    text = forms.CharField(
        label=_("Numbers"), required=False, max_length=MOST_TEXT, strip=False,
        widget=forms.Textarea(attrs={"lines": 12, "spellcheck": "false", "autofocus": True}),
        help_text=_("One a line, or copied from a spreadsheet with a column that is headed catalogNumber"),
    )  # fmt: skip
    file = forms.FileField(
        label=_("or a file"), required=False, help_text=_("TXT with one number a line; CSV, XLSX or ODS with headers")
    )
    column = forms.CharField(
        label=_("Column of the numbers"), required=False, max_length=200,
        help_text=_("Its header, if it is another than catalogNumber"),
    )  # fmt: skip
    token = forms.CharField(widget=forms.HiddenInput, max_length=50)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["token"].initial = new_key
        self.codes: list[str] = []

    @property
    def list_token(self) -> str:
        """With what the keys of the lines begin."""
        return key_of(self.cleaned_data["token"], *self.codes)

    def clean_token(self) -> str:
        token = str(self.cleaned_data["token"])
        if not KEY.fullmatch(token):
            raise ValidationError(_t("The page is too old. Load it again."))
        return token

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        text, file = str(told.get("text") or ""), told.get("file")
        if self.errors:
            return told
        if file and text.strip():
            self.add_error("file", _t("Paste a list or choose a file, not both at once."))
        elif file:
            self._read_file(file, told.get("column") or "")
        elif text.strip():
            self._read_text(text, told.get("column") or "")
        else:
            self.add_error("text", _t("Paste a list of numbers, or choose a file."))
        self._check_size()
        return told

    def _read_file(self, file: Any, column: str) -> None:
        if file.size > MOST_FILE_BYTES:
            words = _t("The file has %(size)d MB; at most %(most)d are read here.")
            self.add_error("file", words % {"size": file.size // 1024**2, "most": MOST_FILE_BYTES // 1024**2})
            return
        self._take("file", file.read(), file.name, column)

    def _read_text(self, text: str, column: str) -> None:
        """As a table where it has a header that is known, else as numbers with anything between."""
        header = text.lstrip().splitlines()[0]
        if column or "catalogNumber" in recognise(_BETWEEN.split(header)).by_term:
            self._take("text", text.encode("utf-8", "replace"), str(_t("the list")), column)
        else:
            self.codes = [one for one in _BETWEEN.split(text) if one.strip()]

    def _take(self, field: str, data: bytes, name: str, column: str) -> None:
        try:
            self.codes = numbers_of(read_bytes(data, name), column)
        except FileProblems as problems:
            for problem in problems.problems:
                self.add_error(field, str(problem))
        except ValidationError as error:
            self.add_error("column", error)

    def _check_size(self) -> None:
        if len(self.codes) > MOST_LINES:
            words = _t("The list has %(n)s lines; up to %(most)s are taken at once. Take it in parts.")
            self.add_error(None, words % {"n": intcomma(len(self.codes)), "most": intcomma(MOST_LINES)})
        for number, code in enumerate(self.codes, 1):
            if len(code) > MOST_CHARACTERS:
                words = _t("Line %(n)d has %(length)s characters and is no number: at most %(most)s are read.")
                told = {"n": number, "length": intcomma(len(code)), "most": intcomma(MOST_CHARACTERS)}
                self.add_error(None, words % told)


def numbers_of(table: TextTable, column: str = "") -> list[str]:
    """The numbers of a table: of the column that is named, or is headed catalogNumber, or is the only one.

    Raises:
        ValidationError: there is no such column; says which there are.
    """
    wanted = {header_key(column)} if column else set()
    places = [place for place, header in enumerate(table.columns) if header_key(header) in wanted]
    if not column:
        places = [place for term, place in recognise(table.columns).by_term.items() if term == "catalogNumber"]
    if len(places) == 1:
        return [cell for cell in table.data[places[0]] if cell.strip()]
    if len(table.columns) == 1 and not column:
        head = [] if header_key(table.columns[0]) in _HEADERS else [table.columns[0]]
        return [cell for cell in [*head, *table.data[0]] if cell.strip()]
    headers = ", ".join(shown(header) for header in table.columns)
    words = _t("No column is headed %(wanted)s. The columns are: %(headers)s. Name the one that holds the numbers.")
    raise ValidationError(words % {"wanted": shown(column or "catalogNumber"), "headers": headers})


class BasketFilterForm(Form):
    """What the page of the basket is narrowed to; what makes no sense is passed over."""

    q = forms.CharField(label=_("Number begins with"), required=False, max_length=200)
    decided = forms.ChoiceField(
        label=_("Decision"), required=False,
        choices=[("", _("All")), ("undecided", _("Not decided")), ("approved", _("May go")), ("refused", _("Stays"))],
    )  # fmt: skip

    def __init__(self, data: QueryDict) -> None:
        super().__init__(data)
        for field in self.fields.values():
            field.widget.attrs["class"] = "in s"

    def wanted(self) -> Wanted:
        self.is_valid()
        told, sort = self.cleaned_data, self.data.get("sort", "")
        decided = told.get("decided", "")
        return Wanted(
            str(told.get("q") or ""), decided if decided in DECIDED else "",
            sort if sort.removeprefix("-") in SORTS else "",
        )  # fmt: skip


def picked(data: QueryDict) -> list[int] | None:
    """The keys of the items that were ticked; None where all were chosen."""
    if data.get("all") == "1":
        return None
    return [int(text) for text in data.getlist("pick") if text.isascii() and text.isdigit() and len(text) < 19]
