"""Terms of use in the exchange file: what is read, what is refused, what goes to the register and back.

The kinds of use and the answers are common practice of the trade (no source). Codes of countries: ISO 3166-1.
"""

from __future__ import annotations

import copy
from datetime import date
from typing import Any

import pytest

from accessions.intake.problems import FileProblems
from governance.engine.uses import Said, Use
from governance.papers.columns import version_columns
from governance.papers.exchange import papers_from_value
from governance.papers.lifetimes import moved_start
from governance.papers.models import PaperVersion, TermsReading, UseTerm
from governance.papers.queries.differences import differences
from governance.papers.schema_check import papers_schema
from governance.papers.terms_joined import joined
from governance.papers.terms_of_use import with_silence
from governance.papers.use_columns import terms_value, use_columns
from governance.papers.use_words import cite_words, condition_words
from tests.factories.paper_objects import full_terms, paper_object


def paper(terms: dict[str, Any] | None) -> dict[str, Any]:
    version: dict[str, Any] = {"in_force_from": "2024-05-01"}
    return paper_object(versions=[version | ({} if terms is None else {"terms_of_use": terms})])


def problems(**term: Any) -> list[str]:
    """What is said of a loan abroad that is allowed by a clause, changed as told; the whole text not read."""
    whole = term.pop("whole_text_read", False)
    use = {"use": "loan-abroad", "said": "allowed", "clause": "May be lent."} | term
    use = {key: value for key, value in use.items() if value is not None}
    return refused({"whole_text_read": whole, "uses": [use]})


def refused(terms: dict[str, Any]) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        papers_from_value({"papers": [paper(terms)]}, "papers.json")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("terms", [full_terms(), {"uses": []}, None], ids=["all keys", "no use", "nothing said"])
def test_what_may_be_told(terms: dict[str, Any] | None) -> None:
    assert papers_from_value({"papers": [paper(terms)]}, "papers.json").papers[0].reference == "COL-2024-052"


def test_every_key_of_the_schema_is_in_the_full_terms() -> None:
    """Else the round trip could lose one unseen."""
    known = papers_schema()["$defs"]
    assert full_terms().keys() == known["terms_of_use"]["properties"].keys()
    assert full_terms()["uses"][0].keys() == known["use"]["properties"].keys()


def test_the_words_of_the_schema_are_those_of_the_desk() -> None:
    properties = papers_schema()["$defs"]["use"]["properties"]
    assert properties["use"]["enum"] == [use.code for use in Use]
    assert properties["said"]["enum"] == [said.code for said in Said]


@pytest.mark.parametrize(
    ("term", "place", "words"),
    [
        ({"clause": None}, "uses[0].clause", "Quote it"),
        ({"clause": "  "}, "uses[0].clause", "Quote it"),
        ({"said": "with-duties"}, "uses[0].duties", "Say what must be done"),
        ({"said": "silent", "clause": None}, "uses[0].said", "the whole text was not read"),
        ({"said": "silent", "clause": None, "whole_text_read": True, "amount": "a leg"}, "uses[0].said",
         "conditions are set for a use of which it says nothing"),
        ({"said": "not-allowed", "only_in": ["SE"]}, "uses[0].said", "for a use that is not allowed"),
        ({"only_in": ["SE", "IS"], "not_in": ["IS"]}, "uses[0].not_in", "IS stands in both lists"),
        ({"only_in": ["Sweden"]}, "uses[0].only_in[0]", '"SE"'),
        ({"parts": ["leg, wing"]}, "uses[0].parts[0]", "a comma"),
        ({"not_before": "2027-02-29"}, "uses[0].not_before", "not a day in the calendar"),
        ({"page": 0}, "uses[0].page", "too small"),
        ({"most_specimens": 0}, "uses[0].most_specimens", "too small"),
        ({"use": "lending"}, "uses[0].use", "is not known"),
        ({"said": "maybe"}, "uses[0].said", "is not known"),
        ({"non_commercial_only": "yes"}, "uses[0].non_commercial_only", "true or false"),
        ({"payment": 7}, "uses[0].payment", "is not known"),
    ],
)  # fmt: skip
def test_what_is_refused_is_told_at_its_key(term: dict[str, Any], place: str, words: str) -> None:
    (told,) = problems(**term)
    assert place in told
    assert words in told
    assert 'paper "COL-2024-052"' in told


def test_a_use_is_told_of_once() -> None:
    use = {"use": "imaging", "said": "allowed", "clause": "Images may be made."}
    (told,) = refused({"uses": [use, use]})
    assert "uses[1].use" in told
    assert "uses[0] already" in told


def test_terms_without_uses_are_no_word_for_there_being_none() -> None:
    """An absent list must not be read as: all uses are to be forgotten."""
    (told,) = refused({"ownership": "house"})
    assert '"uses" is missing' in told


@pytest.mark.parametrize("value", [5, "x", [], {}, [5], [[]], [{}], True, None, 1e400, "\0", -1], ids=repr)
@pytest.mark.parametrize("key", [*full_terms()["uses"][0], *(key for key in full_terms() if key != "uses")])
def test_values_of_any_type_are_read_or_told(key: str, value: Any) -> None:
    """Whatever stands in a file: problems in words, never an error of the program."""
    terms = full_terms()
    (terms if key in terms else terms["uses"][0])[key] = value
    try:
        papers_from_value({"papers": [paper(terms)]}, "papers.json")
    except FileProblems as told:
        assert all("terms_of_use" in problem.where for problem in told.problems)


def test_all_problems_come_at_once() -> None:
    terms = {"uses": [{"use": "imaging", "said": "allowed"}, {"use": "teaching", "said": "with-duties"}]}
    told = refused(terms)
    assert len(told) == 3, told
    assert sum("Quote it" in one for one in told) == 2


