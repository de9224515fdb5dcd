"""Values of an answer in words, the same on pages and in files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.audit.asking import Cell, Column, ColumnKind, Linked, Plain
from governance.engine.tables import Verdict
from governance.papers.countries import country_name
from governance.verdicts.cells import Cell as VerdictCell
from governance.verdicts.cells import strip_cells

_MOST_KEPT: Final = 20_000


def plain(cell: Cell) -> Plain:
    """The value of a cell, wherever it leads."""
    return cell.value if isinstance(cell, Linked) else cell


def heading(column: Column) -> str:
    """The label of a column with its unit: "Distance (m)"."""
    return f"{column.label} ({column.unit})" if column.unit else str(column.label)


def verdict_cell(value: Any) -> VerdictCell | None:
    """How a verdict is drawn; None for what is none."""
    try:
        return VerdictCell(Verdict(int(value)))
    except (TypeError, ValueError):
        return None


def strip_words(strip: str) -> str:
    """Nine layers with the letters of their verdicts: "La=C Co=O ...", "" where there is no ruling."""
    if len(strip) != 9 or not strip.isdigit():
        return ""
    return " ".join(f"{cell.layer_code}={cell.letter}" for cell in strip_cells(strip))


def words(column: Column, value: Plain) -> str:
    """A value for people to read in a table; "" where nothing stands."""
    if value is None or value == "":
        return ""
    return _WORDS.get(column.kind, _text)(value)


def iso_words(column: Column, value: Plain) -> str:
    """A value for programs to read: days and moments as ISO 8601, numbers without marks of thousands."""
    if isinstance(value, datetime):
        return timezone.localtime(value).isoformat(timespec="seconds") if timezone.is_aware(value) else str(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool) and column.kind in _AS_NUMBERS:
        return number_text(value)
    return words(column, value)


def kept(write: Callable[[Plain], str]) -> Callable[[Plain], str]:
    """Keeps what was written: most values of a column come again. Different ones beyond many are not kept."""
    known: dict[Any, str] = {}

    def markup(value: Plain) -> str:
        key = (type(value), value)  # 1, True and 1.0 are one key of a dictionary
        found = known.get(key)
        if found is None:
            found = write(value)
            if len(known) < _MOST_KEPT:
                known[key] = found
        return found

    return markup


def number_text(value: float | Decimal) -> str:
    """A number as spreadsheets and programs read it: never as a power of ten."""
    return f"{value:f}" if isinstance(value, Decimal) else f"{value}"


def _text(value: Any) -> str:
    if isinstance(value, datetime | date):
        return _moment(value) if isinstance(value, datetime) else _day(value)
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    return str(value)


def _number(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return _text(value)
    return intcomma(number_text(value) if isinstance(value, Decimal) else value)


def _day(value: Any) -> str:
    return date_format(value, "j M Y") if isinstance(value, date) else str(value)


def _moment(value: Any) -> str:
    if not isinstance(value, datetime):
        return _day(value)
    return date_format(timezone.localtime(value) if timezone.is_aware(value) else value, "j M Y, H:i")


def _country(value: Any) -> str:
    return country_name(str(value))


def _verdict(value: Any) -> str:
    cell = verdict_cell(value)
    return cell.word if cell else str(value)


def _strip(value: Any) -> str:
    return strip_words(str(value)) or str(value)


_WORDS: Final[Mapping[ColumnKind, Callable[[Any], str]]] = {
    ColumnKind.NUMBER: _number, ColumnKind.DAY: _day, ColumnKind.MOMENT: _moment, ColumnKind.COUNTRY: _country,
    ColumnKind.VERDICT: _verdict, ColumnKind.STRIP: _strip,
}  # fmt: skip
_AS_NUMBERS: Final = frozenset({ColumnKind.NUMBER, ColumnKind.TEXT, ColumnKind.CODE})
