"""How a verdict is drawn: glyph, letter, word and layer code, for every place that shows one."""

from __future__ import annotations

from dataclasses import dataclass

from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.models import VERDICT_NAMES

LAYER_CODES = ("La", "Co", "Sp", "Si", "Ac", "Ex", "Im", "Ci", "Tr")
"""Two letters a layer, in the order of ``Layer``: the only abbreviations on screens."""

_DATA_V = ("covered", "notreq", "cannot", "straddle", "outside", "missing")
_LETTERS = ("C", "N", "?", "S", "O", "M")


@dataclass(frozen=True)
class Cell:
    """One verdict as it is drawn; layer None for a verdict that is of no layer."""

    verdict: Verdict
    layer: Layer | None = None

    @property
    def data_v(self) -> str:
        return _DATA_V[self.verdict]

    @property
    def letter(self) -> str:
        return _LETTERS[self.verdict]

    @property
    def word(self) -> str:
        return str(VERDICT_NAMES[self.verdict])

    @property
    def needs_a_look(self) -> bool:
        return self.verdict >= Verdict.CANNOT_TELL

    @property
    def layer_name(self) -> str:
        return "" if self.layer is None else str(LAYER_NAMES[self.layer])

    @property
    def layer_code(self) -> str:
        return "" if self.layer is None else LAYER_CODES[self.layer]


def strip_cells(strip: str) -> list[Cell]:
    """The nine cells of a strip of digits, as ``Ruling.strip`` holds it."""
    return [Cell(Verdict(int(digit)), layer) for digit, layer in zip(strip, Layer, strict=True)]
