"""The coverage matrix of a plan as the page and its files show it: stops by layers, with what each cell lacks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer, Verdict
from governance.plans.queries.check import CheckedCell, Need, PlanCheck
from governance.plans.queries.plan_words import days_of, stop_days, way_words
from governance.verdicts.cells import Cell
from governance.verdicts.queries.layer_cards import ShownFinding
from governance.verdicts.shown_days import short_day
from governance.verdicts.spoken import spoken

_NEAR_THE_END_DAYS = 60
"""A margin is told in the matrix up to so many days; the page of the cell always tells it."""

_WORDS_SAY_IT = frozenset({"not-searched", "none-found", "known-not-located"})
"""Findings that say no more than the words of the verdict."""

_UNIT = re.compile(r"(\d) (m|km)\b")
"""A number and its unit, which stay on one line."""

GAPS = "gaps"


@dataclass(frozen=True)
class Only:
    """Which stops are shown: those with a gap, those with a look in a layer, those of a verdict. Blank: all.

    A layer that is asked for narrows the rows; no layer is ever hidden.
    """

    gaps: bool = False
    layer: Layer | None = None
    verdict: Verdict | None = None

    @classmethod
    def asked(cls, query: Mapping[str, str]) -> Only:
        """From the address; a word that means nothing is passed over."""
        layer = next((layer for layer in Layer if layer.code == query.get("layer")), None)
        verdict = next((verdict for verdict in Verdict if Cell(verdict).data_v == query.get("verdict")), None)
        return cls(query.get("only") == GAPS, layer, verdict)

    @property
    def is_all(self) -> bool:
        return not self.gaps and self.layer is None and self.verdict is None

    @property
    def query(self) -> str:
        """As the address asks for it."""
        asked = {"only": GAPS if self.gaps else "", "layer": self.layer_code, "verdict": self.verdict_code}
        return urlencode({name: word for name, word in asked.items() if word})

    @property
    def verdict_code(self) -> str:
        return "" if self.verdict is None else Cell(self.verdict).data_v

    @property
    def layer_code(self) -> str:
        return "" if self.layer is None else self.layer.code

    def shows(self, cells: Sequence[MatrixCell]) -> bool:
        """Whether a stop is shown: one of its cells must be all that was asked for."""
        return self.is_all or any(self._fits(cell) for cell in cells)

    def _fits(self, cell: MatrixCell) -> bool:
        if self.layer is not None and cell.checked.layer != self.layer:
            return False
        if self.verdict is not None:
            return cell.checked.verdict == self.verdict
        return cell.checked.needs_look or not self.gaps


@dataclass(frozen=True)
class MatrixCell:
    """One cell as it is drawn.

    need: what is to be settled for it; None for a calm one. decided: by a person. is_in_calm_layer: nothing of the
    layer needs a look, so that its column may be narrow.
    """

    checked: CheckedCell
    need: Need | None
    decided: bool
    today: date
    is_in_calm_layer: bool = False

    @cached_property
    def cell(self) -> Cell:
        return Cell(self.checked.verdict, self.checked.layer)

    @property
    def key(self) -> str:
        return f"s{self.checked.stop.stop.pk}-{self.checked.layer.code}"

    @property
    def href(self) -> str:
        stop = self.checked.stop.stop
        return reverse("plans:plan-cell", args=[stop.plan_id, stop.pk, self.checked.layer.code])

    @property
    def references(self) -> tuple[str, ...]:
        return tuple(used.reference for used in self.checked.papers)

    @property
    def more(self) -> str:
        """The papers after the first."""
        return ", ".join(self.references[1:])

    @property
    def reason(self) -> str:
        """In a few words what is lacking; "" where the verdict says it."""
        if not self.checked.needs_look:
            return _("by a decision") if self.decided else ""
        shown = first_finding(self.checked)
        if shown is None or shown.code in _WORDS_SAY_IT:
            return ""
        return _UNIT.sub("\\1\u00a0\\2", f"{shown.measure} {shown.caption}".strip())

    @property
    def margin(self) -> str:
        """How near the end of the papers is."""
        return margin_words(self.checked.margin_days, most=_NEAR_THE_END_DAYS)

    @property
    def start(self) -> str:
        """By when to start, or that this is not known."""
        return start_words(self.need, self.today) if self.need else ""

    @property
    def is_late(self) -> bool:
        return bool(self.need and self.need.is_late)

    def lines(self) -> tuple[str, ...]:
        """All that stands below the word, for files and for those who do not see the drawing."""
        return tuple(text for text in (*self.references, self.reason, self.margin, self.start) if text)


@dataclass(frozen=True)
class MatrixRow:
    """One stop. number: as the page counts them."""

    number: int
    checked: CheckedCell
    cells: tuple[MatrixCell, ...]

    @property
    def stop(self) -> object:
        return self.checked.stop.stop

    @property
    def name(self) -> str:
        return f"{self.number}. {self.checked.stop.stop.name}"

    @property
    def days(self) -> str:
        return stop_days(self.checked.stop)

    @property
    def ways(self) -> str:
        return way_words(self.checked.stop)


@dataclass(frozen=True)
class LayerSum:
    """A layer over all stops. open: cells that need a look. worst: the worst of them."""

    layer: Layer
    open: int
    worst: Verdict

    @property
    def cell(self) -> Cell:
        return Cell(self.worst, self.layer)

    @property
    def is_calm(self) -> bool:
        return not self.open


@dataclass(frozen=True)
class Matrix:
    """The rows that are shown, of all. layers: always nine."""

    rows: tuple[MatrixRow, ...]
    of: int
    layers: tuple[LayerSum, ...]
    only: Only

    @property
    def is_long(self) -> bool:
        """Whether a head that stays is worth its place."""
        return len(self.rows) > 6

    @property
    def verdicts(self) -> list[Cell]:
        """What may be asked for, worst first."""
        return [Cell(verdict) for verdict in reversed(Verdict)]


Decided = frozenset[tuple[int, Layer]]
"""Stop and layer for which a decision "not required" stands."""


def matrix_of(check: PlanCheck, only: Only, decided: Decided = frozenset()) -> Matrix:
    """The matrix of a check."""
    parts = [part for need in check.needs for part in need.parts]
    needs = {(part.stops[0].stop.pk, part.layer): part for part in parts}
    sums = _sums(check)
    calm = {one.layer: one.is_calm for one in sums}
    rows = []
    for number, one in enumerate(check.loaded.stops, start=1):
        cells = tuple(
            MatrixCell(
                check.cells[one.stop.pk, layer], needs.get((one.stop.pk, layer)), (one.stop.pk, layer) in decided,
                check.today, calm[layer],
            )
            for layer in Layer
        )  # fmt: skip
        rows.append(MatrixRow(number, cells[0].checked, cells))
    return Matrix(tuple(row for row in rows if only.shows(row.cells)), len(rows), sums, only)


def _sums(check: PlanCheck) -> tuple[LayerSum, ...]:
    sums = []
    for layer in Layer:
        cells = [check.cells[one.stop.pk, layer] for one in check.loaded.stops]
        worst = max((cell.verdict for cell in cells), default=Verdict.CANNOT_TELL)
        sums.append(LayerSum(layer, sum(cell.needs_look for cell in cells), worst))
    return tuple(sums)


def first_finding(checked: CheckedCell) -> ShownFinding | None:
    """The nearest reason of the row that decided."""
    for finding, sentence in checked.worst.findings:
        return ShownFinding(finding, spoken(sentence))
    return None


def margin_words(days: int | None, *, most: int | None = None) -> str:
    """How long the papers hold after the last day; "" where that is not known, or longer than ``most``."""
    if days is None or (most is not None and days > most):
        return ""
    if days < 0:
        return ""
    if days == 0:
        return _("ends on the last day")
    return ngettext("ends %(n)d day after the last day", "ends %(n)d days after the last day", days) % {"n": days}


def start_words(need: Need, today: date) -> str:
    """By when to start with a need; the year where it is not that of the day on which it is needed."""
    if need.start_by is None:
        return _("start day not known")
    same_year = need.needed_on is not None and need.needed_on.year == need.start_by.year
    day = date_format(need.start_by, "j M") if same_year else short_day(need.start_by)
    if need.start_by < today:
        return _("start was due %(day)s") % {"day": day}
    return _("start by %(day)s") % {"day": day}


HEADER = (
    "plan", "number", "stop", "firstDay", "lastDay", "layer", "verdict", "needs a look", "papers", "reason",
    "days from the last day to the end of the papers", "needed on", "lead time in days", "start by", "late", "ask",
    "country",
)  # fmt: skip
WIDTHS = (14, 8, 30, 12, 12, 16, 18, 10, 34, 80, 14, 12, 12, 12, 8, 34, 9)


def table_rows(check: PlanCheck, only: Only) -> Iterator[tuple[str | int | date | None, ...]]:
    """One line a cell, in the order of the page; filtered as the page is."""
    for row in matrix_of(check, only).rows:
        first, last = days_of(row.checked.stop)
        for cell in row.cells:
            need = cell.need
            yield (
                check.loaded.plan.reference, row.number, row.checked.stop.stop.name, first, last, cell.cell.layer_name,
                cell.cell.word, _("yes") if cell.checked.needs_look else "", "; ".join(cell.references),
                " ".join(cell.checked.reasons_for_files), cell.checked.margin_days, need.needed_on if need else None,
                need.lead.days if need else None, need.start_by if need else None,
                _("yes") if cell.is_late else "", need.lead.authority if need else "",
                need.lead.country if need else "",
            )  # fmt: skip
