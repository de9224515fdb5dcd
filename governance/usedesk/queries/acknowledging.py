"""How the papers that bear on the specimens of a use want to be named in print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from governance.engine.tables import NONE
from governance.engine.uses import version_on
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.terms import engine_terms
from governance.papers.restriction import opens, restricted_words
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.holding import held
from governance.usedesk.queries.listed import NOT_ASKED


@dataclass(frozen=True)
class Line:
    """The words of one paper; hidden: the line in their place, where they are not open to the reader."""

    paper: Paper
    words: str
    hidden: str = ""


@dataclass(frozen=True)
class Acknowledgements:
    """lines: of the papers that want words. papers: all that bear. unread: of those, how many nobody read for terms."""

    lines: list[Line]
    papers: int
    unread: int


def acknowledgements(made: MadeUse, reader: Any) -> Acknowledgements:
    """By the version in force on the day of the use; specimens that it was taken from count, too."""
    ids = list(made.items.order_by("specimen").values_list("specimen", flat=True))
    keys = [key for key in held(ids, NOT_ASKED).papers if key > 0] if ids else []
    versions = _versions(keys, made.on.toordinal())
    papers = Paper.objects.only("pk", "reference", "restricted_to").in_bulk(keys)
    readings = [(papers[key], getattr(versions.get(key), "terms_reading", None)) for key in keys]
    lines = [_line(paper, reading.acknowledgement, reader) for paper, reading in readings if reading is not None]
    return Acknowledgements(
        [line for line in lines if line.words or line.hidden], len(keys),
        sum(1 for _paper, reading in readings if reading is None),
    )  # fmt: skip


def _line(paper: Paper, words: str, reader: Any) -> Line:
    if words.strip() and not opens(paper, reader):
        return Line(paper, "", restricted_words(paper.restricted_to))
    return Line(paper, words.strip())


def _versions(keys: list[int], day: int) -> dict[int, PaperVersion]:
    """By key of a paper, its version of the day."""
    terms = engine_terms(keys)
    wanted = {}
    for key in keys:
        row = terms.row_of[key]
        number = version_on(terms.papers[row], day)
        if number != NONE:
            wanted[key] = terms.versions[row][number]
    found = PaperVersion.objects.select_related("terms_reading").in_bulk(list(wanted.values()))
    return {key: found[pk] for key, pk in wanted.items() if pk in found}
