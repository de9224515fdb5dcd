"""The cells of the matrix: every stop on every layer, the worst of its rows, and how long what covers it holds on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from governance.engine.dates import Interval, Validity
from governance.engine.tables import OPEN_END, Layer, Paper, Verdict
from governance.plans.judging import Answer, PaperUsed
from governance.plans.planned_rows import LoadedPlan, LoadedStop
from governance.verdicts.spoken import spoken

CALM = (Verdict.COVERED, Verdict.NOT_REQUIRED)


@dataclass(frozen=True)
class CheckedCell:
    """One stop on one layer: the worst of its rows.

    answers: of every row, worst first. margin_days: days between the last day and the end of the papers that cover it;
    None where they are open, or nothing covers.
    """

    stop: LoadedStop
    layer: Layer
    verdict: Verdict
    answers: tuple[Answer, ...]
    margin_days: int | None = None

    @property
    def worst(self) -> Answer:
        return self.answers[0]

    @cached_property
    def _deciding(self) -> list[Answer]:
        return [answer for answer in self.answers if answer.verdict == self.verdict]

    @property
    def papers(self) -> tuple[PaperUsed, ...]:
        """The papers of the rows that decided, each once."""
        return tuple({used.pk: used for answer in self._deciding for used in answer.papers}.values())

    @property
    def reasons(self) -> tuple[str, ...]:
        """The sentences of the rows that decided, each once, in their order, in the language of the reader."""
        return tuple(map(spoken, self.reasons_as_made))

    @property
    def reasons_for_files(self) -> tuple[str, ...]:
        """The same with the days as they are written."""
        return tuple(spoken(reason, days_as_written=True) for reason in self.reasons_as_made)

    @property
    def reasons_as_made(self) -> tuple[str, ...]:
        """The same in the words of the engine, which are English."""
        return tuple(dict.fromkeys(text for answer in self._deciding for _, text in answer.findings))

    @property
    def needs_look(self) -> bool:
        return self.verdict not in CALM


def cells_of(
    loaded: LoadedPlan, answers: Sequence[Sequence[Answer]], papers: dict[int, Paper]
) -> dict[tuple[int, Layer], CheckedCell]:
    """The cells, by stop and layer.

    Args:
        answers: of every row, a list a row.
        papers: those that the rows were held against, by key.
    """
    of_cell: dict[tuple[int, Layer], list[Answer]] = defaultdict(list)
    for row in answers:
        for answer in row:
            of_cell[answer.row.stop, answer.layer].append(answer)
    margins = Margins(papers)
    cells = {}
    for one in loaded.stops:
        for layer in Layer:
            found = sorted(of_cell[one.stop.pk, layer], key=lambda answer: -answer.verdict)
            cells[one.stop.pk, layer] = CheckedCell(one, layer, found[0].verdict, tuple(found), margins.of(found))
    return cells


class Margins:
    """How many days lie between the last day of what is planned and the next day on which no paper would cover it.

    papers: as the engine takes them, by key; what is a valid day is for the engine to say.
    """

    def __init__(self, papers: dict[int, Paper]) -> None:
        self._papers = papers
        self._days: dict[tuple[int, int], list[Interval]] = {}
        self._known: dict[tuple[tuple[int, ...], int], int | None] = {}

    def of(self, answers: Sequence[Answer]) -> int | None:
        """The least of the rows on a layer of collecting; None if an end is open or anything is not covered."""
        margins = []
        for answer in answers:
            if answer.verdict != Verdict.COVERED or answer.row.last_on is None or answer.layer >= Layer.EXPORT:
                return None
            key = tuple(used.pk for used in answer.papers), answer.row.last_on.toordinal()
            if key not in self._known:
                self._known[key] = self._margin(*key)
            margins.append(self._known[key])
        return min((margin for margin in margins if margin is not None), default=None)

    def _margin(self, papers: tuple[int, ...], last_day: int) -> int | None:
        """The least of the papers that are valid on the last day: where several cover together, all of them count."""
        year = date.fromordinal(last_day).year
        ends = [
            end for pk in papers for start, end in self._valid_days(pk, year) if start <= last_day <= end < OPEN_END
        ]
        return min(ends) - last_day if ends else None

    def _valid_days(self, paper: int, year: int) -> list[Interval]:
        """Days that are known to be valid, runs of several versions as one; seasons of that year and the next."""
        if (paper, year) not in self._days:
            merged: list[Interval] = []
            for start, end in Validity(self._papers[paper], (year, year + 1)).certain_days():
                if merged and merged[-1][1] + 1 == start:
                    merged[-1] = (merged[-1][0], end)
                else:
                    merged.append((start, end))
            self._days[paper, year] = merged
        return self._days[paper, year]
