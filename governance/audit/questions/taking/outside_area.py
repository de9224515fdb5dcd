"""What was taken outside the area of its papers, and of what that cannot be told: how far from the line, how sure."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    UnknownValueError,
)
from governance.audit.questions.narrowing import (
    ACCESSION,
    COUNTRY,
    layer_of,
    layer_parameter,
    scope_of,
    without_verdict,
)
from governance.audit.questions.taking.findings import Findings, SpecimenFinding
from governance.audit.questions.wording import specimens_words
from governance.engine.tables import Layer
from governance.papers.measures import distance
from governance.papers.models import LAYER_NAMES
from governance.verdicts.reason_words import reason_words
from governance.verdicts.settling import ADVICE, Test, is_remark, says_no

NOT_STATED: Final = "place-not-stated"
"""A remark on a covered layer; on one that needs a look it is what could not be tested."""
OF_AREA: Final = frozenset(
    code for code, one in ADVICE.items() if one.test is Test.AREA and (code == NOT_STATED or not is_remark(code))
)
OUTSIDE: Final = frozenset(code for code in OF_AREA if says_no(code))
BESIDE: Final = frozenset({"swapped", "sign"})
"""They stand beside ``country-mismatch`` and are no reason of their own."""
UNDECIDED: Final = OF_AREA - OUTSIDE - BESIDE

_TO_THE_LINE: Final = frozenset({"outside-area", "excluded-area", "area-edge", "exclusion-edge", "at-sea"})
"""Findings whose measure is the distance to an edge of the area; of the others it is something else, or nothing."""

_MEASURED_AGAINST_RADIUS: Final = frozenset(
    {"outside-area", "excluded-area", "area-edge", "exclusion-edge", "place-conflict", "country-mismatch"}
)
_WITHOUT_PLACE: Final = frozenset({"place-missing", "radius-unknown", "coordinates-invalid", "coordinates-generalized"})

_SHOWS: Final = {"": OUTSIDE | UNDECIDED, "outside": OUTSIDE, "undecided": UNDECIDED}

_COLUMNS: Final = (
    Column("specimen", gettext_lazy("Specimen")), Column("accession", gettext_lazy("Accession")),
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON), Column("layer", gettext_lazy("Layer")),
    Column("paper", gettext_lazy("Paper")), Column("verdict", gettext_lazy("Verdict"), ColumnKind.VERDICT),
    Column("answer", gettext_lazy("Answer")),
    Column("distance", gettext_lazy("From the line"), ColumnKind.NUMBER, "m"),
    Column("uncertainty", gettext_lazy("Known to"), ColumnKind.NUMBER, "m"),
    Column("reason", gettext_lazy("Reason")), Column("why", gettext_lazy("Why")),
)  # fmt: skip


def answer(asked: Asked) -> Answer:
    """From the findings of the verdicts that stand: three queries for the sentence, six for a page of rows."""
    scope, layer = scope_of(asked), layer_of(asked)
    if asked["show"] not in _SHOWS:
        raise UnknownValueError("show", _("“%(text)s” is no choice of the list.") % {"text": asked["show"]})
    shown = _SHOWS[asked["show"]]
    found = Findings(scope, OF_AREA - BESIDE, (layer,) if layer is not None else tuple(Layer))
    return Answer(
        sentence=_sentence(found, scope.words),
        columns=_COLUMNS,
        rows=found.rows(shown, _cells),
        missing=_missing(found) + without_verdict(scope.unchecked),
        notes=(
            _("Metres are geodesic, from the recorded point to the nearest edge of the area of the paper that came "
              "nearest; with a minus the point lies inside that edge (verdicts, section 4)."),
            _("It cannot be decided where the circle of the uncertainty touches the line, or the record or the paper "
              "does not tell enough."),
            *found.notes,
        ),
        total=found.specimens(shown, but=OUTSIDE if asked["show"] == "undecided" else ()),
    )  # fmt: skip


def _cells(one: SpecimenFinding) -> tuple[Cell, ...]:
    code, finding = one.finding.code, one.finding
    said = _("outside") if code in OUTSIDE else _("cannot be decided")
    return (
        one.specimen, one.accession, one.standing.name.shown, str(LAYER_NAMES[one.layer]), one.paper,
        int(one.verdict), said,
        _metres(finding.measure if code in _TO_THE_LINE else None),
        _metres(finding.against if code in _MEASURED_AGAINST_RADIUS else None), str(reason_words(code)), one.sentence,
    )  # fmt: skip


def _metres(value: float | None) -> int | None:
    return None if value is None else round(value)


def _sentence(found: Findings, of: str) -> str:
    outside, undecided = found.specimens(OUTSIDE), found.specimens(UNDECIDED, but=OUTSIDE)
    if not outside and not undecided:
        return _("No specimen%(of)s lies outside the area of its papers, and none is undecided.") % {"of": of}
    words = _("No specimen%(of)s lies outside the area of its papers")
    if outside:
        words = ngettext(
            "%(n)s%(of)s lies outside the area of its papers", "%(n)s%(of)s lie outside the area of their papers",
            outside,
        )  # fmt: skip
    words = words % {"n": specimens_words(outside), "of": of} + _farthest(found)
    if not undecided:
        return words + "."
    return words + _("; of %(n)s more it cannot be decided.") % {"n": specimens_words(undecided)}


def _farthest(found: Findings) -> str:
    metres = found.measures({"outside-area"})
    return _(", the farthest by %(distance)s") % {"distance": _distance(metres[-1])} if metres else ""


def _distance(metres: float) -> str:
    """As verdicts say it, with marks of thousands where it is a thousand kilometres or more: 9,115 km."""
    return f"{metres / 1000:,.0f} km" if metres >= 1_000_000 else distance(metres)


def _missing(found: Findings) -> tuple[Missing, ...]:
    """Records that would decide: positions, and mapped places of papers."""
    told = (
        (_("Positions: coordinates that can be used, or how well they are known."), _WITHOUT_PLACE),
        (_("The areas of papers: a place of theirs is not mapped, or none is stated."),
         frozenset({"area-not-mapped", NOT_STATED})),
    )  # fmt: skip
    counted = [(words, found.specimens(codes)) for words, codes in told]
    return tuple(Missing(words, count) for words, count in counted if count)


OUTSIDE_AREA: Final = Question(
    key="outside-area",
    group=Group.TAKING,
    title=gettext_lazy("What was collected outside the area, and what cannot be decided?"),
    shows=gettext_lazy(
        "Every specimen whose place does not lie in the area of the paper that came nearest, and those of which that "
        "cannot be told, with the distance from the line and how well the position is known."
    ),
    answer=answer,
    parameters=(
        ACCESSION, COUNTRY, layer_parameter(gettext_lazy("All layers")),
        Parameter(
            "show", ParameterKind.CHOICE, gettext_lazy("Show"),
            choices=(
                ("", gettext_lazy("Both")), ("outside", gettext_lazy("Outside only")),
                ("undecided", gettext_lazy("Cannot be decided only")),
            ),
        ),
    ),
)  # fmt: skip
