"""What the register cannot tell: a row a specimen or paper and question that is open."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from governance.reports.composing import codes, papers
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.material import Material, Taken
from governance.reports.composing.papers import Papers
from governance.reports.composing.scope import Scope
from governance.reports.composing.uses import Uses
from governance.reports.composing.verdicts import Verdicts
from governance.reports.contents import Row
from governance.usedesk.deeds import NAMES_A_RECIPIENT


def rows_of(
    scope: Scope, material: Material, verdicts: Verdicts, known: Papers, uses: Uses, disclosing: Disclosing
) -> list[Row]:
    """The rows, question by question in the order of ``codes.UNKNOWNS``."""
    open_of = _of_material(material, verdicts.without_paper(), verdicts.standing.keys())
    asked = [(question, row) for row in material.rows for question in open_of(row)]
    found: list[Row] = [
        (question, material.numbers[row.pk], material.accessions[row.accession], None) for question, row in asked
    ]
    found += _of_papers(known, disclosing)
    found += _of_uses(uses)
    place = {question: number for number, question in enumerate(codes.UNKNOWNS)}
    scope.tell("unknown", len(material.rows), len(material.rows))
    return sorted(found, key=lambda row: place[str(row[0])])


class _of_material:
    """The questions that are open for a specimen."""

    def __init__(self, material: Material, without_paper: Collection[int], judged: Collection[int]) -> None:
        self._places = {
            key: [question for question, is_open in (
                (codes.UNDATED, not place.is_dated),
                (codes.UNPLACED, place.latitude is None and place.site_key is None),
            ) if is_open]
            for key, place in material.places.items()
        }  # fmt: skip
        self._unnamed = {key for key, name in material.names.items() if not name.is_species}
        self._material, self._without_paper, self._judged = material, without_paper, judged

    def __call__(self, row: Taken) -> Iterator[str]:
        yield from self._places[row.event]
        if row.name in self._unnamed:
            yield codes.UNIDENTIFIED
        if (row.assumed or row.high != row.low) and not self._material.is_derived(row):
            yield codes.INDIVIDUALS
        if row.pk not in self._judged:
            yield codes.NOT_JUDGED
        elif row.pk in self._without_paper:
            yield codes.NO_PAPER


def _of_papers(known: Papers, disclosing: Disclosing) -> Iterator[Row]:
    without_version, without_terms = papers.unread(known, disclosing)
    for question, references in ((codes.PAPER_UNREAD, without_version), (codes.TERMS_UNREAD, without_terms)):
        for reference in references:
            yield question, None, None, disclosing.masked(reference)


def _of_uses(uses: Uses) -> Iterator[Row]:
    """Uses of the period that a paper may speak of and on which the desk gave no answer; and what went to somebody
    whom nobody named and did not come back, whenever it went."""
    for key, items in uses.by_use.items():
        made = uses.entries[key]
        if made.use is not None:
            yield from (
                (codes.USE_UNANSWERED, *uses.number(item), None) for item in items if item.answer is None
            )  # fmt: skip
    for row in uses.material.rows:
        now, holder = uses.whereabouts.of(row.pk)
        if holder is None and (now == codes.OUT or now in NAMES_A_RECIPIENT):
            yield codes.WHEREABOUTS, uses.material.numbers[row.pk], uses.accession_of[row.pk], None
