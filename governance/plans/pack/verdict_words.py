"""What the check says of a cell, in the language of the pack; the sentences of the engine where they may be told."""

from __future__ import annotations

from collections.abc import Collection

from governance.engine.tables import Layer
from governance.papers.printed.blocks import Line, Text
from governance.plans.pack.sources import FIELD_LAYERS, HOME_LAYERS, NumberedStop, PackSources
from governance.plans.queries.check import CheckedCell
from governance.verdicts.cells import Cell


def word_of(cell: CheckedCell, src: PackSources) -> str:
    """The verdict in a word."""
    return src.words.of("verdicts", Cell(cell.verdict).data_v)


def layer_word(layer: Layer, src: PackSources) -> str:
    return src.words.of("layers", layer.code)


def open_cells(stop: NumberedStop, src: PackSources, layers: Collection[Layer] = tuple(Layer)) -> list[CheckedCell]:
    """The cells of a stop that need a look: what is tested in the field, then the way home; the worst first of each."""
    cells = [src.cell(stop, layer) for layer in layers]
    order = sorted(cells, key=lambda cell: (cell.layer in HOME_LAYERS, -cell.verdict))
    return [cell for cell in order if cell.needs_look]


def stop_words(stop: NumberedStop, src: PackSources) -> list[str]:
    """What must not be done at a stop before something is settled; nothing for a calm one."""
    w = src.words
    words = [w("do_not_collect")] if open_cells(stop, src, FIELD_LAYERS) else []
    return words + ([w("do_not_send")] if open_cells(stop, src, HOME_LAYERS) else [])


def reason_lines(cell: CheckedCell, src: PackSources) -> list[Line]:
    """Why a cell needs a look: short words of the language, and the engine's sentences, which are English.

    A sentence may tell what stands in a paper: where one of the papers is closed to the reader, none is told.
    """
    w = src.words
    lines: list[Line] = [(Text(word),) for word in code_words(cell, src)] if w.code != "en" else []
    closed = [paper for used in cell.papers if (paper := src.papers.get(used.pk)) and not src.may_read(paper)]
    if closed:
        short: list[Line] = [(Text(word),) for word in code_words(cell, src)]
        return [*short, *((Text(w("details_restricted", roles=src.roles(paper)), role="note"),) for paper in closed)]
    made = cell.reasons_as_made
    if w.code == "en":
        return [(Text(sentence),) for sentence in made] or [(Text(word),) for word in code_words(cell, src)]
    said = [(Text(w("reason_en") + " ", role="note"), Text(sentence, lang="en")) for sentence in made]
    return [*lines, *said]


def code_words(cell: CheckedCell, src: PackSources) -> list[str]:
    """The findings of the rows that decided, each once."""
    deciding = [answer for answer in cell.answers if answer.verdict == cell.verdict]
    codes = dict.fromkeys(code for answer in deciding for code in answer.codes)
    return [src.words.of("reasons", code) for code in codes]
