"""How many of a taxon were taken under a paper, what it allows, and what is not identified far enough to tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.names.models import WrittenName
from accessions.values.names import canonical_name
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.questions.taking.counted import (
    ASKED_ABOUT,
    STATE_WORDS,
    LinkedMaterial,
    limit_words,
    linked_material,
)
from governance.audit.questions.wording import individuals_words, specimens_words
from governance.audit.resolving import paper_of
from governance.engine.cap_totals import CapTotal
from governance.engine.tables import ListedTaxon, LongColumn, fold
from governance.engine.taxa import Relation
from governance.papers.models import Paper
from governance.papers.restriction import opens, restricted_words

_COLUMNS: Final = (
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON), Column("answer", gettext_lazy("Is it the taxon?")),
    Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("least", gettext_lazy("Individuals, at least"), ColumnKind.NUMBER),
    Column("most", gettext_lazy("Individuals, at most"), ColumnKind.NUMBER),
)  # fmt: skip

_MIGHT_BE: Final = 1
"""The source of what is not identified far enough."""


@dataclass(frozen=True)
class _Found:
    """What is linked to the paper. inside, possible: rows of the material at or below the taxon, and that could be."""

    paper: Paper
    taxon: str
    material: LinkedMaterial
    inside: LongColumn
    possible: LongColumn
    totals: Sequence[CapTotal]


def answer(asked: Asked) -> Answer:
    """About forty queries, and one for each 500 specimens that are linked to the paper."""
    paper = paper_of(asked)
    taxon = asked["taxon"]
    if not taxon:
        raise UnknownValueError("taxon", _("Write which one."))
    is_open = opens(paper, asked.reader)
    found = _found(paper, taxon, with_limits=is_open)
    return Answer(
        sentence=_sentence(found) + (_limits(found) if is_open else ""),
        columns=_COLUMNS,
        rows=ListedRows(_rows(found)),
        missing=_missing(found),
        kept_back=() if is_open else (_("The limits of the paper. %(who)s") % {
            "who": restricted_words(paper.restricted_to)},),
        notes=_notes(found),
        total=len(found.inside),
    )  # fmt: skip


def _found(paper: Paper, taxon: str, *, with_limits: bool) -> _Found:
    material = linked_material([paper.pk])
    relation = _relation(material, taxon)
    of = material.material.specimens.taxon
    inside, possible = np.flatnonzero(relation.inside[of]), np.flatnonzero(relation.possible[of])
    source = np.zeros(len(of), np.int32)
    source[possible] = _MIGHT_BE if len(inside) else ASKED_ABOUT
    source[inside] = ASKED_ABOUT
    return _Found(paper, taxon, material, inside, possible, material.totals(source) if with_limits else [])


def _relation(material: LinkedMaterial, taxon: str) -> Relation:
    relation = material.classification.relate(ListedTaxon(fold(canonical_name(taxon)), text=taxon))
    if not relation.placed:
        raise UnknownValueError("taxon", _("No name of the register is, or lies below, “%(text)s”.") % {"text": taxon})
    return relation


def _rows(found: _Found) -> list[Row]:
    """By written name."""
    rows = []
    for words, code, places in (
        (_("yes"), "is", found.inside), (_("might be: not identified far enough"), "might-be", found.possible),
    ):  # fmt: skip
        names = found.material.fed.specimens.name[places]
        shown = dict(WrittenName.objects.filter(pk__in=np.unique(names).tolist()).values_list("pk", "shown"))
        by_text: dict[str, list[int]] = {}
        for place, name in zip(places.tolist(), names.tolist(), strict=True):
            by_text.setdefault(shown[name], []).append(place)
        for text, own in sorted(by_text.items()):
            least, most = found.material.individuals(np.array(own, np.int64))
            rows.append(Row(f"name:{text}:{code}", (text, words, len(own), least, most)))
    return rows


def _sentence(found: _Found) -> str:
    if not len(found.inside) and not len(found.possible):
        return _("Nothing that is, or might be, %(taxon)s is on file under %(paper)s.") % {
            "taxon": found.taxon, "paper": found.paper.reference,
        }  # fmt: skip
    least, most = found.material.individuals(found.inside)
    words = ngettext(
        "Under %(paper)s %(individuals)s individual of %(taxon)s is on file (%(specimens)s).",
        "Under %(paper)s %(individuals)s individuals of %(taxon)s are on file (%(specimens)s).",
        least if least == most else 2,
    ) % {
        "paper": found.paper.reference, "individuals": individuals_words(least, most), "taxon": found.taxon,
        "specimens": specimens_words(len(found.inside)),
    }  # fmt: skip
    if len(found.possible):
        more = individuals_words(*found.material.individuals(found.possible))
        words += _(" %(more)s more are not identified far enough and might be it (%(specimens)s).") % {
            "more": more[:1].upper() + more[1:], "specimens": specimens_words(len(found.possible)),
        }  # fmt: skip
    return words


def _limits(found: _Found) -> str:
    """A sentence for each limit that counts it."""
    if not found.totals:
        return _(" No limit of the paper counts it.") if len(found.inside) or len(found.possible) else ""
    words = ""
    for total in found.totals:
        words += _(" Limit: %(limit)s; counted against it with all else that counts: %(together)s, %(state)s.") % {
            "limit": limit_words(total.cap), "together": individuals_words(*total.together),
            "state": STATE_WORDS[total.state],
        }  # fmt: skip
    return words


def _missing(found: _Found) -> tuple[Missing, ...]:
    if not len(found.possible):
        return ()
    return (Missing(_("Determinations: of these specimens nobody can say whether they are it."), len(found.possible)),)


def _notes(found: _Found) -> tuple[str, ...]:
    notes = [
        _("On file means linked to the paper; what lies outside its dates or its area is in these numbers and does not "
          "count against a limit (verdicts, section 6)."),
    ]  # fmt: skip
    if any(total.cap.per != "paper" or total.cap.each_species for total in found.totals):
        notes.append(_("Of a limit for a year, a site, an event or a species, the fullest one is told."))
    return tuple(notes)


SPECIES_UNDER_PAPER: Final = Question(
    key="species-under-paper",
    group=Group.TAKING,
    title=gettext_lazy("How many of a species were taken under a permit; what is the limit, what is unidentified?"),
    shows=gettext_lazy(
        "Individuals of the taxon that are linked to the paper, those that might be it, and how far each limit that "
        "counts them is used up."
    ),
    answer=answer,
    parameters=(
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"), is_required=True),
        Parameter(
            "taxon", ParameterKind.TAXON, gettext_lazy("Taxon"), is_required=True,
            help=gettext_lazy("A scientific name of any rank, such as Unio crassus or Odonata."),
        ),
    ),
)  # fmt: skip
