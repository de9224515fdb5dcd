"""Every finding has one plain sentence, with its measure and its paper; none speaks of an offence."""

from __future__ import annotations

import string
from dataclasses import replace
from typing import Any

import pytest

from governance.engine import Finding, HouseRules, assess, explain
from governance.engine.areas import Shapes
from governance.engine.explain import TEMPLATES, Explainer, distance, quantity
from governance.engine.tables import CODES
from tests.factories.engine import a_material, a_paper, some_requirements

WORDS_OF_AN_OFFENCE = ("illegal", "unlawful", "offence", "violat", "guilty", "crime", "breach", "poach", "infring")


def sentences(row: Any, layer: str = "collecting", text: dict[str, str] | None = None, **paper: Any) -> dict[str, str]:
    """The sentence of each finding of one specimen, by code."""
    material = a_material([row])
    if text:
        dates = replace(material.dates, text=[text["date"]] * len(material.dates))
        material = replace(material, dates=dates)
    assessment = assess(material, [a_paper(layers=layer, **paper)], some_requirements(layer))
    explained = Explainer(material, assessment, HouseRules()).one(0, int(assessment.outcome[0, 0]))
    return {finding.code: sentence for finding, sentence in explained}


def test_every_code_has_a_template() -> None:
    assert set(TEMPLATES) == set(CODES)


@pytest.mark.parametrize("code", CODES)
def test_templates_are_one_neutral_sentence(code: str) -> None:
    text = TEMPLATES[code]
    assert text.endswith(".")
    assert not any(word in text.lower() for word in WORDS_OF_AN_OFFENCE)
    names = [name for _, name, _, _ in string.Formatter().parse(text) if name is not None]
    assert all(name.isidentifier() for name in names)


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (1, "days", "1 day"), (0, "days", "0 days"), (31, "days", "31 days"), (1, "individuals", "1 individual"),
        (412.4, "m", "412 m"), (9_999.4, "m", "9999 m"), (10_000, "m", "10.0 km"), (123_456, "m", "123.5 km"),
    ],
)  # fmt: skip
def test_quantities_have_their_unit(value: float, unit: str, words: str) -> None:
    assert quantity(value, unit) == words


def test_small_radius_is_not_told_as_none() -> None:
    """A radius of 0.11 m is known and is not zero."""
    assert distance(0.11) != "0 m"
    assert distance(0.0) == "0 m"


def test_date_is_told_with_its_measure_and_paper() -> None:
    (sentence,) = sentences(
        {"date": "2023-10-03"}, text={"date": "2023-10-03"}, start="2023-05-01", end="2023-09-30", reference="COL-7"
    ).values()
    for words in ("Collected", "2023-10-03", "3 days", "after", "COL-7"):
        assert words in sentence


@pytest.mark.parametrize(
    ("layer", "column", "verb"),
    [
        ("export", "exported", "Exported"),
        ("import", "imported", "Imported"),
        ("transfer", "transferred", "Transferred"),
    ],
)
def test_verb_is_that_of_the_layer(layer: str, column: str, verb: str) -> None:
    (sentence,) = sentences({column: "2023-10-01"}, layer, start="2023-05-01", end="2023-09-30").values()
    assert sentence.startswith(verb)


@pytest.mark.parametrize(
    ("row", "paper", "code", "words"),
    [
        # 28, 29 and 30 September of the five days from 28 September to 2 October.
        ({"date": "2023-09-28/2023-10-02"}, {"end": "2023-09-30"}, "straddles", "3 of 5 days were inside"),
        ({"count": 3}, {"caps": [2]}, "cap-possible", "Up to 3 individuals"),
        ({"count": 3}, {"caps": [2]}, "cap-possible", "its limit is 2 individuals."),
        ({"count": 3}, {"caps": [1]}, "cap-possible", "its limit is 1 individual."),
    ],
)
def test_what_a_number_is_held_against_is_told_with_its_unit(
    row: dict[str, Any], paper: dict[str, Any], code: str, words: str
) -> None:
    assert words in sentences(row, start="2023-05-01", **paper)[code]


def test_side_of_an_edge_is_told() -> None:
    """104 m inside, and 104 m outside, of the box that begins at 10 E (G052 of the published check values)."""
    for longitude, side in ((10.001, "inside"), (9.999, "outside")):
        found = sentences({"place": (longitude, 20.5, 150.0)}, places=["box 10 20 11 21"])
        assert side in found["area-edge"]
        assert "104 m" in found["area-edge"]
        assert "150 m" in found["area-edge"]


