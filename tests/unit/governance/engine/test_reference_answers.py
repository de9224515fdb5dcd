"""Single questions of the twin: days, seasons, versions, names, people and the cap as a whole."""

from __future__ import annotations

from datetime import date

import pytest

from governance.engine.reference import in_season, joined_over_versions, judge, spans_of
from governance.engine.reference_caps import Taken, cap_as_a_whole
from governance.engine.reference_taxa import Answer, Classification, Fit, Path, Reply, people_reply, reply
from governance.engine.tables import EngineError, Finding, HouseRules, Layer, Verdict
from tests.factories.engine import (
    a_cap,
    a_date,
    a_lineage,
    a_listed_taxon,
    a_material,
    a_paper,
    a_version,
    day,
    some_outlines,
    some_requirements,
)


@pytest.mark.parametrize(
    ("season", "closed", "open_days"),
    [
        ("03-01/08-31", ["2023-03-01", "2023-08-31"], ["2023-02-28", "2024-02-29", "2023-09-01"]),
        ("11-01/02-29", ["2023-02-28", "2024-02-29", "2023-12-31"], ["2023-03-01", "2024-03-01", "2023-10-31"]),
        ("02-29/03-10", ["2024-02-29", "2023-03-01", "2023-03-10"], ["2023-02-28", "2024-02-28", "2024-03-11"]),
        ("02-29/02-29", ["2024-02-29"], ["2023-02-28", "2023-03-01", "2024-02-28", "2024-03-01"]),
    ],
)
def test_closed_seasons_of_section_3(season: str, closed: list[str], open_days: list[str]) -> None:
    """Both ends closed; a start on 02-29 is 03-01 in a common year, an end on it 02-28."""
    (listed,) = a_version(closed=[season]).closed_seasons
    assert [d for d in closed if not in_season(day(d), listed)] == []
    assert [d for d in open_days if in_season(day(d), listed)] == []


def test_a_version_ends_the_day_before_the_next_whatever_its_own_end() -> None:
    paper = a_paper(versions=[{"start": "2023-06-01"}, {"start": "2023-01-01", "end": "2023-12-31"}])
    first, second = spans_of(paper)
    assert date.fromordinal(first.last) == date(2023, 5, 31)
    assert date.fromordinal(second.first) == date(2023, 6, 1)


def test_two_versions_with_one_start_are_an_error() -> None:
    paper = a_paper("COL-7", versions=[{"start": "2023-06-01"}, {"start": "2023-06-01", "end": "2023-12-31"}])
    with pytest.raises(EngineError, match=r"COL-7.*start on one day"):
        judge(a_material([{}]), [paper], some_requirements(), some_outlines(), HouseRules())


def test_a_run_takes_the_first_version_that_refuses() -> None:
    replies = [reply(Answer.YES), reply(Answer.NO, "method"), reply(Answer.NO, "taxon-excluded")]
    assert joined_over_versions(replies, is_run=True) == reply(Answer.NO, "method")


def test_any_other_date_needs_all_versions() -> None:
    yes, no, unknown = reply(Answer.YES), reply(Answer.NO, "method"), reply(Answer.UNKNOWN, "method-mixed")
    vague = Finding("version-vague")
    assert joined_over_versions([yes, yes], is_run=False) == yes
    assert joined_over_versions([no, no], is_run=False) == no
    assert joined_over_versions([yes, no], is_run=False) == Reply(Answer.UNKNOWN, (vague,))
    assert joined_over_versions([yes, unknown], is_run=False) == Reply(Answer.UNKNOWN, (*unknown.findings, vague))
    assert joined_over_versions([unknown, unknown], is_run=False) == unknown


def test_lineages_are_completed_from_the_file() -> None:
    """The species' own rows say nothing of the family; the genus does, and the family says the order."""
    material = a_material(
        [
            {"taxon": "Sympetrum>Sympetrum danae"},
            {"taxon": "Libellulidae>Sympetrum"},
            {"taxon": "Odonata>Libellulidae"},
        ]
    )
    lineage, _ = a_lineage("Odonata>Libellulidae>Sympetrum>Sympetrum danae")
    assert Classification(material.taxa).paths[0] == Path(lineage)


def test_two_parents_leave_the_rank_blank() -> None:
    material = a_material([{"taxon": "Foo>Foo bar"}, {"taxon": "Aidae>Foo"}, {"taxon": "Bidae>Foo"}])
    assert Classification(material.taxa).paths[0].lineage[5] == ""


def test_a_kingdom_on_the_paper_is_not_proved_by_a_path_without_one() -> None:
    """The paper says Plantae and the specimen's own kingdom is blank: it could be the homonym."""
    classification = Classification(a_material([{"taxon": "Muscicapidae>Oenanthe"}]).taxa)
    assert classification.fit(classification.paths[0], a_listed_taxon("Oenanthe (Plantae)")) == Fit.MAYBE


@pytest.mark.parametrize(
    ("written", "answer"),
    [
        ("A. B. Lind", Answer.YES),
        ("a.b. LIND", Answer.YES),
        ("Lind, A. B.", Answer.YES),
        ("A. Lind", Answer.UNKNOWN),
        ("Anna Britta Lind", Answer.UNKNOWN),
        ("A. C. Lind", Answer.NO),
        ("A. B. Lund", Answer.NO),
    ],
)
def test_names_of_people(written: str, answer: Answer) -> None:
    """Section 6: equal after folding case, spaces, full stops and order; same family and fitting initials: maybe."""
    assert people_reply([written], a_version(people=["A.B. Lind"]), "").answer == answer


def taken(number: int, taxon: str, low: int, high: int | None = None) -> Taken:
    first, last, *_ = a_date("2023-05-01")
    lineage, unranked = a_lineage(taxon)
    path, year = Path(lineage, unranked), 2023.0
    return Taken(number, path, True, True, low, high or low, False, (first, last), (year, year))


@pytest.mark.parametrize(
    ("amounts", "expected"),
    [
        ({"Sympetrum>Sympetrum danae": 7, "Sympetrum>": 30}, ("possible", 7, 37)),
        ({"Sympetrum>Sympetrum danae": 12}, ("breached", 12, 12)),
        ({"Sympetrum>Sympetrum danae": 4, "Sympetrum>": 5}, ("safe", 4, 9)),
    ],
)
def test_the_cap_as_a_whole(amounts: dict[str, int], expected: tuple[str, int, int]) -> None:
    """Section 6: cap 10; 7 named and 30 "same genus" possible, 7 to 37; 12 named breached; 4 and 5 safe."""
    rows = [{"taxon": f"Odonata>Libellulidae>{taxon}"} for taxon in amounts]
    linked = [taken(k, f"Odonata>Libellulidae>{t}", n) for k, (t, n) in enumerate(amounts.items())]
    classification = Classification(a_material(rows).taxa)
    assert cap_as_a_whole(linked, a_cap("10 of Sympetrum danae"), classification) == expected


def test_nothing_to_judge() -> None:
    assert judge(a_material([]), [a_paper()], some_requirements(), some_outlines(), HouseRules()) == []


def test_layers_come_in_the_order_asked_for() -> None:
    """One paper that serves two layers is judged in each; a layer without a paper is missing."""
    (verdicts,) = judge(
        a_material([{}]),
        [a_paper(layers="land collecting")],
        some_requirements("land collecting export"),
        some_outlines(),
        HouseRules(),
    )
    assert {layer: v.verdict for layer, v in verdicts.items()} == {
        Layer.LAND: Verdict.COVERED,
        Layer.COLLECTING: Verdict.COVERED,
        Layer.EXPORT: Verdict.MISSING,
    }
