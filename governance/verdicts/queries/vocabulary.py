"""The words of the verdicts page: each verdict, each layer, each finding code with its sentence and what settles it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from governance.engine.columns import unit_of
from governance.engine.explain import TEMPLATES
from governance.engine.tables import CODES, Layer, Verdict
from governance.papers.models import LAYER_NAMES
from governance.verdicts.cells import LAYER_CODES, Cell
from governance.verdicts.settling import TEST_NAMES, Test, advice_of, is_remark, lacks_paper, says_no
from governance.verdicts.spoken import spoken

_EXAMPLE = {
    "paper": "COL-2024-052", "covers": "covers", "did": "Collected", "day": "collecting date", "when": "2024-06-17",
    "hint": "", "nearest": "", "inside": "4", "depth": "", "side": "inside", "where": '"142, 43.90"', "country": "GE",
    "reach": "±120 m", "boundary": "", "name": "Cordulegaster insignis", "methods": "light trap", "people": "N. Ek",
    "sexes": "male", "stages": "larva",
}  # fmt: skip
_MEASURES = {"days": ("3 days", "7 days"), "m": ("61 m", "120 m"), "individuals": ("12 individuals", "10 individuals")}


@dataclass(frozen=True)
class Meaning:
    """A verdict or a layer, with what it says. code: the two letters of a layer."""

    name: str
    text: str
    cell: Cell | None = None
    code: str = ""


@dataclass(frozen=True)
class CodeMeaning:
    """A finding code: an example of its sentence, what it answers, what settles it."""

    code: str
    sentence: str
    answer: str
    style: str
    settle: str


def verdict_meanings() -> list[Meaning]:
    """The six verdicts, best first, which is the order everywhere."""
    texts = {
        Verdict.COVERED: _(
            "A paper on file covers it: every test of the paper says yes. A remark may name a weakness."
        ),
        Verdict.NOT_REQUIRED: _(
            "A sourced rule says that this paper was not needed on that day, or a person decided so with evidence."
        ),
        Verdict.CANNOT_TELL: _("Something is not known well enough to say yes or no. The finding says what."),
        Verdict.STRADDLES: _(
            "The days of collecting cross an end or a gap of the paper: some are inside, some are not."
        ),
        Verdict.OUTSIDE: _("A test of the paper says no: day, place, taxon, method, person or number."),
        Verdict.MISSING: _("No paper of this layer is linked to the specimen, its event, its site or its accession."),
    }
    return [Meaning(Cell(verdict).word, texts[verdict], Cell(verdict)) for verdict in Verdict]


def layer_meanings() -> list[Meaning]:
    """The nine questions, in the order of every strip."""
    texts = {
        Layer.LAND: _("Consent of the owner or occupier of the land, for the day of collecting."),
        Layer.COLLECTING: _("A permit to collect, for the day of collecting."),
        Layer.SPECIES: _("A licence for a protected taxon, for the day of collecting."),
        Layer.PROTECTED_SITE: _("Consent for a protected site, for the day of collecting."),
        Layer.ACCESS: _("Prior informed consent and mutually agreed terms under access-and-benefit-sharing law."),
        Layer.EXPORT: _("A permit to take the material out of the country, for the day on which it left."),
        Layer.IMPORT: _("A permit to bring it in, for the day on which it arrived."),
        Layer.CITES: _("A document of the Washington Convention, for the day on which it crossed the border."),
        Layer.TRANSFER: _("An agreement by which it changed hands, for that day."),
    }
    return [Meaning(str(LAYER_NAMES[layer]), texts[layer], code=LAYER_CODES[layer]) for layer in Layer]


def tests_with_codes() -> list[tuple[str, Sequence[CodeMeaning]]]:
    """The finding codes by the test that they belong to."""
    found: list[tuple[str, Sequence[CodeMeaning]]] = []
    for test in Test:
        codes = [code for code in CODES if code and advice_of(code).test is test]
        found.append((str(TEST_NAMES[test]), [_meaning(code) for code in codes]))
    return found


def answer_of(code: str) -> tuple[str, str]:
    """What a finding answers, in words, and the style of these: "" where no paper stood to be tested."""
    if lacks_paper(code):
        return Cell(Verdict.MISSING).word.lower(), ""
    if is_remark(code):
        return _("yes, with a remark"), "yes"
    return (_("no"), "no") if says_no(code) else (_("cannot tell"), "unk")


def _meaning(code: str) -> CodeMeaning:
    answer, style = answer_of(code)
    measure, against = _MEASURES.get(unit_of(code), ("", ""))
    sentence = TEMPLATES[code].format_map({**_EXAMPLE, "measure": measure, "against": against})
    return CodeMeaning(code, spoken(sentence), answer, style, str(advice_of(code).settle))
