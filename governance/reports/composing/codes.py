"""The codes of the columns whose values a language names: by group of words, every code that composing may write.

Stored codes of the register wherever it has them; words of this room only where it has none. Where each group comes
from:

- paper_kinds: ``papers.PaperKind``. paper_states: ``papers.lifetimes.Standing``.
- specimen_kinds: ``material.Specimen.Kind``.
- layers, verdicts: words of the exchange files (``engine.tables.Layer``, ``Verdict``); ``not-judged`` and ``in-order``
  are ours.
- deeds: ``usedesk.MadeUse.Deed``. answers: ``engine.uses.Answer``, as the desk gave it on the day of the use.
- whereabouts: ``here``, ``out``, ``lost``, ``used-up`` are ours; the rest are the deeds after which material is here no
  longer (``usedesk.deeds.FOR_GOOD``).
- in_period: ours. ``maybe``: some of the days on which it may have been taken lie in the period, some do not.
- yes_no, told: ours; ``not-told`` stands for the blank of the register.
- benefits: the Annex of the Nagoya Protocol, M-a to M-j and N-a to N-q.
- promise_states: ``duties.queries.benefits``. duty_kinds: ``duties.DutyKind``. duty_states: ``engine.duties.State``.
- unknowns: ours, what the register cannot tell.
- diligence_fields, certificate_fields: keys of the data files of these names (``governance.jurisdictions``). bases:
  whether the source of a field was read (``jurisdictions.schema``).
- limits_of: ours, of a limit of a permit.
- answer_states: ours, of a field of the sheet or an item of a certificate. nil_answers: ours, of a return.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from accessions.material.models import Specimen
from governance.duties.models import DutyKind
from governance.engine.duties.states import State
from governance.engine.tables import Layer, Verdict
from governance.engine.uses import Answer
from governance.jurisdictions import certificate_fields, diligence_fields
from governance.jurisdictions.schema import BASES
from governance.papers.lifetimes import Standing
from governance.papers.models import PaperKind
from governance.usedesk.deeds import FOR_GOOD
from governance.usedesk.models import MadeUse

NOT_JUDGED: Final = "not-judged"
"""No verdict stands for it."""

IN_ORDER: Final = "in-order"
"""Each layer of it is covered, or needs no paper: which of the two comes last in the order of verdicts says nothing."""

HERE, OUT, LOST, USED_UP, NOT_TOLD = "here", "out", "lost", "used-up", "not-told"
YES, NO = "yes", "no"
IN, OUTSIDE, MAYBE, NOT_KNOWN = "in", "outside", "maybe", "not-known"

WITHHELD: Final = "[…]"
"""In place of a text that is kept back; needs no language, and the disclosure says how many there are."""

UNDATED, UNPLACED, UNIDENTIFIED, INDIVIDUALS = "undated", "unplaced", "unidentified", "individuals"
NO_PAPER, PAPER_UNREAD, TERMS_UNREAD = "no-paper", "paper-unread", "terms-unread"
USE_UNANSWERED, WHEREABOUTS = "use-unanswered", "whereabouts"
PERIOD, TENURE, UNREGISTERED, NO_MATERIAL = "period", "tenure", "unregistered", "no-material"
WRITTEN_SITE = "site"

UNKNOWNS: Final = (
    UNDATED, UNPLACED, UNIDENTIFIED, INDIVIDUALS, NOT_JUDGED, NO_PAPER, PAPER_UNREAD, TERMS_UNREAD, USE_UNANSWERED,
    WHEREABOUTS, PERIOD, TENURE, WRITTEN_SITE, UNREGISTERED, NO_MATERIAL,
)  # fmt: skip
"""What the register cannot tell: the day of taking to the day; a position or a site; a name of a species; how many
individuals exactly; any verdict; a paper for some layer that needs one; what a paper allows; what it says of uses; what
the desk says of a use; where it is; whether it was taken in the period; whether on a day of the tenure; whether at
a site that is written in words alone; what of an accession is not registered yet; what material a paper speaks for."""

ANSWER_STATES: Final = (
    "on-face", "in-terms", "linked", "on-file", "told", "yes", "in-part", "commercial", "non-commercial", "ask-first",
    "not-needed", "not-stated", "not-found", "not-known", "confidential", "kept-back",
)  # fmt: skip
"""Of a field or item. With a value: it stands on the face of the paper; in the terms as they were read; in an agreement
on file for the same material; in the register; people told it. yes: so by papers on file; in-part: so for some of the
material only. not-needed: the certificate stands in for it. not-stated: no paper on file says so; not-found: it is on
no face; not-known: neither the register nor anybody told. confidential: entered as such; kept-back: on file, and left
out here."""

LIMITS_OF: Final = (
    *(f"{per}{others}" for per in ("paper", "year", "site", "event") for others in ("", "-together")), "several",
)  # fmt: skip
"""What a limit of a permit counts: a taxon in all, in a calendar year, at a site or an event; ``-together``: with
others of its group. several: more than one limit, or one that changed."""

PROMISE_STATES: Final = ("open", "overdue", "met", "closed", "not-measured")

CODES: Final[Mapping[str, tuple[str, ...]]] = {
    "paper_kinds": tuple(PaperKind.values),
    "paper_states": tuple(state.value for state in Standing),
    "specimen_kinds": tuple(Specimen.Kind.values),
    "layers": tuple(layer.code for layer in Layer),
    "verdicts": (*(verdict.code for verdict in Verdict), NOT_JUDGED, IN_ORDER),
    "deeds": tuple(MadeUse.Deed.values),
    "answers": tuple(answer.code for answer in Answer),
    "whereabouts": (HERE, OUT, *sorted(map(str, FOR_GOOD)), LOST, USED_UP),
    "in_period": (IN, OUTSIDE, MAYBE, NOT_KNOWN),
    "yes_no": (YES, NO),
    "told": (YES, NO, NOT_TOLD),
    "benefits": tuple(f"M-{letter}" for letter in "abcdefghij")
    + tuple(f"N-{letter}" for letter in "abcdefghijklmnopq"),
    "promise_states": PROMISE_STATES,
    "duty_kinds": tuple(DutyKind.values),
    "duty_states": tuple(state.value for state in State),
    "unknowns": UNKNOWNS,
    "diligence_fields": tuple(diligence_fields()),
    "certificate_fields": tuple(certificate_fields()),
    "bases": BASES,
    "answer_states": ANSWER_STATES,
    "limits_of": LIMITS_OF,
    "nil_answers": ("nil", "not-nil", "cannot-tell"),
}
"""By group of words."""
