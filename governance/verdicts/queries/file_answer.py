"""The answer that stands first on the page of a legal file: what is complete, and what is still missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer, SearchState, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.queries.legal_file import FileCell, FileRow, LegalFile

_KEEPS_ITS_CAPITALS = frozenset({Layer.CITES})


def answer_of(file: LegalFile) -> tuple[str, str]:
    """What is complete, and what is not; either may be ""."""
    if not file.specimens:
        return str(_("No specimen is recorded yet, so nothing can be complete or missing.")), ""
    cells = file.whole.cells
    if not any(cell.checked for cell in cells):
        return str(_("None of the specimens was checked yet.")), ""
    return _complete_words(file, [cell for cell in cells if cell.is_complete]), _open_words(file)


def _complete_words(file: LegalFile, complete: Sequence[FileCell]) -> str:
    if len(complete) == len(Layer):
        return ngettext(
            "All nine layers are complete for the one specimen.",
            "All nine layers are complete for all %(n)s specimens.", file.specimens,
        ) % {"n": _counted(file.specimens)}  # fmt: skip
    if not complete:
        return str(_("No layer is complete yet."))
    names = _list([_in_text(cell.layer, number) for number, cell in enumerate(complete)])
    if len(complete) == 1:
        return ngettext(
            "%(layers)s is complete for the one specimen.", "%(layers)s is complete for all %(n)s specimens.",
            file.specimens,
        ) % {"layers": names, "n": _counted(file.specimens)}  # fmt: skip
    return ngettext(
        "%(layers)s are complete for the one specimen.", "%(layers)s are complete for all %(n)s specimens.",
        file.specimens,
    ) % {"layers": names, "n": _counted(file.specimens)}  # fmt: skip


def _open_words(file: LegalFile) -> str:
    said: list[str] = []
    looks: dict[tuple[str, int], list[Layer]] = {}
    for cell in file.whole.cells:
        rows = [row for row in file.narrow if (own := row.cell_of(cell.layer)) and own.open]
        if cell.cell is not None and cell.cell.verdict == Verdict.MISSING:
            said.append(_missing_words(file, cell, rows))
        elif cell.open:
            looks.setdefault((_where(file, rows), cell.open), []).append(cell.layer)
    said += [_look_words(layers, where, count) for (where, count), layers in looks.items()]
    unchecked = file.specimens - file.whole.cells[0].checked
    if unchecked:
        said.append(
            ngettext("%(n)s specimen was not checked yet", "%(n)s specimens were not checked yet", unchecked)
            % {"n": _counted(unchecked)}
        )
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _look_words(layers: Sequence[Layer], where: str, count: int) -> str:
    """``export needs a look for part A, 2 specimens``; layers of which the same is said stand together."""
    number = {"layers": _list([_in_text(layer) for layer in layers]), "where": where, "n": _counted(count)}
    if len(layers) == 1:
        return ngettext(
            "%(layers)s needs a look%(where)s, %(n)s specimen", "%(layers)s needs a look%(where)s, %(n)s specimens",
            count,
        ) % number  # fmt: skip
    return ngettext(
        "%(layers)s need a look%(where)s, %(n)s specimen each", "%(layers)s need a look%(where)s, %(n)s specimens each",
        count,
    ) % number  # fmt: skip


def _missing_words(file: LegalFile, cell: FileCell, rows: Sequence[FileRow]) -> str:
    """``access (ABS) has no paper for part B, 118 specimens (not searched yet)``."""
    without = [row for row in rows if (own := row.cell_of(cell.layer)) and own.cell == cell.cell]
    words = ngettext(
        "%(layer)s has no paper%(where)s, %(n)s specimen", "%(layer)s has no paper%(where)s, %(n)s specimens",
        cell.worst,
    ) % {"layer": _in_text(cell.layer), "where": _where(file, without), "n": _counted(cell.worst)}  # fmt: skip
    more = cell.open - cell.worst
    rest = _(", and needs a look for %(n)s more") % {"n": _counted(more)} if more else ""
    return f"{words} ({_searched(without, cell)}){rest}"


def _where(file: LegalFile, rows: Sequence[FileRow]) -> str:
    lettered = [row.part.letter for row in rows if row.part]
    if not lettered or len(rows) == len(file.narrow):
        return ""
    letters = _list(lettered)
    named = ngettext(" for part %(letters)s", " for parts %(letters)s", len(lettered)) % {"letters": letters}
    return named if len(lettered) == len(rows) else named + _(" and what is in no part")


def _searched(rows: Sequence[FileRow], whole: FileCell) -> str:
    """The state of the search, if all that is open shares it."""
    searches = {own.search for row in rows if (own := row.cell_of(whole.layer))} or {whole.search}
    states = {search.state if search else int(SearchState.NOT_SEARCHED) for search in searches}
    if len(states) > 1:
        return str(_("searched in part"))
    words = {
        SearchState.NOT_SEARCHED: _("not searched yet"),
        SearchState.KNOWN_NOT_LOCATED: _("known to exist, not located"),
        SearchState.NONE_FOUND: _("a search found none"),
    }
    return str(words[SearchState(states.pop())])


def _in_text(layer: Layer, number: int = 1) -> str:
    """The name of a layer inside a sentence; the first (number 0) begins it."""
    name = str(LAYER_NAMES[layer])
    return name if number == 0 or layer in _KEEPS_ITS_CAPITALS else f"{name[:1].lower()}{name[1:]}"


def _list(words: Iterable[str]) -> str:
    *first, last = words
    return _("%(some)s and %(last)s") % {"some": ", ".join(first), "last": last} if first else last


def _counted(number: int) -> str:
    return str(number_format(number, force_grouping=True))
