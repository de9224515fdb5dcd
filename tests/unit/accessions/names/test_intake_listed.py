"""Lists of taxa: each name below its higher names, or below its parents in the list."""

from __future__ import annotations

import pytest

from accessions.names.listed import ListedTaxon, listed_taxa, path_of_listed
from accessions.names.placing import lineage_of, path_of, read_written


def lineages(header: list[str], *rows: list[str]) -> list[str]:
    taxa = listed_taxa(header, rows)
    by_name = {taxon.name.casefold(): taxon for taxon in taxa}
    return [lineage_of(path_of_listed(taxon, by_name)) for taxon in taxa]


def test_by_parents() -> None:
    found = lineages(
        ["name", "rank", "parent"],
        ["Odonata", "order", ""],
        ["Calopteryx splendens (Harris, 1780)", "species", "Calopteryx"],
        ["Calopteryx", "genus", "Odonata"],
    )

    assert found == ["odonata|", "odonata|calopteryx|calopteryx splendens|", "odonata|calopteryx|"]


def test_by_higher_names() -> None:
    header = ["scientificName", "taxonRank", "order", "genus"]

    found = lineages(header, ["Calopteryx virgo", "species", "Odonata", "Calopteryx"])

    assert found == ["odonata|calopteryx|calopteryx virgo|"]


def test_a_list_and_the_material_place_one_name_at_one_place() -> None:
    written = {"scientificName": "Calopteryx virgo", "order": "Odonata", "genus": "Calopteryx"}
    (listed,) = lineages(["name", "rank", "order", "genus"], ["Calopteryx virgo", "species", "Odonata", "Calopteryx"])

    assert lineage_of(path_of(read_written(written))) == listed


def test_a_rank_that_is_not_kept_is_said_with_its_row() -> None:
    with pytest.raises(ValueError, match='Row 3, rank "cohort": not a rank'):
        lineages(["name", "rank"], ["Odonata", "order"], ["Neoptera", "cohort"])


def test_parents_in_a_circle_end() -> None:
    with pytest.raises(ValueError, match="run in a circle"):
        lineages(["name", "parent"], ["A", "B"], ["B", "A"])


def test_a_list_without_names_is_refused() -> None:
    with pytest.raises(ValueError, match="no column of names"):
        listed_taxa(["order", "remarks"], [["Odonata", ""]])


def test_short_rows_and_blank_names() -> None:
    assert listed_taxa(["name", "rank"], [["Odonata"], ["", "order"]]) == [ListedTaxon(2, "Odonata")]
