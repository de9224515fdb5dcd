"""Which differences from the plan matter: told by the verdicts that stand, by nothing else.

There is no rule about papers here. A difference matters where the engine said no about the same subject; it is only a
difference where the engine looked and found nothing; else it cannot be told yet.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from enum import Enum, IntEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from governance.engine.tables import NO_CODES, Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.cells import Cell
from governance.verdicts.models import OutcomeFinding, RulingLayer
from governance.verdicts.reason_words import reason_words


class Weight(IntEnum):
    """Whether a difference matters; the larger first on screens."""

    HARMLESS = 0
    UNTOLD = 1
    MATTERS = 2

    @property
    def word(self) -> str:
        return str(_WEIGHT_WORDS[self])

    @property
    def code(self) -> str:
        return self.name.lower()


_WEIGHT_WORDS: Mapping[Weight, Promise] = {
    Weight.HARMLESS: _("only a difference"),
    Weight.UNTOLD: _("cannot be told yet"),
    Weight.MATTERS: _("matters"),
}

_DATES = frozenset({
    "revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end", "straddles",
    "date-vague", "date-missing", "date-unreadable", "date-conflict", "start-unknown",
})  # fmt: skip
_AT_HOME = tuple(layer for layer in Layer if layer < Layer.EXPORT)
_OUT, _IN = (Layer.EXPORT, Layer.CITES), (Layer.IMPORT, Layer.CITES)

UNTESTED = frozenset({
    "requirement-unknown", "no-rule", "not-searched", "known-not-located", "paper-unread", "version-vague"
})  # fmt: skip
"""Findings after which nobody knows what a paper would have said of the difference."""


class Subject(Enum):
    """What a difference is about: the layers that look at it, those that must have looked, and the codes they use.

    Where a layer of ``must`` tested nothing, nobody knows whether the difference matters to it.
    """

    PLACE = (
        _("Place"), tuple(Layer), _AT_HOME,
        frozenset({
            "coordinates-invalid", "coordinates-generalized", "country-mismatch", "swapped", "sign", "radius-unknown",
            "place-conflict", "excluded-area", "place-missing", "outside-area", "at-sea", "area-not-mapped",
            "exclusion-edge", "area-edge",
        }),
    )  # fmt: skip
    DAYS = (_("Days"), _AT_HOME, _AT_HOME, _DATES)
    PEOPLE = (_("People"), tuple(Layer), _AT_HOME, frozenset({
        "person", "person-mixed", "person-missing", "person-maybe"
    }))  # fmt: skip
    METHODS = (_("Methods"), tuple(Layer), _AT_HOME, frozenset({"method", "method-mixed", "method-missing"}))
    GROUPS = (
        _("Groups"), tuple(Layer), (*_AT_HOME, Layer.CITES),
        frozenset({
            "taxon-ambiguous", "taxon-excluded", "taxon-broad", "taxon-unresolved", "taxon-not-included",
            "taxon-qualified",
        }),
    )  # fmt: skip
    NUMBERS = (_("Numbers"), tuple(Layer), _AT_HOME, frozenset({"cap-breached", "cap-possible"}))
    EXPORT_DAY = (_("Way home"), _OUT, _OUT, _DATES)
    IMPORT_DAY = (_("Way home"), _IN, _IN, _DATES)
    TRANSFER_DAY = (_("Way home"), (Layer.TRANSFER,), (Layer.TRANSFER,), _DATES)

    def __init__(
        self, label: Promise, layers: tuple[Layer, ...], must: tuple[Layer, ...], codes: frozenset[str]
    ) -> None:
        self.label, self.layers, self.must, self.codes = label, layers, must, codes


@dataclass(frozen=True)
class Said:
    """What a layer says of the subject, for how many specimens. code: of the finding, by which lists are narrowed."""

    cell: Cell
    code: str
    specimens: int

    @property
    def words(self) -> str:
        return f"{LAYER_NAMES[self.cell.layer or Layer.LAND]}: {reason_words(self.code)}"


@dataclass(frozen=True)
class Judgement:
    """Whether a difference matters, and what says so. unjudged: specimens that no verdict stands for yet."""

    weight: Weight
    said: tuple[Said, ...] = ()
    unjudged: int = 0


LayerSays = dict[Layer, tuple[Verdict, frozenset[str]]]
"""By layer the verdict and the codes of its findings."""


class Rulings:
    """Some rulings, read once."""

    def __init__(self, says: Mapping[int, LayerSays]) -> None:
        self._says = says

    def judge(self, subject: Subject, rulings: Mapping[int | None, int]) -> Judgement:
        """Whether a difference about a subject matters to specimens of these rulings."""
        found: dict[tuple[Weight, Layer, Verdict, str], int] = defaultdict(int)
        for ruling, specimens in rulings.items():
            for layer, (verdict, codes) in self._says.get(ruling or 0, {}).items():
                if layer in subject.layers and verdict >= Verdict.CANNOT_TELL:
                    for weight, code in _weighed(subject, layer, verdict, codes):
                        found[weight, layer, verdict, code] += specimens
        unjudged = sum(count for ruling, count in rulings.items() if ruling not in self._says)
        weight = max((key[0] for key in found), default=Weight.UNTOLD if unjudged or not rulings else Weight.HARMLESS)
        if unjudged and weight == Weight.HARMLESS:
            weight = Weight.UNTOLD
        said = [
            Said(Cell(verdict, layer), code, count)
            for (own, layer, verdict, code), count in sorted(found.items())
            if own == weight
        ]
        return Judgement(weight, tuple(said), unjudged)


def _weighed(subject: Subject, layer: Layer, verdict: Verdict, codes: Collection[str]) -> Iterable[tuple[Weight, str]]:
    """The findings about the subject; without any, those that say that nothing was tested."""
    own = sorted(set(codes) & subject.codes)
    for code in own:
        is_no = code in NO_CODES and verdict > Verdict.CANNOT_TELL
        yield (Weight.MATTERS if is_no else Weight.UNTOLD), code
    if not own and layer in subject.must:
        for code in sorted(set(codes) & UNTESTED):
            yield Weight.UNTOLD, code


def rulings_of(keys: Iterable[int | None]) -> Rulings:
    """What rulings say. Two queries."""
    wanted = {key for key in keys if key is not None}
    layers = list(
        RulingLayer.objects.filter(ruling__in=wanted).values_list(
            "ruling_id", "layer", "outcome_id", "outcome__verdict"
        )
    )
    codes: dict[int, set[str]] = defaultdict(set)
    findings = OutcomeFinding.objects.filter(outcome__in={outcome for _, _, outcome, _ in layers}).exclude(code="")
    for outcome, code in findings.order_by().values_list("outcome_id", "code"):
        codes[outcome].add(code)
    says: dict[int, LayerSays] = {key: {} for key in wanted}
    for ruling, layer, outcome, verdict in layers:
        says[ruling][Layer(layer)] = Verdict(verdict), frozenset(codes[outcome])
    return Rulings(says)
