"""How papers want to be named in print: for many publications at once what ``usedesk.queries.acknowledging`` tells of
one; a test holds the two together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from governance.engine.tables import NONE
from governance.engine.uses import version_on
from governance.engine.uses.inherited import Inherited
from governance.papers.models import Paper, TermsReading
from governance.papers.queries.terms import TermsOnFile, engine_terms
from governance.papers.restriction import opens, restricted_words
from governance.usedesk.models import MadeUse, UseItem
from governance.usedesk.queries.holding import Held, held
from governance.usedesk.queries.listed import NOT_ASKED


@dataclass(frozen=True)
class Wanted:
    """What the papers that bear on the specimens of one use want in print. words: of papers open to the reader, by
    reference; hidden: papers whose words are not. papers: all that bear; unread: of those, how many nobody read."""

    words: Mapping[str, str]
    hidden: Mapping[str, str]
    papers: int = 0
    unread: int = 0

    @property
    def shown(self) -> str:
        """All of it in one text."""
        told = {**self.words, **self.hidden}
        return " ".join(f"{reference}: {told[reference]}" for reference in sorted(told))


NOTHING_WANTED = Wanted({}, {})


def wanted_words(made: Sequence[MadeUse], reader: Any) -> dict[int, Wanted]:
    """By use, with what its specimens were taken from or pooled of, by the version of its day: about twenty queries."""
    specimens = _specimens(made)
    ids = sorted({key for keys in specimens.values() for key in keys})
    if not ids:
        return {}
    borne = _papers_of(held(ids, NOT_ASKED))
    terms = engine_terms({paper for papers in borne.values() for paper in papers}, ())
    papers = Paper.objects.only("pk", "reference", "restricted_to").in_bulk(terms.keys)
    bearing = {one.pk: frozenset[int]().union(*(borne[key] for key in specimens[one.pk])) for one in made}
    bound = {one.pk: [(papers[key], _bound(terms, key, one)) for key in sorted(bearing[one.pk])] for one in made}
    readings = _readings({version for pairs in bound.values() for _paper, version in pairs})
    return {key: _wanted(pairs, readings, reader) for key, pairs in bound.items()}


def _specimens(made: Sequence[MadeUse]) -> Mapping[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    items = UseItem.objects.filter(use__in=[one.pk for one in made]).order_by()
    for use, specimen in items.values_list("use", "specimen"):
        found[use].append(specimen)
    return found


def _papers_of(material: Held) -> dict[int, frozenset[int]]:
    """By specimen that was asked about the papers on file that bear on it, with those of what it comes from."""
    inherited = Inherited(material.holding)
    return {
        material.rows[row].pk: frozenset(
            key for place in inherited.keys[int(inherited.of_row[row])].papers if (key := material.papers[place]) > 0
        )
        for row in material.holding.asked.tolist()
    }


def _bound(terms: TermsOnFile, paper: int, made: MadeUse) -> int:
    """The key of the version whose terms bound on the day; 0: none had started."""
    row = terms.row_of[paper]
    number = version_on(terms.papers[row], made.on.toordinal())
    return 0 if number == NONE else terms.versions[row][number]


def _readings(versions: set[int]) -> Mapping[int, str]:
    """By version that somebody read, the words that it wants."""
    rows = TermsReading.objects.filter(version__in=versions).order_by()
    return dict(rows.values_list("version", "acknowledgement"))


def _wanted(pairs: Sequence[tuple[Paper, int]], readings: Mapping[int, str], reader: Any) -> Wanted:
    words, hidden = {}, {}
    for paper, version in pairs:
        text = readings.get(version, "").strip()
        if text and opens(paper, reader):
            words[paper.reference] = text
        elif text:
            hidden[paper.reference] = restricted_words(paper.restricted_to)
    return Wanted(words, hidden, len(pairs), sum(1 for _paper, version in pairs if version not in readings))
