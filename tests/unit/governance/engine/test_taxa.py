"""The name of a specimen against the names on a paper. Rules: VERDICTS, section 5; record 1 where it is silent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from governance.engine import HouseRules, Outlines
from governance.engine.reference import judge
from tests.factories import zoo
from tests.factories.engine import a_material, a_paper, some_requirements
from tests.unit.governance.engine.judging import judged, told

FILE = (
    "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum striolatum",
    "Animalia>Odonata>Cordulegastridae>Cordulegaster>Cordulegaster boltonii",
    "Animalia>Diptera>Syrphidae>Eristalis>Eristalis tenax",
)
"""Names that the file holds beside the one asked about, so that listed names are placed."""

DRAGONFLY, FLY = FILE[0], FILE[2]


def found(name: str, taxa: Sequence[str] = (), not_taxa: Sequence[str] = (), **row: Any) -> tuple[str, ...]:
    rows = [{"taxon": name, **row}, *({"taxon": other} for other in FILE)]
    return told(judged(rows, [a_paper(taxa=taxa, not_taxa=not_taxa)])[0])


@pytest.mark.parametrize(
    ("name", "taxa", "not_taxa", "expected"),
    [
        (DRAGONFLY, [], [], ("covered",)),
        (DRAGONFLY, ["Odonata"], [], ("covered",)),
        (DRAGONFLY, ["ODONATA"], [], ("covered",)),
        (DRAGONFLY, ["Sympetrum"], [], ("covered",)),
        (DRAGONFLY, ["Sympetrum striolatum"], [], ("covered",)),
        (FLY, ["Odonata"], [], ("outside", "taxon-not-included")),
        (DRAGONFLY, ["Odonata"], ["Libellulidae"], ("outside", "taxon-excluded")),
        (DRAGONFLY, ["Sympetrum striolatum"], ["Odonata"], ("outside", "taxon-excluded")),
        (DRAGONFLY, [], ["Odonata"], ("outside", "taxon-excluded")),
        (FLY, [], ["Odonata"], ("covered",)),
        ("Animalia>Odonata", ["Libellulidae"], [], ("cannot-tell", "taxon-broad")),
        ("Animalia>Odonata", ["Odonata"], ["Libellulidae"], ("cannot-tell", "taxon-broad")),
        ("Animalia", ["Odonata"], [], ("cannot-tell", "taxon-broad")),
        ("Animalia>Odonata>Cordulegastridae", ["Libellulidae"], [], ("outside", "taxon-not-included")),
        ("Animalia>Odonata>Aeshnidae", ["Sympetrum"], [], ("outside", "taxon-not-included")),
        ("", ["Odonata"], [], ("cannot-tell", "taxon-unresolved")),
        ("", [], ["Odonata"], ("cannot-tell", "taxon-unresolved")),
        ("", [], [], ("covered",)),
    ],
)
def test_listed_names(name: str, taxa: list[str], not_taxa: list[str], expected: tuple[str, ...]) -> None:
    assert found(name, taxa, not_taxa) == expected


def test_kingdom_on_a_paper() -> None:
    """The highest rank has nothing above it."""
    assert found(DRAGONFLY, ["Animalia"]) == ("covered",)
    assert found("Plantae>Apiales>Apiaceae>Oenanthe", ["Animalia"]) == ("outside", "taxon-not-included")
    assert found("order:Odonatella", ["Animalia"]) == ("cannot-tell", "taxon-broad")


@pytest.mark.parametrize(
    ("name", "taxa", "expected"),
    [
        (
            DRAGONFLY,
            ["Aeshnidae"],
            ("outside", "taxon-not-included"),
        ),  # a family by its ending, and the row has another
        ("Animalia>Odonata", ["Aeshnidae"], ("cannot-tell", "taxon-unresolved")),
        (DRAGONFLY, ["Aeshna cyanea"], ("outside", "taxon-not-included")),  # another genus
        ("Animalia>Odonata>Libellulidae>Sympetrum", ["Sympetrum danae"], ("cannot-tell", "taxon-unresolved")),
        ("Animalia>Odonata>Libellulidae", ["Aeshna cyanea"], ("cannot-tell", "taxon-unresolved")),
        (DRAGONFLY, ["Anisoptera"], ("cannot-tell", "taxon-unresolved")),  # of no known rank
        (DRAGONFLY, ["Anisoptera", "Odonata"], ("covered",)),
    ],
)
def test_names_that_the_file_does_not_hold(name: str, taxa: list[str], expected: tuple[str, ...]) -> None:
    assert found(name, taxa) == expected


BIRD, PLANT, EITHER = zoo.LINEAGES["a bird"], zoo.LINEAGES["a plant of the same name"], zoo.LINEAGES["the name alone"]


@pytest.mark.parametrize(
    ("name", "taxa", "expected"),
    [
        (BIRD, ["Oenanthe"], ("cannot-tell", "taxon-ambiguous")),
        (PLANT, ["Oenanthe"], ("cannot-tell", "taxon-ambiguous")),
        (EITHER, ["Oenanthe"], ("cannot-tell", "taxon-ambiguous")),
        (BIRD, ["Oenanthe (Animalia)"], ("covered",)),
        (PLANT, ["Oenanthe (Animalia)"], ("outside", "taxon-not-included")),
        (DRAGONFLY, ["Oenanthe"], ("outside", "taxon-not-included")),
    ],
)
def test_name_of_two_kingdoms(name: str, taxa: list[str], expected: tuple[str, ...]) -> None:
    """Oenanthe: a genus of birds and one of plants."""
    rows = [{"taxon": text} for text in (name, BIRD, PLANT, *FILE)]
    assert told(judged(rows, [a_paper(taxa=taxa)])[0]) == expected


@pytest.mark.parametrize(
    ("taxa", "expected"),
    [(["Odonata"], ("covered",)), (["Sympetrum striolatum"], ("cannot-tell", "taxon-qualified")),
     (["Diptera"], ("outside", "taxon-not-included"))],
)  # fmt: skip
def test_qualified_name(taxa: list[str], expected: tuple[str, ...]) -> None:
    """Sympetrum cf. striolatum: the lowest name is dropped; the rest may decide."""
    assert found("Animalia>Odonata>Libellulidae>Sympetrum", taxa, qualified=True) == expected


def test_higher_names_come_from_the_whole_file() -> None:
    """A species without its family, which another row of the file gives."""
    alone = told(judged([{"taxon": "Sympetrum striolatum"}], [a_paper(taxa=["Libellulidae"])])[0])
    assert alone == ("cannot-tell", "taxon-unresolved")
    assert found("genus:Sympetrum>Sympetrum striolatum", ["Libellulidae"]) == ("covered",)


@pytest.mark.parametrize("taxa", [["Animalia"], ["Odonata"], ["Libellulidae"], ["Oenanthe"], ["Sympetrum striolatum"],
                                  ["Anisoptera"], ["Aeshnidae"], ["Oenanthe (Plantae)"]], ids=str)  # fmt: skip
@pytest.mark.parametrize("excluded", [False, True], ids=["included", "excluded"])
def test_zoo_agrees_with_the_twin(taxa: list[str], excluded: bool) -> None:
    rows = [{"taxon": text} for text in zoo.LINEAGES.values()]
    papers = [a_paper(not_taxa=taxa) if excluded else a_paper(taxa=taxa)]
    slow = judge(a_material(rows), papers, some_requirements(), Outlines(), HouseRules())
    for name, mine, theirs in zip(zoo.LINEAGES, judged(rows, papers), slow, strict=True):
        assert told(mine) == told(next(iter(theirs.values()))), name
