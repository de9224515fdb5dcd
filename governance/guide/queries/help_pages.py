"""What the help pages show: the index, a finding, a layer, a verdict, an answer of the use desk.

The words are those of the rooms that show them: captions and what settles a finding of ``verdicts.settling``, names of
verdicts, layers and answers, sentences of the engine. Examples come from ``governance.guide.help``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from accessions.names.folding import folded
from governance.engine.tables import CODES, Finding, Layer, Verdict
from governance.engine.uses import Answer
from governance.guide.help import facts, kept, use_facts
from governance.guide.help.finding_texts import FINDINGS, Explanation
from governance.guide.help.other_texts import ANSWERS, LAYERS, VERDICTS, LayerText, WordText
from governance.papers.models import LAYER_NAMES
from governance.usedesk.queries.shown import Sign
from governance.verdicts.cells import Cell
from governance.verdicts.queries.filters import Filters, standings
from governance.verdicts.queries.kept_counts import kept_count
from governance.verdicts.queries.layer_cards import ShownFinding
from governance.verdicts.queries.vocabulary import answer_of
from governance.verdicts.reason_words import reason_words
from governance.verdicts.settling import TEST_NAMES, Advice, Test, advice_of
from governance.verdicts.spoken import spoken


@dataclass(frozen=True)
class Topic:
    """A line of the index: a code, layer, verdict or answer, with its page. style: class of the answer's word."""

    code: str
    name: str
    text: str
    address: str
    answer: str = ""
    style: str = ""
    cell: Cell | None = None
    sign: Sign | None = None

    def has(self, words: str) -> bool:
        """Whether all of the words occur in it; in whatever letters and accents."""
        own = folded(f"{self.code} {self.name} {self.text} {self.answer}")
        return all(word in own for word in folded(words).split())


@dataclass(frozen=True)
class TopicGroup:
    """Lines of the index that belong together."""

    name: str
    topics: Sequence[Topic]


def topics(words: str = "") -> list[TopicGroup]:
    """The index: verdicts, layers, findings by test, answers of the use desk; narrowed to words that occur in them."""
    groups = [
        TopicGroup(_("Verdicts"), [_verdict_topic(verdict) for verdict in Verdict]),
        TopicGroup(_("Layers"), [_layer_topic(layer) for layer in Layer]),
        *(TopicGroup(_finding_group(test), [finding_topic(code) for code in _codes_of(test)]) for test in Test),
        TopicGroup(_("Answers of the use desk"), [_answer_topic(answer) for answer in Answer]),
    ]
    narrowed = [TopicGroup(group.name, [one for one in group.topics if one.has(words)]) for group in groups]
    return [group for group in narrowed if group.topics]


def _finding_group(test: Test) -> str:
    if test is Test.PAPER:
        return _("Findings: required or not, and is there a paper")
    return _("Findings: %(test)s") % {"test": str(TEST_NAMES[test]).lower()}


def _codes_of(test: Test) -> list[str]:
    return [code for code in CODES if code and advice_of(code).test is test]


def finding_topic(code: str) -> Topic:
    """A finding as a line."""
    answer, style = answer_of(code)
    address = reverse("guide:help-finding", args=[code])
    return Topic(code, reason_words(code), str(FINDINGS[code].given), address, answer, style)


def _verdict_topic(verdict: Verdict) -> Topic:
    cell = Cell(verdict)
    address = reverse("guide:help-verdict", args=[verdict.code])
    return Topic(verdict.code, cell.word, str(VERDICTS[verdict].says), address, cell=cell)


def _layer_topic(layer: Layer) -> Topic:
    address = reverse("guide:help-layer", args=[layer.code])
    return Topic(layer.code, str(LAYER_NAMES[layer]), str(LAYERS[layer].question), address)


def _answer_topic(answer: Answer) -> Topic:
    sign = Sign(answer)
    address = reverse("guide:help-answer", args=[answer.code])
    return Topic(answer.code, str(sign.word), str(ANSWERS[answer].says), address, sign=sign)


def published(example: kept.Kept) -> str:
    """The published source of an example; common practice is none."""
    source = str(example["source"])
    return "" if source.startswith("common practice") else source


@dataclass(frozen=True)
class ShownExample:
    """A worked example, as it is shown: record, papers, verdict, reasons."""

    kept: kept.Kept

    @property
    def case(self) -> str:
        return str(self.kept["case"])

    @property
    def rule(self) -> str:
        return str(self.kept["rule"])

    @property
    def section(self) -> str:
        return str(self.kept["section"])

    @property
    def source(self) -> str:
        """Where the expected answer is published, "" where it is the contract's own."""
        return published(self.kept)

    @cached_property
    def cell(self) -> Cell:
        verdict = Verdict[self.kept["verdict"].upper().replace("-", "_")]
        return Cell(verdict, Layer.from_code(self.kept["layer"]))

    @cached_property
    def records(self) -> Sequence[facts.RecordFacts]:
        return facts.records(self.kept)

    @cached_property
    def papers(self) -> Sequence[facts.PaperFacts]:
        return facts.papers(self.kept)

    @cached_property
    def beside(self) -> Sequence[facts.Line]:
        return facts.beside(self.kept)

    @cached_property
    def findings(self) -> Sequence[ShownFinding]:
        return [
            ShownFinding(Finding(row["code"], row["measure"], row["against"], row["unit"]), spoken(row["sentence"]))
            for row in self.kept["findings"]
        ]