def test_error_of_the_boundary_is_told_where_it_decides() -> None:
    """4 m of radius and 374 m from the edge: without the outline's 5 km the sentence makes no sense."""
    found = sentences({"place": (10.001, 20.5, 4.0)}, places=["error 5000 box 10 20 11 21"])
    assert "4 m" in found["area-edge"]
    assert "5000 m" in found["area-edge"] or "5 km" in found["area-edge"]


def test_reason_of_an_unreadable_date_is_told() -> None:
    found = sentences({"date": "illegible"}, text={"date": "03/04/2020"})
    assert "03/04/2020" in found["date-unreadable"]


def test_long_text_is_shortened() -> None:
    """A cell of a million characters makes no sentence of a million."""
    found = sentences({"date": "illegible"}, text={"date": "x" * 1_000_000})
    assert len(found["date-unreadable"]) < 300


def test_braces_in_a_name_are_only_text() -> None:
    found = sentences({"taxon": "Animalia>Odonata"}, taxa=["Diptera"], reference="{measure} {0} {paper.__class__}")
    assert all("{measure} {0} {paper.__class__}" in sentence for sentence in found.values())


def test_covered_without_remark_names_the_paper() -> None:
    assert sentences({}, reference="COL-7") == {"": "COL-7 covers it."}


def test_finding_without_measure_keeps_its_sentence() -> None:
    """An excluded site that is named has no metres."""
    found = sentences({"site": "bog"}, places=["box -180 -90 180 90"], not_places=["site bog"])
    assert set(found) == {"excluded-area"}
    assert "None" not in found["excluded-area"]
    assert Finding("excluded-area").measure is None


@pytest.mark.parametrize(
    ("layer", "row", "paper"),
    [
        ("collecting", {"date": "2023-10-03"}, {"end": "2023-09-30"}),
        ("collecting", {"place": (12.0, 20.5, 30.0)}, {"places": ["error 60 box 10 20 11 21"]}),
        ("collecting", {"taxon": "Animalia>Odonata", "sexes": "male"}, {"taxa": ["Odonata"], "sexes": ["female"]}),
        (
            "collecting",
            {"methods": "light trap", "people": "Olof {Strand}"},
            {"methods": ["hand net"], "people": ["Ada"]},
        ),
        ("export", {"exported": "2023-10-03"}, {"end": "2023-09-30"}),
        ("export", {"exported": ""}, {"reference": "{when} of the paper"}),
        ("transfer", {"transferred": "2023-08-01"}, {}),
        ("cites", {"imported": "2023-10-03"}, {"kind": "cites-import-permit", "end": "2023-09-30"}),
    ],
)
def test_sentences_left_open_and_filled_are_those_of_the_specimen(
    layer: str, row: dict[str, Any], paper: dict[str, Any]
) -> None:
    """What many specimens share is kept with braces; the words of one of them give its sentence to the letter."""
    material = a_material([row])
    assessment = assess(
        material, [a_paper(**{"layers": layer, "start": "2023-05-01", **paper})], some_requirements(layer)
    )
    outcome = int(assessment.outcome[0, 0])
    events, kinds = assessment.outcomes[0].events, assessment.outcomes[0].kinds
    words = {
        **explain.day_words(material.dates, int(events.date_for("collecting-permit")[0])),
        **explain.place_words(material.places, 0, float(Shapes(material.places, HouseRules()).reach_m[0])),
        "name": explain.name_word(material.taxa, int(kinds.taxon[0])),
        "methods": str(row.get("methods", "")), "people": str(row.get("people", "")),
    }  # fmt: skip
    explainer = Explainer(material, assessment, HouseRules())
    filled = [(finding, explain.fill(sentence, words)) for finding, sentence in explainer.left_open(0, outcome)]
    assert filled == Explainer(material, assessment, HouseRules()).one(0, outcome)
    assert len(filled) >= 1 and all(sentence.endswith(".") for _, sentence in filled)


def test_each_event_has_words_of_its_own() -> None:
    """Words are kept for all that share an event, and for none beside them."""
    material = a_material([{"methods": "light trap"}, {"methods": "pitfall"}])
    assessment = assess(material, [a_paper(methods=["hand net"])], some_requirements("collecting"))
    explainer = Explainer(material, assessment, HouseRules())
    told = [explainer.one(0, int(outcome))[0][1] for outcome in assessment.outcome[:, 0]]
    assert [("light trap" in one, "pitfall" in one) for one in told] == [(True, False), (False, True)], told
