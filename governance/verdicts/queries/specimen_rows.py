"""What a row of the list shows of a specimen: its name, day and place, its strip, and the first reason of its worst layer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.cells import Cell, strip_cells
from governance.verdicts.models import OutcomeFinding, RulingLayer
from governance.verdicts.queries.filters import OPEN_VERDICTS
from governance.verdicts.row_sentences import row_sentence
from governance.verdicts.shown_days import event_day
from governance.verdicts.standing_columns import strip_of

_EVENT = (
    "event_date", "verbatim_event_date", "locality", "site_name", "location_id", "country", "recorded_by",
    "sampling_protocol", "earliest_on", "latest_on", "radius_m", "decimal_latitude", "decimal_longitude", "country_code",
)  # fmt: skip


@dataclass(frozen=True)
class Reason:
    """A layer that needs a look, by its first finding. sentence: its words still open."""

    ruling: int
    layer: Layer
    verdict: Verdict
    sentence: str


@dataclass
class SpecimenRow:
    """One specimen as the list shows it."""

    specimen: Specimen
    reasons: Sequence[Reason]

    @cached_property
    def strip(self) -> str:
        """The verdicts of the layers after overrides, "" for a specimen without a verdict."""
        standing = getattr(self.specimen, "standing", None)
        return (strip_of(standing.cells) or standing.ruling.strip) if standing else ""

    @cached_property
    def cells(self) -> list[Cell]:
        return strip_cells(self.strip) if self.strip else []

    @property
    def is_checked(self) -> bool:
        return bool(self.strip)

    @property
    def is_overruled(self) -> bool:
        return self.is_checked and self.specimen.standing.is_overruled

    @cached_property
    def worst(self) -> Cell | None:
        """The first of the worst layers."""
        return max(self.cells, key=lambda cell: cell.verdict, default=None)

    @property
    def where(self) -> str:
        """The worst layer in words, and how many more need a look."""
        if not self.worst or not self.worst.needs_a_look:
            return ""
        more = sum(cell.needs_a_look for cell in self.cells) - 1
        name = self.worst.layer_name if self.worst.layer in _NAMES_AS_WRITTEN else self.worst.layer_name.lower()
        return _("%(layer)s, and %(n)d more") % {"layer": name, "n": more} if more else name

    @cached_property
    def sentence(self) -> str:
        """The first finding of the worst layer; "" where nothing needs a look."""
        worst = self.worst
        reason = next((r for r in self.reasons if worst and r.layer == worst.layer), None)
        return row_sentence(reason.sentence, self.specimen) if reason else ""

    @property
    def all_sentences(self) -> str:
        """The first finding of every layer that needs a look, with its name."""
        looked_at = {cell.layer for cell in self.cells if cell.needs_a_look}
        return " ".join(
            f"{layer_name(r.layer)}: {row_sentence(r.sentence, self.specimen)}" for r in self.reasons if r.layer in looked_at
        )

    @property
    def plain_strip(self) -> str:
        """The strip as text: La=O Co=C Sp=N ..."""
        return " ".join(f"{cell.layer_code}={cell.letter}" for cell in self.cells)

    @property
    def collected(self) -> str:
        return event_day(self.specimen.event)

    @property
    def place(self) -> str:
        event = self.specimen.event
        return (event.site.name or event.site.code) if event.site else (event.site_name or event.locality)

    @property
    def name_is_italic(self) -> bool:
        """Names from the genus down are set in italics."""
        return self.specimen.name.rank in ("genus", "subgenus", "species", "infraspecies")


_NAMES_AS_WRITTEN = {Layer.CITES, Layer.ACCESS}


def specimen_rows(keys: Sequence[int]) -> list[SpecimenRow]:
    """The rows of these specimens, in the order of the keys. Two queries, and one if any needs a look."""
    found = (
        Specimen.objects.filter(pk__in=keys)
        .select_related("event__site", "name", "accession", "part", "standing__ruling")
        .only(
            "catalog_number", "kind", "sex", "life_stage", "individual_count", "accession__number", "part__letter",
            "name__shown", "name__scientific_name", "name__rank",
            *(f"event__{column}" for column in _EVENT), "event__site__name", "event__site__code",
            "standing__cells", "standing__worst", "standing__is_overruled", "standing__ruling__strip",
        )
        .in_bulk(keys)
    )  # fmt: skip
    specimens = [found[key] for key in keys if key in found]
    reasons = reasons_of(s.standing.ruling_id for s in specimens if hasattr(s, "standing"))
    return [SpecimenRow(s, reasons.get(s.standing.ruling_id, []) if hasattr(s, "standing") else []) for s in specimens]


def reasons_of(rulings: Iterable[int]) -> Mapping[int, list[Reason]]:
    """By ruling, the layers that need a look with their first finding, in the order of the layers. At most two queries."""
    layers = list(
        RulingLayer.objects.filter(ruling__in=set(rulings), outcome__verdict__in=OPEN_VERDICTS)
        .order_by("ruling", "layer")
        .values_list("ruling", "layer", "outcome", "outcome__verdict")
    )
    sentences = first_sentences({outcome for _ruling, _layer, outcome, _verdict in layers})
    reasons: dict[int, list[Reason]] = defaultdict(list)
    for ruling, layer, outcome, verdict in layers:
        reasons[ruling].append(Reason(ruling, Layer(layer), Verdict(verdict), sentences.get(outcome, "")))
    return reasons


def first_sentences(outcomes: Iterable[int]) -> dict[int, str]:
    """The first sentence of each outcome."""
    first = OutcomeFinding.objects.filter(outcome__in=set(outcomes), position=0)
    return dict(first.values_list("outcome", "sentence"))


def layer_name(layer: int) -> str:
    return str(LAYER_NAMES[Layer(layer)])
