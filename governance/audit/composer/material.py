"""Fields of material: conditions on ``Standing``, one narrow row a specimen, so that each is one scan.

What is not there is looked up by keys (events, sites, names, accessions, rulings, uses). Only what stands with the
specimen itself (count, sex, stage, preparation, delivery) reads the large table, and is said to be slow.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Q
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from accessions.material.models import Accession, Delivery, Part, SamplingEvent, Specimen
from accessions.names.models import Taxon, WrittenName
from accessions.sites.models import Site
from governance.audit.asking import ColumnKind
from governance.audit.composer import material_cells as cells
from governance.audit.composer.fields import YES_NO, Catalogue, Field, Kind
from governance.audit.composer.telling import (
    Ground,
    Teller,
    among,
    bits,
    choice,
    flag,
    number,
    on_value,
    point,
    span,
    text,
    through,
)
from governance.engine.tables import CODES, Layer
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.made import NOT_SHOWN
from governance.usedesk.queries.whereabouts import gone, standing, still_out
from governance.verdicts.models import VERDICTS, OutcomeFinding, OutcomePaper, RulingLayer, Standing
from governance.verdicts.queries.filters import names_below
from governance.verdicts.standing_columns import mask_of

_VERDICTS: Final = tuple((str(verdict), name) for verdict, name in VERDICTS)
_ACCESSION: Final = Accession.objects.all
_EVENT: Final = SamplingEvent.objects.all


def _codes() -> list[tuple[str, Any]]:
    return [(code, code) for code in sorted(CODES) if code]


def _countries() -> list[tuple[str, Any]]:
    """Countries from which there is material, by name."""
    codes = SamplingEvent.objects.exclude(country="").order_by().values_list("country", flat=True).distinct()
    return sorted(((code, country_name(code)) for code in codes), key=lambda one: one[1])


def _of_ruling(outcomes: Any) -> Q:
    return Q(ruling__in=RulingLayer.objects.filter(outcome__in=outcomes).order_by().values("ruling"))


def _with_code(value: str, _ground: Ground) -> Q:
    return _of_ruling(OutcomeFinding.objects.filter(code=value).order_by().values("outcome"))


def _with_paper(value: int, _ground: Ground) -> Q:
    return _of_ruling(OutcomePaper.objects.filter(paper=value).order_by().values("outcome"))


def _with_any_paper() -> Q:
    return _of_ruling(OutcomePaper.objects.order_by().values("outcome"))


def _taxon(taxa: Any, _ground: Ground) -> Q:
    return Q(name__in=names_below(tuple(taxa)).order_by().values("pk"))


def _taxon_teller() -> Teller:
    """A name placed above the taxon may be of it, and one that is placed nowhere too: neither is a yes or a no."""

    def told(test: Any, values: tuple[Any, ...], ground: Ground) -> Any:
        unplaced = Q(taxon__isnull=True)
        above = [line for value in values for one in value for line in _above(one)]
        if above:
            unplaced |= Q(taxon__in=Taxon.objects.filter(lineage__in=above).values("pk"))
        lacks = Q(name__in=WrittenName.objects.filter(unplaced).order_by().values("pk"))
        return on_value(lacks, lambda value: _taxon(value, ground))(test, values, ground)

    return told


def _above(lineage: str) -> Iterator[str]:
    """The lineages above one: "a|b|c|" lies below "a|" and "a|b|"."""
    names = lineage.rstrip("|").split("|")
    for count in range(1, len(names)):
        yield "|".join(names[:count]) + "|"


def _items(rows: Any) -> Q:
    return Q(pk__in=rows.order_by().values("specimen"))


def _where(value: str, _ground: Ground) -> Q:
    out, left = _items(still_out()) | _items(still_out(MadeUse.Deed.ONWARD_LOAN)), _items(gone())
    return {"out": out, "gone": left, "here": ~out & ~left}[value]


def _lent_to() -> Teller:
    inner = text("use__recipient__name", has_null=True)
    lent = lambda: still_out()  # noqa: E731 - asked anew each time

    def told(test: Any, values: tuple[Any, ...], ground: Ground) -> Any:
        found = inner(test, values, ground)
        return type(found)(*(None if one is None else _items(lent().filter(one)) for one in (found.yes, found.unknown)))

    return told


_DELIVERY_STATES: Final = (
    ("quarantine", _("in quarantine")), ("waiting", _("waits for release, not in quarantine")),
    ("released", _("released")),
)  # fmt: skip
_IN: Final = Q(released_at__isnull=True, quarantine_in_on__isnull=False, quarantine_out_on__isnull=True)
_DELIVERIES: Final = {
    "quarantine": _IN,
    "waiting": Q(released_at__isnull=True) & ~Q(entry_number="") & ~_IN,
    "released": Q(released_at__isnull=False),
}
"""As ``Delivery.is_unreleased``: a test holds the two together. A delivery that was entered without a receipt, and is
not in quarantine, is in none of these states: nobody recorded it."""


def _of_delivery(condition: Q) -> Q:
    rows = Delivery.objects.filter(condition).order_by().values("pk")
    return Q(specimen__delivery__isnull=False, specimen__delivery__in=rows)


def _arrival(value: str, _ground: Ground) -> Q:
    return _of_delivery(_DELIVERIES[value])


def _arrival_lacks(_ground: Ground) -> Q:
    return Q(specimen__delivery__isnull=True) | _of_delivery(Q(released_at__isnull=True, entry_number="") & ~_IN)


def _taken() -> Iterator[Field]:
    """Fields of what it is called, and of its taking."""
    yield Field("number", _("Catalogue number"), Kind.TEXT, number("catalog_number"), cells.number,
                order=("catalog_number",))  # fmt: skip
    yield Field("name", _("Name as written"), Kind.TEXT, through("name", WrittenName.objects.all, text("shown")),
                cells.name, ColumnKind.TAXON, more=("specimen",))  # fmt: skip
    yield Field("taxon", _("Taxon"), Kind.TAXON, _taxon_teller(),
                help=_("A name placed above the taxon may be of it: it is counted as not known."))  # fmt: skip
    yield Field("day", _("Day of collecting"), Kind.DAY, span("first_on", "last_on"), cells.day, order=("first_on",),
                more=("specimen",), help=_("A vague date gives a yes only if all its days do."))  # fmt: skip
    yield Field("country", _("Country"), Kind.COUNTRY, choice("country", lacking=""), cells.country,
                ColumnKind.COUNTRY, choices=_countries, order=("country", "catalog_number"))  # fmt: skip
    yield Field("site", _("Site"), Kind.TEXT,
                through("site_key", Site.objects.all, text("code", "name"), has_null=True), cells.site,
                more=("specimen",), help=_("Its code or its name."))  # fmt: skip
    yield Field("locality", _("Locality as written"), Kind.TEXT,
                through("event", _EVENT, text("locality", "site_name")), cells.locality, more=("specimen",),
                is_slow=True)  # fmt: skip
    yield Field("collector", _("Collector"), Kind.TEXT, through("event", _EVENT, text("recorded_by")),
                cells.collector, more=("specimen",), is_slow=True)  # fmt: skip
    yield Field("method", _("Method"), Kind.TEXT, through("event", _EVENT, text("sampling_protocol")), cells.method,
                more=("specimen",), is_slow=True)  # fmt: skip


def _things() -> Iterator[Field]:
    """Fields of the thing itself."""
    yield Field("kind", _("Kind of thing"), Kind.CHOICE, choice("kind", lacking=""), cells.kind, more=("specimen",),
                choices=lambda: Specimen.Kind.choices)  # fmt: skip
    yield Field("count", _("Individuals"), Kind.NUMBER,
                span("specimen__count_low", "specimen__count_high", Q(specimen__count_assumed=True)), cells.count,
                more=("specimen",), is_slow=True,
                help=_("A number that was not written is not known, though verdicts take it as one."))  # fmt: skip
    for key, label, path in (("sex", _("Sex"), "sex"), ("stage", _("Life stage"), "life_stage"),
                             ("preparation", _("Preparation"), "preparation")):  # fmt: skip
        yield Field(
            key, label, Kind.TEXT, text(f"specimen__{path}"), cells.of_specimen(path), more=("specimen",), is_slow=True
        )


def _accession() -> Iterator[Field]:
    """Fields of how it came in."""
    key = "accession_key"
    yield Field("accession", _("Accession"), Kind.TEXT, number("accession_number"), cells.accession,
                order=("accession_number", "catalog_number"))  # fmt: skip
    yield Field("part", _("Part of the accession"), Kind.TEXT,
                through("part_key", Part.objects.all, text("letter"), has_null=True), cells.part,
                more=("specimen",))  # fmt: skip
    yield Field("accession-kind", _("Kind of accession"), Kind.CHOICE,
                through(key, _ACCESSION, choice("kind", lacking="unknown")), cells.accession_kind, more=("specimen",),
                choices=lambda: [one for one in Accession.Kind.choices if one[0] != "unknown"])  # fmt: skip
    yield Field("source", _("Source of the accession"), Kind.TEXT,
                through(key, _ACCESSION, text("source__name", has_null=True)), cells.source,
                more=("specimen",))  # fmt: skip
    yield Field("accession-received", _("Day of receipt of the accession"), Kind.DAY,
                through(key, _ACCESSION, point("received_on")), cells.accession_received, ColumnKind.DAY,
                more=("specimen",))  # fmt: skip
    yield Field("arrived", _("Day of arrival"), Kind.DAY,
                point("specimen__delivery__received_on"), cells.arrived, ColumnKind.DAY,
                more=("specimen",), is_slow=True)  # fmt: skip
    yield Field("arrival", _("Quarantine and release"), Kind.CHOICE, among(_arrival, _arrival_lacks),
                choices=lambda: _DELIVERY_STATES, is_slow=True)  # fmt: skip


def _judged() -> Iterator[Field]:
    """Fields of verdicts and of the papers in them."""
    yield Field("strip", _("Verdicts by layer"), Kind.TEXT, None, cells.strip, ColumnKind.STRIP)
    yield Field("worst", _("Worst verdict"), Kind.CHOICE, choice("worst"), cells.worst, ColumnKind.VERDICT,
                choices=lambda: _VERDICTS, may_lack=False, order=("worst", "catalog_number"))  # fmt: skip
    yield Field("any-verdict", _("Verdict of some layer"), Kind.CHOICE,
                bits("cells", lambda value: mask_of(tuple(Layer), (int(value),))), choices=lambda: _VERDICTS,
                may_lack=False)  # fmt: skip
    for layer in Layer:
        yield Field(f"verdict-{layer.name.lower().replace('_', '-')}", _layer_label(layer), Kind.CHOICE,
                    bits("cells", lambda value, layer=layer: mask_of((layer,), (int(value),))),  # type: ignore[misc]
                    cells.verdict_of(layer), ColumnKind.VERDICT, lambda: _VERDICTS, may_lack=False)  # fmt: skip
    yield Field("finding", _("Reason in a verdict"), Kind.CHOICE, among(_with_code), choices=_codes, may_lack=False,
                help=_("The codes are explained on the page of verdicts."))  # fmt: skip
    yield Field("overruled", _("Decided by a person beside a verdict"), Kind.FLAG,
                flag(lambda: Q(is_overruled=True)), cells.overruled, choices=lambda: YES_NO,
                may_lack=False)  # fmt: skip
    yield Field("has-paper", _("Some paper stands in its verdicts"), Kind.FLAG, flag(_with_any_paper),
                choices=lambda: YES_NO, may_lack=False, is_slow=True)  # fmt: skip
    yield Field("paper", _("Paper in its verdicts"), Kind.PAPER, among(_with_paper), may_lack=False,
                help=_("A paper that a verdict rests on, or was held against: by its reference."))  # fmt: skip


def _layer_label(layer: Layer) -> Any:
    return format_lazy(_("Verdict: {layer}"), layer=LAYER_NAMES[layer])


def _used() -> Iterator[Field]:
    """Fields of uses that were made and of where it is by them."""
    yield Field("where", _("Whereabouts now"), Kind.CHOICE, among(_where), cells.where, may_lack=False,
                choices=lambda: (("here", _("here")), ("out", _("out on loan")), ("gone", _("here no longer"))),
                more=("where",), help=_("By the uses that were recorded."))  # fmt: skip
    yield Field("lent-to", _("Borrower now"), Kind.TEXT, _lent_to(), cells.lent_to, more=("where",),
                help=_("Of what is out on loan; of everything else the answer is no."))  # fmt: skip
    yield Field("used", _("Use that was made of it"), Kind.CHOICE,
                among(lambda value, _ground: _items(standing().filter(use__deed=value))), may_lack=False,
                choices=lambda: MadeUse.Deed.choices)  # fmt: skip
    yield Field("used-outside", _("Used outside the terms"), Kind.FLAG,
                flag(lambda: _items(standing().filter(is_outside=True)),
                     lambda: _items(standing().filter(NOT_SHOWN)) & ~_items(standing().filter(is_outside=True))),
                choices=lambda: YES_NO)  # fmt: skip


def _rows(_ground: Ground) -> Any:
    return Standing.objects.all()


def _counted(n: int) -> str:
    return ngettext("%(n)s specimen", "%(n)s specimens", n) % {"n": intcomma(n)}


CATALOGUE: Final = Catalogue(
    fields=(*_taken(), *_things(), *_accession(), *_judged(), *_used()), rows=_rows,
    usual=("number", "name", "country", "site", "day", "strip"), usual_order="number", key="specimen",
    counted=_counted, prepare=cells.prepare,
)  # fmt: skip
