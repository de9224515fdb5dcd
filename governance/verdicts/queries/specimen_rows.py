"""What a row of the list shows: name, day and place, the strip, and the first reason of the worst layer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from accessions.material.models import SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.cells import Cell, strip_cells
from governance.verdicts.models import OutcomeFinding, RulingLayer, Run, Standing
from governance.verdicts.queries.filters import OPEN_VERDICTS
from governance.verdicts.row_sentences import SentenceFiller
from governance.verdicts.shown_days import event_day
from governance.verdicts.standing_columns import strip_of

_SHOWN_OF_EVENT = (
    "event_date", "verbatim_event_date", "locality", "site_name", "country", "earliest_on", "latest_on",
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
    """One specimen as the list shows it. focus: the layers that the list is narrowed to; none: all."""

    specimen: Specimen
    reasons: Sequence[Reason]
    filler: SentenceFiller
    focus: Collection[int] = ()

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
        """The first of the worst layers; of those that the list is narrowed to."""
        cells = [cell for cell in self.cells if not self.focus or cell.layer in self.focus]
        return max(cells, key=lambda cell: cell.verdict, default=None)

    @property
    def where(self) -> str:
        """The layer in words, and how many more need a look."""
        if not self.worst or not (self.worst.needs_a_look or self.focus):
            return ""
        more = sum(cell.needs_a_look for cell in self.cells if cell is not self.worst)
        name = self.worst.layer_name if self.worst.layer in _NAMES_AS_WRITTEN else self.worst.layer_name.lower()
        return _("%(layer)s, and %(n)d more") % {"layer": name, "n": more} if more else name

    @cached_property
    def sentence(self) -> str:
        """The first finding of that layer; "" where it needs no look."""
        worst = self.worst
        reason = next((r for r in self.reasons if worst and worst.needs_a_look and r.layer == worst.layer), None)
        return self.filler.fill(reason.sentence, self.specimen.standing) if reason else ""

    @property
    def all_sentences(self) -> str:
        """The first finding of every layer that needs a look, with its name."""
        looked_at = {cell.layer for cell in self.cells if cell.needs_a_look}
        fill, standing = self.filler.fill, self.specimen.standing if self.reasons else None
        return " ".join(
            f"{layer_name(r.layer)}: {fill(r.sentence, standing)}"
            for r in self.reasons
            if standing and r.layer in looked_at
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
        return self.specimen.name.is_italic


_NAMES_AS_WRITTEN = {Layer.CITES, Layer.ACCESS}


def specimen_rows(
    keys: Sequence[int], focus: Collection[int] = (), filler: SentenceFiller | None = None
) -> list[SpecimenRow]:
    """The rows of these specimens, in the order of the keys. Three queries, and three if sentences need more words."""
    found = (
        Specimen.objects.filter(pk__in=keys)
        .select_related("event__site", "name", "accession", "part", "standing__ruling")
        .only(
            "catalog_number", "accession__number", "part__letter", "name__shown", "name__rank",
            *(f"event__{column}" for column in _SHOWN_OF_EVENT), "event__site__name", "event__site__code",
            "standing__cells", "standing__is_overruled", "standing__event", "standing__name", "standing__run",
            "standing__ruling__strip",
        )
        .in_bulk(keys)
    )  # fmt: skip
    specimens = [found[key] for key in keys if key in found]
    reasons = reasons_of(s.standing.ruling_id for s in specimens if hasattr(s, "standing"))
    filler = filler or SentenceFiller()
    rows = [
        SpecimenRow(s, reasons.get(s.standing.ruling_id, []) if hasattr(s, "standing") else [], filler, focus)
        for s in specimens
    ]
    _load_words([row.specimen.standing for row in rows if any("{" in reason.sentence for reason in row.reasons)])
    return rows


def _load_words(standings: Sequence[Standing]) -> None:
    """The events, names and runs that were judged, whole: only for rows whose sentences have words left open."""
    events = SamplingEvent.objects.in_bulk({standing.event_id for standing in standings})
    names = WrittenName.objects.in_bulk({standing.name_id for standing in standings})
    runs = Run.objects.defer("papers").in_bulk({standing.run_id for standing in standings})
    for standing in standings:
        standing.event, standing.name = events[standing.event_id], names[standing.name_id]
        standing.run = runs[standing.run_id]


def reasons_of(rulings: Iterable[int]) -> Mapping[int, list[Reason]]:
    """By ruling, the layers that need a look with their first finding, in their order. At most two queries."""
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