def test_the_way_to_the_register_and_back() -> None:
    uses = use_columns(full_terms())
    reading = TermsReading(version=PaperVersion(), **uses.reading)
    terms = [UseTerm(use=int(use), **columns) for use, columns in uses.terms.items()]
    assert terms_value(reading, terms) == full_terms()


def test_a_version_that_says_nothing_of_uses_has_no_columns_of_them() -> None:
    (silent,) = version_columns(paper(None))
    (told,) = version_columns(paper({"uses": []}))
    assert silent.uses is None
    assert told.uses is not None
    assert dict(told.uses.terms) == {}


def test_the_rest_is_silent() -> None:
    terms = with_silence({"uses": [{"use": "imaging", "said": "allowed", "clause": "May be made."}]})
    assert [term["use"] for term in terms["uses"]] == [use.code for use in Use]
    assert {term["said"] for term in terms["uses"] if term["use"] != "imaging"} == {"silent"}
    assert next(term for term in terms["uses"] if term["use"] == "imaging")["clause"] == "May be made."


def test_differences_are_told_use_by_use() -> None:
    after = copy.deepcopy(full_terms(reply_days=30))
    after["uses"][1]["said"] = "ask-first"
    found = {one.where: (one.before, one.after) for one in differences(paper(full_terms()), paper(after))}
    assert found == {
        "version from 2024-05-01, reply_days": ("0", "30"),
        "version from 2024-05-01, Sequencing":
            ("Not allowed No genetic work. 4", "Ask the provider first No genetic work. 4"),
    }  # fmt: skip


def test_a_file_that_says_nothing_of_uses_differs_in_nothing() -> None:
    assert differences(paper(full_terms()), paper(None)) == []


def test_a_version_that_goes_is_told_with_its_terms() -> None:
    gone = paper_object(versions=[])
    before = [one.before for one in differences(paper(full_terms()), gone) if one.where.endswith("terms of use")]
    assert len(before) == 1
    assert "Sequencing: Not allowed" in before[0]


DAYS = [date(2024, 1, 1), date(2024, 5, 1), date(2024, 6, 1)]


@pytest.mark.parametrize(
    ("standing", "told", "moved"),
    [
        ([DAYS[1]], [DAYS[2]], (DAYS[1], DAYS[2])),
        ([None], [DAYS[0]], (None, DAYS[0])),
        ([DAYS[0], DAYS[1]], [DAYS[0], DAYS[2]], (DAYS[1], DAYS[2])),
        ([DAYS[0], DAYS[1]], [DAYS[1], DAYS[2]], None),  # one went at the start, another came at the end
        ([DAYS[0]], [DAYS[0], DAYS[1]], None),
        ([DAYS[0], DAYS[1]], [DAYS[2]], None),
        ([DAYS[0]], [DAYS[0]], None),
    ],
)
def test_the_start_of_one_version_was_corrected(standing: list[Any], told: list[Any], moved: Any) -> None:
    assert moved_start(dict.fromkeys(standing), dict.fromkeys(told)) == moved


def _use(code: str, said: str = "silent") -> dict[str, Any]:
    return {"use": code, "said": said}


def test_two_readings_are_joined_use_by_use() -> None:
    """By hand: I changed imaging and teaching, they teaching and disposal, and took exhibition away."""
    base = {"uses": [_use("imaging"), _use("teaching"), _use("disposal"), _use("exhibition")], "note": "old"}
    mine = {"uses": [_use("imaging", "allowed"), _use("teaching", "allowed"), _use("disposal"), _use("exhibition")],
            "note": "mine"}  # fmt: skip
    theirs = {"uses": [_use("imaging"), _use("teaching", "not-allowed"), _use("disposal", "ask-first")], "note": "old",
              "reply_days": 3}  # fmt: skip

    found = joined(base, mine, theirs)

    assert found.value == {
        "uses": [_use("imaging", "allowed"), _use("teaching", "allowed"), _use("disposal", "ask-first")],
        "note": "mine", "reply_days": 3,
    }  # fmt: skip
    assert (found.taken, found.both, found.of_reading) == (("disposal", "exhibition"), ("teaching",), ())


def test_what_both_wrote_of_the_whole_is_told() -> None:
    found = joined({"note": "old"}, {"note": "mine"}, {"note": "theirs"})
    assert (found.value["note"], found.of_reading) == ("mine", ("note",))


def test_conditions_in_words() -> None:
    (columns, *_rest) = use_columns(full_terms()).terms.values()
    assert condition_words(UseTerm(**columns)) == [
        "Only to: Public research institution and Authority",
        "Only in Iceland and Sweden",
        "Not in Norway",
        "Non-commercial only",
        "For identification only",
        "At most 40 specimens in all",
        "Only these parts: leg, wing tip",
        "Not before 1 January 2027",
        "Amount: one leg of each",
        "Duties: Send a copy.",
        "To be checked by a person: Carried by hand.",
        "If a condition is not met: ask the provider first",
    ]


def test_what_only_asks_for_something_has_no_word_for_what_holds_otherwise() -> None:
    assert condition_words(UseTerm(said=int(Said.WITH_DUTIES), duties="Send a copy.")) == ["Duties: Send a copy."]
    assert condition_words(UseTerm(said=int(Said.ALLOWED))) == []


@pytest.mark.parametrize(
    ("term", "words"),
    [
        ({"clause_number": "7(b)", "page": 3}, "clause 7(b), page 3"), ({"page": 3}, "page 3"),
        ({"clause_number": "7"}, "clause 7"), ({}, ""),
    ],
)  # fmt: skip
def test_where_a_clause_stands(term: dict[str, Any], words: str) -> None:
    assert cite_words(UseTerm(**term)) == words
