"""What people write line by line: numbers by taxon, and the confidential items of a certificate. By hand."""

import pytest

from governance.reports.composing.declared import (
    confidential_items,
    numbers_by_taxon,
    problems_of_texts,
    taxon_key,
)
from governance.reports.forms.texts import TextsForm


def test_numbers_are_read_and_blank_lines_passed_over():
    read = numbers_by_taxon("Unio crassus: 3\n\n  Astacus astacus (Linnaeus, 1758) : 0\nPerca\t12\n")
    assert dict(read.numbers) == {"unio crassus": 3, "astacus astacus": 0, "perca": 12}
    assert read.names["astacus astacus"] == "Astacus astacus (Linnaeus, 1758)"
    assert read.of(taxon_key("UNIO  CRASSUS")) == 3
    assert read.of("salmo") is None


@pytest.mark.parametrize("text", ["", "\n \n"])
def test_nothing_written_is_nothing_told(text):
    assert (numbers_by_taxon(text).numbers, numbers_by_taxon(text).problems) == ({}, ())


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("twelve frogs", "no colon"),
        (": 12", "no taxon"),
        ("Unio crassus: many", "“many” is no whole number"),
        ("Unio crassus: -1", "“-1” is no whole number"),
        ("Unio crassus: 1.5", "“1.5” is no whole number"),
        ("Unio crassus: ٣", "is no whole number"),
        ("Unio crassus:", "“” is no whole number"),
        ("Unio crassus: 1000000000001", "larger than 1,000,000,000,000"),
        ("Rana: 1\nrana: 2", "stands in an earlier line"),
    ],
)
def test_a_line_that_cannot_be_read_is_told_with_its_place(line, words):
    read = numbers_by_taxon(f"Perca: 1\n{line}")
    assert len(read.problems) == 1
    assert words in read.problems[0]
    assert f"Line {line.count(chr(10)) + 2}, “{line.splitlines()[-1]}”" in read.problems[0]
    assert read.numbers == {}, "half a text counts nothing"


def test_all_lines_are_told_at_once():
    assert len(numbers_by_taxon("one\ntwo\nPerca: 3").problems) == 2


def test_confidential_items_have_a_number_and_a_reason():
    assert dict(confidential_items("6: trade secret\n9 : asked by the provider").reasons) == {
        6: "trade secret", 9: "asked by the provider",
    }  # fmt: skip


@pytest.mark.parametrize("line", ["10: why", "0: why", "six: why", "6:", "6", "6: a\n6: b"])
def test_a_confidential_item_is_one_of_the_nine_once_with_a_reason(line):
    read = confidential_items(line)
    assert read.reasons == {}
    assert len(read.problems) == 1 and "item (1 to 9" in read.problems[0]


def test_problems_of_the_texts_of_a_report_for_forms():
    texts = {"released": "Perca: 1", "salvaged": "x", "findings": "x"}
    assert list(problems_of_texts("agency", texts)) == ["salvaged"]
    assert list(problems_of_texts("certificate", {"confidential": "x"})) == ["confidential"]
    assert problems_of_texts("diligence", {"confidential": "item 2, since it is a secret"}) == {}


def test_a_form_refuses_lines_that_cannot_be_read() -> None:
    """Each at its own box; a blank text and readable lines pass; the certificate reads "confidential" by line."""
    form = TextsForm({"released": "Unio crassus: 3\ntwelve frogs", "salvaged": "Unio crassus: 1"}, kind="agency")
    assert list(form.errors) == ["released"] and "twelve frogs" in str(form.errors["released"])
    assert TextsForm({"released": ""}, kind="agency").is_valid()
    assert list(TextsForm({"confidential": "10: why"}, kind="certificate").errors) == ["confidential"]
    assert TextsForm({"confidential": "10: why"}, kind="diligence").is_valid(), "words, not lines"
