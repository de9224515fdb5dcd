"""What a list of specimens is narrowed to, as conditions on ``Standing``: no join, so that any of them is one scan."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date

from django.db import connection
from django.db.models import F, Func, PositiveSmallIntegerField, Q, QuerySet

from accessions.material.models import Accession, Part
from accessions.names.models import Taxon, WrittenName
from accessions.sites.models import Site
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper
from governance.verdicts.models import Outcome, OutcomeFinding, OutcomePaper, RulingLayer, Standing
from governance.verdicts.standing_columns import mask_of

OPEN_VERDICTS = tuple(int(v) for v in Verdict if v >= Verdict.CANNOT_TELL)
"""The verdicts that need a look."""


@dataclass(frozen=True)
class Filters:
    """What was asked for. Empty, None or False: not asked for.

    verdicts: of the worst layer, or of ``layers`` if these are given; any_layer: of whichever layer. unchecked: those
    without a verdict. reason: an outcome, and all with the same layer, verdict, first finding and first paper.
    nothing: what was searched for was not found, so nothing can match.
    """

    verdicts: tuple[int, ...] = ()
    unchecked: bool = False
    layers: tuple[int, ...] = ()
    any_layer: bool = False
    code: str = ""
    paper: Paper | None = None
    reason: Outcome | None = None
    overruled: bool = False
    accession: Accession | None = None
    part: Part | None = None
    country: str = ""
    site: Site | None = None
    taxon: Taxon | None = None
    year_from: int | None = None
    year_to: int | None = None
    kind: str = ""
    number_starts: str = ""
    accessions: tuple[int, ...] = ()
    sites: tuple[int, ...] = ()
    taxa: tuple[str, ...] = ()
    picked: tuple[int, ...] = ()
    nothing: bool = False

    @property
    def is_empty(self) -> bool:
        return all(getattr(self, field.name) == field.default for field in fields(self))

    @property
    def asks_for_verdicts(self) -> bool:
        """Whether a specimen without a verdict cannot match."""
        asked = (self.verdicts, self.layers, self.any_layer, self.code, self.paper, self.reason, self.overruled)
        return any(asked) and not self.unchecked

    @property
    def only_unchecked(self) -> bool:
        return self.unchecked and not self.verdicts

    @property
    def focus(self) -> tuple[int, ...]:
        """The layers that are asked for; rows show these first."""
        return self.layers or ((self.reason.layer,) if self.reason else ())

    @property
    def lineages(self) -> tuple[str, ...]:
        return (self.taxon.lineage,) if self.taxon else self.taxa


def standings(filters: Filters, *, sort: str = "worst") -> QuerySet[Standing]:
    """The specimens with a verdict that match.

    sort: the order that they will be asked for in. In another than that of the worst verdict, SQLite is kept from the
    index of that verdict: it would gather most of a million rows by it, to sort them afterwards.
    """
    if filters.nothing or filters.only_unchecked:
        return Standing.objects.none()
    found = Standing.objects.filter(_facts(filters), _period(filters), _judged(filters))
    if filters.picked:
        found = found.filter(pk__in=filters.picked)
    mask = _mask(filters)
    if mask:
        found = found.alias(asked=F("cells").bitand(mask)).filter(asked__gt=0)
    elif filters.verdicts:
        found = found.alias(worst_layer=_worst_of(sort)).filter(worst_layer__in=filters.verdicts)
    return found


def _worst_of(sort: str) -> F | Func:
    if connection.vendor != "sqlite" or sort.lstrip("-") == "worst":
        return F("worst")
    return Func(F("worst"), template="+%(expressions)s", output_field=PositiveSmallIntegerField())


def _mask(filters: Filters) -> int:
    """Bits of ``Standing.cells`` of which one is asked for; 0 where the worst layer is asked for, or none."""
    if not filters.layers and not filters.any_layer:
        return 0
    return mask_of(filters.layers or tuple(Layer), filters.verdicts or OPEN_VERDICTS)


def _facts(filters: Filters) -> Q:
    condition = Q()
    if filters.accession:
        condition &= Q(accession_key=filters.accession.pk)
    if filters.accessions:
        condition &= Q(accession_key__in=filters.accessions)
    if filters.part:
        condition &= Q(part_key=filters.part.pk)
    if filters.country:
        condition &= Q(country=filters.country)
    if filters.site:
        condition &= Q(site_key=filters.site.pk)
    if filters.sites:
        condition &= Q(site_key__in=filters.sites)
    if filters.kind:
        condition &= Q(kind=filters.kind)
    if filters.number_starts:
        condition &= starts_with("catalog_number", filters.number_starts)
    if filters.lineages:
        condition &= Q(name__in=names_below(filters.lineages).values("pk"))
    return condition


def starts_with(column: str, text: str) -> Q:
    """Begins with these very letters.

    SQLite compares text byte by byte and can walk an index over a range, ended by the last code point of Unicode; it
    does not use one for LIKE. PostgreSQL orders text by the rules of a language, where such a range means nothing.
    """
    if connection.vendor == "sqlite":
        return Q(**{f"{column}__gte": text, f"{column}__lt": f"{text}\U0010ffff"})
    return Q(**{f"{column}__startswith": text})


def names_below(lineages: tuple[str, ...]) -> QuerySet[WrittenName]:
    """The written names placed at or below these lineages."""
    condition = Q()
    for lineage in lineages:
        condition |= starts_with("taxon__lineage", lineage)
    return WrittenName.objects.filter(condition)


def _period(filters: Filters) -> Q:
    """Taken at some time between the two years; of a vague date any day may be meant."""
    condition = Q()
    if filters.year_from:
        condition &= Q(last_on__gte=date(filters.year_from, 1, 1))
    if filters.year_to:
        condition &= Q(first_on__lte=date(filters.year_to, 12, 31))
    return condition


def _judged(filters: Filters) -> Q:
    condition = Q(is_overruled=True) if filters.overruled else Q()
    if filters.code or filters.paper:
        condition &= Q(ruling__in=_rulings(_outcomes(filters)))
    if filters.reason:
        condition &= Q(ruling__in=_rulings(same_reason(filters.reason)))
    return condition


def _rulings(outcomes: QuerySet[Outcome]) -> QuerySet[RulingLayer, int]:
    return RulingLayer.objects.filter(outcome__in=outcomes).values_list("ruling", flat=True)


def _outcomes(filters: Filters) -> QuerySet[Outcome]:
    """Outcomes with the finding and the paper, on the layers and with the verdicts that are asked for with them."""
    found = Outcome.objects.all()
    if filters.code:
        found = found.filter(pk__in=OutcomeFinding.objects.filter(code=filters.code).values("outcome"))
    if filters.paper:
        found = found.filter(pk__in=OutcomePaper.objects.filter(paper=filters.paper).values("outcome"))
    if filters.layers:
        found = found.filter(layer__in=filters.layers)
    if filters.layers or filters.any_layer:
        found = found.filter(verdict__in=filters.verdicts or OPEN_VERDICTS)
    return found


def same_reason(outcome: Outcome) -> QuerySet[Outcome]:
    """All outcomes of its layer and verdict whose first finding has the same code and whose first paper is the same."""
    code = OutcomeFinding.objects.filter(outcome=outcome, position=0).values_list("code", flat=True).first()
    paper = OutcomePaper.objects.filter(outcome=outcome, position=0).values_list("paper", flat=True).first()
    found = Outcome.objects.filter(layer=outcome.layer, verdict=outcome.verdict)
    first_findings = OutcomeFinding.objects.filter(position=0)
    first_papers = OutcomePaper.objects.filter(position=0)
    if code is None:
        found = found.exclude(pk__in=first_findings.values("outcome"))
    else:
        found = found.filter(pk__in=first_findings.filter(code=code).values("outcome"))
    if paper is None:
        return found.exclude(pk__in=first_papers.values("outcome"))
    return found.filter(pk__in=first_papers.filter(paper=paper).values("outcome"))