@dataclass(frozen=True)
class Standing:
    """How many specimens stand so now, and the list of them."""

    count: int
    address: str


def _standing(name: str, filters: Filters, query: str) -> Standing:
    """One query; in a large register one more, and the count is kept until something stands otherwise."""
    count = kept_count(f"help:{name}", lambda: standings(filters).count())
    return Standing(count, f"{reverse('verdicts:specimens')}?{query}")


@dataclass(frozen=True)
class FindingPage:
    """The page of a finding."""

    topic: Topic
    text: Explanation
    given: Sequence[ShownExample]
    neighbours: Sequence[ShownExample]
    standing: Standing

    @property
    def advice(self) -> Advice:
        return advice_of(self.topic.code)

    @property
    def test(self) -> Promise:
        return TEST_NAMES[self.advice.test]

    @property
    def is_of_a_test(self) -> bool:
        """Whether a test of a paper gives it; else the layer has no paper that could be tested."""
        return self.advice.test is not Test.PAPER

    @property
    def beside(self) -> Sequence[Topic]:
        """The findings that it is told apart from."""
        return [finding_topic(code) for code in self.text.beside]


def finding_page(code: str) -> FindingPage:
    """The page of a code of ``FINDINGS``."""
    return FindingPage(
        finding_topic(code), FINDINGS[code], _shown(kept.given(code)), _shown(kept.neighbours(code)),
        _standing(f"code:{code}", Filters(code=code), f"code={code}"),
    )  # fmt: skip


@dataclass(frozen=True)
class WordPage:
    """The page of a verdict or of a layer."""

    topic: Topic
    text: Any
    examples: Sequence[ShownExample]
    standing: Standing
    others: Sequence[Topic]


def layer_page(layer: Layer) -> WordPage:
    """The page of a layer."""
    text: LayerText = LAYERS[layer]
    standing = _standing(f"layer:{layer.code}", Filters(layers=(int(layer),)), f"layer={layer.code}")
    others = [_layer_topic(one) for one in Layer]
    return WordPage(_layer_topic(layer), text, _shown(kept.of_layer(layer.code)), standing, others)


def verdict_page(verdict: Verdict) -> WordPage:
    """The page of a verdict."""
    text: WordText = VERDICTS[verdict]
    standing = _standing(f"verdict:{verdict.code}", Filters(verdicts=(int(verdict),)), f"verdict={verdict.code}")
    others = [_verdict_topic(one) for one in Verdict]
    return WordPage(_verdict_topic(verdict), text, _shown(kept.of_verdict(verdict.code)), standing, others)


def _shown(examples: Iterable[kept.Kept]) -> list[ShownExample]:
    return [ShownExample(one) for one in examples]


@dataclass(frozen=True)
class ShownUse:
    """A worked example of the use desk. code: the reason that it is shown for. word: on screens."""

    kept: kept.Kept

    @property
    def code(self) -> str:
        return str(self.kept["code"])

    @cached_property
    def sign(self) -> Sign:
        return _sign(self.kept["word"])

    @cached_property
    def read_as(self) -> Sign | None:
        """How the house reads silence, where that is the answer."""
        return _sign(self.kept["answer"]) if self.kept["answer"] != self.kept["word"] else None

    @property
    def source(self) -> str:
        return published(self.kept)

    @cached_property
    def sentences(self) -> Sequence[str]:
        return use_facts.sentences(self.kept)

    @cached_property
    def asked(self) -> Sequence[facts.Line]:
        return use_facts.asked(self.kept)

    @cached_property
    def papers(self) -> Sequence[use_facts.PaperSays]:
        return use_facts.papers(self.kept)


def _sign(code: str) -> Sign:
    return Sign(Answer[code.upper().replace("-", "_")])


@dataclass(frozen=True)
class AnswerPage:
    """The page of an answer of the use desk: the reasons that give it, each with an example."""

    topic: Topic
    text: WordText
    examples: Sequence[ShownUse]
    others: Sequence[Topic]


def answer_page(answer: Answer) -> AnswerPage:
    """The page of an answer."""
    examples = [ShownUse(one) for one in kept.of_answer(answer.code)]
    return AnswerPage(_answer_topic(answer), ANSWERS[answer], examples, [_answer_topic(one) for one in Answer])


def of_code(words: Any, code: str) -> Any | None:
    """The member of an enum with a code, None if there is none."""
    return next((one for one in words if one.code == code), None)
