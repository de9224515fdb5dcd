"""Every word that is shown has an explanation, and the facts of examples are written as people write them."""

from __future__ import annotations

from pathlib import Path

import pytest

from governance.engine.tables import CODES, Layer, Verdict
from governance.engine.uses import Answer
from governance.guide.help import facts, kept, use_facts
from governance.guide.help.finding_texts import FINDINGS
from governance.guide.help.other_texts import ANSWERS, LAYERS, VERDICTS

CONTRACT = Path(__file__).parents[4] / "governance" / "docs" / "VERDICTS.md"


def test_every_word_is_explained() -> None:
    assert list(FINDINGS) == [code for code in CODES if code]
    assert list(LAYERS) == list(Layer)
    assert list(VERDICTS) == list(Verdict)
    assert list(ANSWERS) == list(Answer)


def test_neighbours_and_sections_are_there() -> None:
    """A neighbour is another code; the section of the contract that an explanation names speaks of its code."""
    sections = {part[:1]: part for part in CONTRACT.read_text("utf-8").split("\n## ")[1:]}
    for code, text in FINDINGS.items():
        assert text.beside and set(text.beside) <= set(FINDINGS) - {code}, code
        assert f"`{code}`" in sections[text.section], code


def test_every_fact_has_a_name() -> None:
    """Of each example in the file: a term without a name would be an error on its page."""
    for code in FINDINGS:
        for one in (*kept.given(code), *kept.neighbours(code)):
            assert set(facts.every_term(one)) <= set(facts.NAMES)
            assert all(line.text for line in facts.beside(one))
            assert sum(record.is_judged for record in facts.records(one)) == 1


@pytest.mark.parametrize(
    ("term", "values", "text"),
    [
        ("date", ["2023-05-01/2023-05-09"], "1–9 May 2023"),
        ("date", ["2023-06-10?"], "“2023-06-10?”"),
        ("date", [""], "not recorded"),
        ("valid", ["2023-05-01", None], "from 1 May 2023 without end"),
        ("valid", [None, "2023-09-30"], "from a day that is not known to 30 Sep 2023"),
        ("point", [9.9, -84.1], "9.9° N, 84.1° W"),
        ("places", [{"box": [-85, -9, -84, 10]}], "the box from 9° S, 85° W to 10° N, 84° W"),
        ("places", [{"site": "S1"}, {"country": "CR", "error": 9.0}], "site S1; country CR, boundary known to ±9 m"),
        ("closed", [["11-01", "02-29"]], "1 Nov – 29 Feb"),
        ("suspended", [["2023-06-10", ".."]], "from 10 Jun 2023 without end"),
        ("caps", [{"limit": 1, "taxon": "Odonata", "each": True, "per": "year"}],
         "1 individual, Odonata, of each species, in a year"),
        ("rule", ["collecting", "*", "required", "..", ".."], "Collecting, everywhere: required"),
        ("rule", ["collecting", "CR", "not-required", "..", "2023-05-14"],
         "Collecting, CR: not required, until 14 May 2023"),
        ("count", ["300", "500"], "300–500"),
        ("people", ["Ada Lind", "Berg, Carl D."], "Ada Lind; Berg, Carl D."),
    ],
)  # fmt: skip
def test_facts_in_words(term: str, values: list[object], text: str) -> None:
    assert [line.text for line in facts.lines_of([(term, values)])] == [text]


def test_the_desk_says_its_own_sentences() -> None:
    """Of "Only in Sweden" and "for non-commercial purposes": which paper, and what decides (words of the use desk)."""
    country = next(one for one in kept.of_answer("not-allowed") if one["code"] == "country")
    assert use_facts.sentences(country) == ["Paper A limits where it may go, and this country is not among them."]
    assert [line.text for line in use_facts.papers(country)[0].lines] == ["Collecting permit", "Allowed; only in: SE"]
    unread = next(one for one in kept.of_answer("not-known") if one["code"] == "paper-unread")
    assert use_facts.papers(unread)[0].lines[-1].text == "not read yet"


def test_every_example_of_the_desk_can_be_told() -> None:
    for answer in Answer:
        for one in kept.of_answer(answer.code):
            assert len(use_facts.sentences(one)) == len(one["findings"])
            assert all(line.text for line in use_facts.asked(one))
            assert all(line.text for paper in use_facts.papers(one) for line in paper.lines)
