"""Layers, verdicts, answers of the use desk and their reasons in plain words.

Sources: VERDICTS.md, sections 1, 2 and 7; of uses, the trade (common practice, no source) and the Nagoya Protocol as
``governance.engine.uses`` names it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from governance.engine.tables import Layer, Verdict
from governance.engine.uses import Answer


@dataclass(frozen=True)
class LayerText:
    """question: what the layer asks. papers: which papers answer it. day: the day that is tested."""

    question: Promise
    papers: Promise
    day: Promise


_COLLECTED = _("The collecting date.")

LAYERS: Mapping[Layer, LayerText] = {
    Layer.LAND: LayerText(
        _("Did whoever owns or occupies the land agree?"),
        _("Consents of landowners, occupiers and communities."),
        _COLLECTED,
    ),
    Layer.COLLECTING: LayerText(
        _("Was collecting as such permitted?"),
        _("Collecting and research permits, salvage permits, exemptions."),
        _COLLECTED,
    ),
    Layer.SPECIES: LayerText(
        _("Was it permitted to take a protected taxon?"),
        _("Species licences."),
        _COLLECTED,
    ),
    Layer.PROTECTED_SITE: LayerText(
        _("Was it permitted to collect in a protected site?"),
        _("Consents of those who manage the site."),
        _COLLECTED,
    ),
    Layer.ACCESS: LayerText(
        _("Did the providing country agree that its genetic resources are used, and on which terms?"),
        _("Prior informed consent, mutually agreed terms, access permits, certificates of compliance."),
        _COLLECTED,
    ),
    Layer.EXPORT: LayerText(
        _("Was the material permitted to leave the country?"),
        _("Export permits, and certificates that a border asked for."),
        _("The day on which it left. The collecting date never stands in for it."),
    ),
    Layer.IMPORT: LayerText(
        _("Was the material permitted to come in?"),
        _("Import permits, and certificates that a border asked for."),
        _("The day on which it arrived. The collecting date never stands in for it."),
    ),
    Layer.CITES: LayerText(
        _("Did material of a species listed by the Washington Convention cross the border with its document?"),
        _("CITES export and import permits, re-export certificates, certificates of origin, exchange labels."),
        _("The day on which it left; for a CITES import permit, the day on which it arrived."),
    ),
    Layer.TRANSFER: LayerText(
        _("By what did the material become this collection’s, or come into its care?"),
        _("Transfer agreements, deeds, gifts, bequests, proofs of purchase, exchange agreements."),
        _("The day on which it changed hands. The collecting date never stands in for it."),
    ),
}


@dataclass(frozen=True)
class WordText:
    """says: what the word means. given, not_given: when it is the answer, and when another one is. then: what next."""

    says: Promise
    given: Promise
    not_given: Promise
    then: Promise


VERDICTS: Mapping[Verdict, WordText] = {
    Verdict.COVERED: WordText(
        _("A paper on file covers the specimen on this layer."),
        _("Every test of one paper says yes: its days, its area, its taxa, methods, people, sex and stage, and its "
          "numbers, where it limits them. Several papers may cover it together, in time or in area, never in both."),
        _("One answer that is not known is enough to make it “cannot tell”: nothing is covered on a guess."),
        _("Nothing is open. A remark names a weakness that the answer stands on."),
    ),
    Verdict.NOT_REQUIRED: WordText(
        _("No paper was needed on this layer."),
        _("A sourced rule of the country sheet says so for the day, or a person decided so for the accession or the "
          "part, with evidence."),
        _("Silence is no such rule: where no country sheet speaks of the layer, it cannot be told. Where a paper "
          "covers the specimen all the same, it is covered."),
        _("Nothing is open. The rule or the decision stands beside the layer, with its source."),
    ),
    Verdict.CANNOT_TELL: WordText(
        _("Something is not known well enough to say yes or no, and the finding says what."),
        _("No test of the paper that came nearest says no, and at least one cannot be answered: a vague date, a place "
          "at the edge, a name that is too high, a paper that nobody has read. Or it is not known whether the layer "
          "was required."),
        _("Where one test says no, the rest does not matter: the specimen is outside the terms."),
        _("It is an answer, and no mistake. A better record, or the paper itself, would settle it."),
    ),
    Verdict.STRADDLES: WordText(
        _("The days of collecting lie partly inside and partly outside the days of the paper."),
        _("The only no comes from a run of days that crosses an end or a gap of the paper."),
        _("A single day is inside or outside. A date that is not known to the day cannot be told."),
        _("Find the day on which the specimen was taken, or a paper for the days outside."),
    ),
    Verdict.OUTSIDE: WordText(
        _("At least one test of the paper that came nearest says no."),
        _("The day, the place, the taxon, the method, the people, the sex or stage, or the number lies outside what "
          "the paper allows, by more than all that is not known."),
        _("Where the no is not certain, it cannot be told. It says what the records and the papers show when they are "
          "compared, and nothing about why."),
        _("Check the record first; if it is right, look for another paper, or ask whoever issued it."),
    ),
    Verdict.MISSING: WordText(
        _("The layer is required and no paper of it is linked."),
        _("Nothing is linked to the specimen, its event, its site, or its accession or part for this layer. The state "
          "of the search is said beside it."),
        _("A paper that is linked but was not read makes it “cannot tell”. A paper linked to one part does not speak "
          "for the rest of an accession."),
        _("Link the paper, or record a search and what it came to."),
    ),
}  # fmt: skip

ANSWERS: Mapping[Answer, WordText] = {
    Answer.ALLOWED: WordText(
        _("The papers allow the use, and nothing else stands against it."),
        _("Every paper that speaks of the use allows it as it is asked, the verdicts on the material are good enough "
          "for it, and the way there needs nothing more. Silence counts as allowed only where the house decided so."),
        _("One stricter paper decides for all: the answer is that of the strictest."),
        _("Approve, and record what becomes of it."),
    ),
    Answer.WITH_DUTIES: WordText(
        _("The papers allow the use, and ask for something in return."),
        _("A clause names a duty, the provider agreed for this request, or a paper must travel with the material."),
        _("A condition about who receives or where it goes is no duty: it is met or not met."),
        _("Approve, print the terms sheet, and see to the duties."),
    ),
    Answer.ASK_FIRST: WordText(
        _("The provider, or an authority, is asked before the material is used."),
        _("A clause says so, the paper no longer holds, title lies with somebody else and the paper is silent, or a "
          "permit of the way there is still needed."),
        _("Where the provider has replied to this request, the reply stands in for the clause."),
        _("Write the question, send it, and record the reply."),
    ),
    Answer.SILENT: WordText(
        _("The papers were read, and say nothing of this use."),
        _("No clause speaks of it, or no paper is on file, and the house has not decided how silence is read."),
        _("Silence is not a yes. A paper that nobody has read for this use is not silent: it is not known."),
        _("A person decides, or the house enters a rule on how silence is read."),
    ),
    Answer.NOT_KNOWN: WordText(
        _("Something that the answer rests on is not known."),
        _("A paper was not read for this use, the request does not tell what a condition asks about, the verdict on "
          "the material needs a person, or nobody has looked at the papers of the way there."),
        _("It is stricter than silence, since what is not read may forbid."),
        _("Read the paper, complete the request, or settle the verdict; the reason says which."),
    ),
    Answer.NOT_ALLOWED: WordText(
        _("A paper, or the house, does not allow the use as it is asked."),
        _("A clause forbids it, a condition is certainly not met, an embargo is not over, the provider refused, or the "
          "house reads silence so."),
        _("Where it is not known whether a condition is met, the answer is “not known”."),
        _("Say so, with the clause; or ask for something that the paper allows."),
    ),
}  # fmt: skip
