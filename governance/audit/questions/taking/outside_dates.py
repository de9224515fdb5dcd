"""What was taken outside the dates of its papers: by how many days, and why."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, Group, Missing, Question
from governance.audit.questions.narrowing import (
    ACCESSION,
    COUNTRY,
    layer_of,
    layer_parameter,
    scope_of,
    without_verdict,
)
from governance.audit.questions.taking.findings import COLLECTING_LAYERS, Findings, SpecimenFinding
from governance.audit.questions.telling import counted
from governance.audit.questions.wording import days_words, specimens_words
from governance.papers.models import LAYER_NAMES
from governance.verdicts.reason_words import reason_words
from governance.verdicts.settling import ADVICE, Test, says_no
from governance.verdicts.shown_days import event_day

STRADDLES: Final = "straddles"
DATE_CODES: Final = frozenset(code for code, one in ADVICE.items() if one.test is Test.DATES) - {"version-vague"}
OUTSIDE: Final = frozenset(code for code in DATE_CODES if says_no(code)) - {STRADDLES}
"""No day of the record was valid."""
UNDECIDED: Final = DATE_CODES - OUTSIDE - {STRADDLES}

_COLUMNS: Final = (
    Column("specimen", gettext_lazy("Specimen")), Column("accession", gettext_lazy("Accession")),
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON), Column("collected", gettext_lazy("Collected")),
    Column("layer", gettext_lazy("Layer")), Column("paper", gettext_lazy("Paper")),
    Column("verdict", gettext_lazy("Verdict"), ColumnKind.VERDICT),
    Column("days", gettext_lazy("Days off"), ColumnKind.NUMBER), Column("reason", gettext_lazy("Reason")),
    Column("why", gettext_lazy("Why")),
)  # fmt: skip
_UNTOLD: Final = ngettext_lazy(
    "The day of %(n)s specimen cannot be held against its papers: the record or the paper does not tell. It may lie "
    "outside, too.",
    "The days of %(n)s specimens cannot be held against their papers: the record or the paper does not tell. They may "
    "lie outside, too.",
    "count",
)


def answer(asked: Asked) -> Answer:
    """From the findings of the verdicts that stand: three queries for the sentence, seven for a page of rows."""
    scope, layer = scope_of(asked), layer_of(asked)
    found = Findings(scope, DATE_CODES, (layer,) if layer is not None else COLLECTING_LAYERS)
    shown = OUTSIDE | {STRADDLES}
    undecided = found.specimens(UNDECIDED, but=shown)
    missing = (Missing(counted(_UNTOLD, undecided), undecided),)
    return Answer(
        sentence=_sentence(found, scope.words),
        columns=_COLUMNS,
        rows=found.rows(shown, _cells),
        missing=(missing if undecided else ()) + without_verdict(scope.unchecked),
        notes=(
            _("Days off are counted to the nearest valid day of the paper that came nearest; of a run that crosses an "
              "end or a gap, they are the days that were not valid (verdicts, section 3)."),
            *found.notes,
        ),
        total=found.specimens(shown),
    )  # fmt: skip


def _cells(one: SpecimenFinding) -> tuple[Cell, ...]:
    return (
        one.specimen, one.accession, one.standing.name.shown, event_day(one.standing.event),
        str(LAYER_NAMES[one.layer]), one.paper, int(one.verdict), _days_off(one),
        str(reason_words(one.finding.code)), one.sentence,
    )  # fmt: skip


def _days_off(one: SpecimenFinding) -> int | None:
    """The measure of the finding: of a run, how many of its days were not valid."""
    measure, against = one.finding.measure, one.finding.against
    if measure is None:
        return None
    if one.finding.code == STRADDLES:
        return None if against is None else round(against - measure)
    return round(measure)


def _sentence(found: Findings, of: str) -> str:
    outside = found.specimens(OUTSIDE)
    straddling = found.specimens({STRADDLES}, but=OUTSIDE)
    if not outside and not straddling:
        return _("No specimen%(of)s was found outside the dates of its papers.") % {"of": of}
    parts = []
    if outside:
        words = ngettext(
            "The day of %(n)s%(of)s lies outside the dates of its papers%(by)s.",
            "The days of %(n)s%(of)s lie outside the dates of their papers%(by)s.", outside,
        )  # fmt: skip
        by = _by(found.measures(OUTSIDE))
        parts.append(words % {"n": specimens_words(outside), "of": of, "by": by})
    if straddling:
        words = ngettext(
            "%(n)s%(of)s comes from a run that crosses an end or a gap: some of its days were valid.",
            "%(n)s%(of)s come from runs that cross an end or a gap: some of their days were valid.", straddling,
        )  # fmt: skip
        parts.append(words % {"n": specimens_words(straddling), "of": "" if outside else of})
    return " ".join(parts)


def _by(days: list[float]) -> str:
    if not days:
        return ""
    least, most = round(days[0]), round(days[-1])
    if least == most:
        return _(", by %(days)s") % {"days": days_words(most)}
    return _(", by %(least)d to %(most)s") % {"least": least, "most": days_words(most)}


OUTSIDE_DATES: Final = Question(
    key="outside-dates",
    group=Group.TAKING,
    title=gettext_lazy("What was collected outside the dates: how many days off, and why?"),
    shows=gettext_lazy(
        "Every specimen whose day does not lie in the dates of the paper that came nearest, with the days off and the "
        "reason, as its verdict found them."
    ),
    answer=answer,
    parameters=(ACCESSION, COUNTRY, layer_parameter(gettext_lazy("All that test the day of collecting"))),
)
