"""Accession numbers of sequences, pasted as a table: catalogue number, accession number, marker."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.usedesk.identifiers import FORM_ONLY, IdentifierError, accessions_in
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.chosen import by_numbers

_LONGEST_MARKER: Final = 100
_HEADS: Final = frozenset({"catalogue number", "catalog number", "catalognumber", "specimen", "number"})
MOST_LINES: Final = 20_000


class SequencesForm(Form):
    """A table of sequences. All that is wrong is said at once, by line."""

    table = forms.CharField(
        label=_("Catalogue number, accession number, marker"), widget=forms.Textarea(attrs={"lines": 12}),
        help_text=_(
            "One line a specimen, with tabs or semicolons between, as a spreadsheet copies them. Several accession "
            "numbers of one specimen with blanks or commas between, or as a range: OR123456-OR123460."
        ),
        error_messages={"required": _("Paste at least one line.")},
    )  # fmt: skip
    marker = forms.CharField(
        label=_("Marker or kind"), required=False, max_length=_LONGEST_MARKER,
        help_text=_("For lines that name none, such as COI-5P"),
    )  # fmt: skip

    def __init__(self, *args: Any, made: MadeUse, **more: Any) -> None:
        super().__init__(*args, **more)
        self.made = made
        self.numbers: dict[int, list[tuple[str, str]]] = {}

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        rows = [
            (n, _cells(line)) for n, line in enumerate(str(told.get("table") or "").splitlines(), 1) if line.strip()
        ]
        rows = [(n, cells) for n, cells in rows if cells[0].casefold() not in _HEADS]
        if len(rows) > MOST_LINES:
            self.add_error(
                "table",
                _t("%(n)d lines are more than one table holds (%(most)d).") % {"n": len(rows), "most": MOST_LINES},
            )
            return told
        found, problems = by_numbers(list(dict.fromkeys(cells[0] for _n, cells in rows)))
        for problem in problems:
            self.add_error("table", problem)
        self._read(rows, found, str(told.get("marker") or ""))
        return told

    def _read(self, rows: list[tuple[int, list[str]]], found: Mapping[str, int], marker: str) -> None:
        of_entry = set(self.made.items.values_list("specimen", flat=True))
        for number, cells in rows:
            key = found.get(cells[0])
            if key is not None and key not in of_entry:
                words = _t("Line %(n)d: %(number)s is not a specimen of this entry.")
                self.add_error("table", words % {"n": number, "number": cells[0]})
            self._read_cells(number, key, cells[1:], marker)

    def _read_cells(self, line: int, key: int | None, cells: list[str], marker: str) -> None:
        if not cells or not cells[0]:
            self.add_error("table", _t("Line %(n)d: there is no accession number in the second column.") % {"n": line})
            return
        if len(cells) > 2:
            self.add_error(
                "table", _t("Line %(n)d has %(found)d columns; three are read.") % {"n": line, "found": len(cells) + 1}
            )
        own = cells[1] if len(cells) > 1 else ""
        if len(own) > _LONGEST_MARKER:
            self.add_error(
                "table",
                _t("Line %(n)d: a marker has at most %(most)d characters.") % {"n": line, "most": _LONGEST_MARKER},
            )
        try:
            read = accessions_in(cells[0])
        except IdentifierError as error:
            self.add_error("table", _t("Line %(n)d: %(problem)s") % {"n": line, "problem": error})
            return
        if key is not None:
            self.numbers.setdefault(key, []).extend((one.number, own or marker) for one in read)


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().replace(";", "\t").split("\t")]


class SequenceRemoveForm(Form):
    """Why an accession number is removed."""

    why = why_field(required=True)


__all__ = ["FORM_ONLY", "SequenceRemoveForm", "SequencesForm"]
