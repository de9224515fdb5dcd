"""Specimens to which no paper is linked, by accession and year; or, of one layer, those that lack the paper for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Final, NamedTuple

from django.db.models import Count, F
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.audit.asking import Answer, Asked, Column, ColumnKind, Group, ListedRows, Question, Row
from governance.audit.questions.addresses import link
from governance.audit.questions.narrowing import (
    ACCESSION,
    COUNTRY,
    Scope,
    layer_of,
    layer_parameter,
    scope_of,
    without_verdict,
)
from governance.audit.questions.permission.unlinked import unlinked_groups
from governance.audit.questions.wording import accessions_words, specimens_words
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.models import COUNTING, Override
from governance.verdicts.standing_columns import mask_of

_COLUMNS: Final = (
    Column("accession", gettext_lazy("Accession")), Column("title", gettext_lazy("Title")),
    Column("year", gettext_lazy("Year of collecting")),
    Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("of", gettext_lazy("Of so many in the accession"), ColumnKind.NUMBER),
)  # fmt: skip

_ACCESSIONS: Final = (
    "SELECT a.id, a.number, a.title, COUNT(s.id) FROM material_accession a "
    "LEFT JOIN material_specimen s ON s.accession_id = a.id WHERE a.id {keys} GROUP BY a.id, a.number, a.title"
)


class _Years(NamedTuple):
    """The years that a date touches; None: not known."""

    first: int | None
    last: int | None

    @property
    def words(self) -> str:
        if self.first is None and self.last is None:
            return _("not known")
        if self.first == self.last:
            return str(self.first)
        return f"{self.first or '…'}–{self.last or '…'}"


class _Accession(NamedTuple):
    """An accession with all of its specimens."""

    number: str
    title: str
    specimens: int


_Counts = Counter[tuple[int, _Years]]
"""Specimens by key of the accession and by years."""


def answer(asked: Asked) -> Answer:
    """By the links of today where no layer is chosen, else by the verdicts that stand."""
    scope, layer = scope_of(asked), layer_of(asked)
    counts = _without(scope) if layer is None else _lacking(scope, layer)
    keys = {key for key, _years in counts}
    accessions = {row[0]: _Accession(*row[1:]) for row in rows_by_keys(_ACCESSIONS, keys)} if keys else {}
    return Answer(
        sentence=_sentence(counts, scope, layer),
        columns=_COLUMNS,
        rows=ListedRows(list(_rows(counts, accessions))),
        missing=without_verdict(scope.unchecked),
        notes=_notes(scope, layer),
        total=counts.total(),
    )


def _without(scope: Scope) -> _Counts:
    found: _Counts = Counter()
    for group in unlinked_groups(scope.standings):
        found[group.accession, _years(group.first_on, group.last_on)] += group.specimens
    return found


def _lacking(scope: Scope, layer: Layer) -> _Counts:
    """Those whose verdict of the layer says that no paper is there: one scan of the narrow table."""
    mask = mask_of([layer], [Verdict.MISSING])
    lacking = scope.standings.alias(asked=F("cells").bitand(mask)).filter(asked__gt=0)
    rows = lacking.values_list("accession_key", "first_on", "last_on").annotate(n=Count("pk"))
    found: _Counts = Counter()
    for accession, first, last, count in rows:
        found[accession, _years(first, last)] += count
    return found


def _years(first: date | None, last: date | None) -> _Years:
    return _Years(first.year if first else None, last.year if last else None)


def _rows(counts: _Counts, accessions: Mapping[int, _Accession]) -> Iterator[Row]:
    def place(item: tuple[tuple[int, _Years], int]) -> tuple[str, int]:
        (key, years), _count = item
        return (accessions[key].number, years.first or years.last or 0)

    for (key, years), count in sorted(counts.items(), key=place):
        of = accessions[key]
        cells = (link("accession", key, of.number), of.title, years.words, count, of.specimens)
        yield Row(f"accession:{key}:years:{years.first or ''}-{years.last or ''}", cells)


def _sentence(counts: _Counts, scope: Scope, layer: Layer | None) -> str:
    if not counts and not scope.standings.exists():  # of nothing everything could be said
        return _("No specimen%(of)s was checked.") % {"of": scope.words}
    if not counts:
        words = _("Every specimen%(of)s that was checked has a paper linked to it.")
        if layer is not None:
            words = _("No specimen%(of)s lacks a paper for the layer %(layer)s.")
        return words % {"of": scope.words, "layer": "" if layer is None else LAYER_NAMES[layer]}
    if layer is None:
        words = ngettext("%(n)s%(of)s has no paper linked.", "%(n)s%(of)s have no paper linked.", counts.total())
    else:
        words = ngettext(
            "%(n)s%(of)s lacks a paper for the layer %(layer)s.", "%(n)s%(of)s lack a paper for the layer %(layer)s.",
            counts.total(),
        )  # fmt: skip
    of = scope.words
    if scope.accession is None:
        of += _(" in %(accessions)s") % {"accessions": accessions_words(len({key for key, _years in counts}))}
    values = {"n": specimens_words(counts.total()), "of": of, "layer": "" if layer is None else LAYER_NAMES[layer]}
    return words % values


def _notes(scope: Scope, layer: Layer | None) -> tuple[str, ...]:
    years = _("The year is that of collecting; a date that touches two years shows both.")
    if layer is None:
        return (
            _("Linked means: to the specimen, its accession or part, its sampling event or its site. A record of title "
              "says who owns it and permits nothing; it does not count here."),
            _("No paper linked is no finding: where the country asks for none, the verdict says “not required”."),
            years,
        )  # fmt: skip
    notes = [
        _("By the verdicts that stand: the layer is required and no paper for it is linked (verdicts, section 7.2)."),
        years,
    ]
    decided = Override.objects.filter(COUNTING, layer=int(layer), computed=Verdict.MISSING)
    overruled = decided.filter(specimen__in=scope.standings.filter(is_overruled=True).values("specimen")).count()
    if overruled:
        words = ngettext(
            "Of %(n)s a person decided beside this verdict; what was decided counts.",
            "Of %(n)s people decided beside this verdict; what was decided counts.", overruled,
        )  # fmt: skip
        notes.append(words % {"n": specimens_words(overruled)})
    return tuple(notes)


WITHOUT_PAPER: Final = Question(
    key="without-paper",
    group=Group.PERMISSION,
    title=gettext_lazy("Which specimens have no paper linked, by accession and year?"),
    shows=gettext_lazy(
        "How many specimens no paper is linked to, by accession and year of collecting; for one layer, how many lack "
        "the paper that it asks for."
    ),
    answer=answer,
    parameters=(ACCESSION, COUNTRY, layer_parameter(gettext_lazy("No paper at all"))),
)
