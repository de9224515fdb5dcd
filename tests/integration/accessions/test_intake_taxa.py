"""Lists of taxa are loaded beside what the specimens say."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from accessions.intake.actions import load_file
from accessions.material.models import Touch
from accessions.names.actions import TaxonListError, load_taxa
from accessions.names.listed import ListedTaxon
from accessions.names.models import Taxon, TaxonList
from tests.factories.register import person

pytestmark = pytest.mark.django_db

LIST = (
    "scientificName,taxonRank,order,family\nCalopterygidae,family,Odonata,\nCalopteryx,genus,Odonata,Calopterygidae\n"
)
NAMED = ("--name", "Odonata of the house", "--source", "House list of 2026", "--by", "curator")


@pytest.fixture
def taxa(tmp_path: Path) -> Path:
    path = tmp_path / "odonata.csv"
    path.write_text(LIST, encoding="utf-8")
    person("curator", username="curator")
    return path


def test_a_list_adds_its_names_below_each_other(taxa: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("load_taxa", str(taxa), *NAMED)

    assert "3 taxa added" in capsys.readouterr().out
    genus = Taxon.objects.get(name="Calopteryx")
    assert (genus.rank, genus.lineage) == ("genus", "odonata|calopterygidae|calopteryx|")
    assert genus.parent is not None and genus.parent.parent is not None
    assert (genus.parent.name, genus.parent.parent.name) == ("Calopterygidae", "Odonata")
    assert genus.taxon_list == TaxonList.objects.get(name="Odonata of the house")
    assert list(Touch.objects.values_list("scope", "key")) == [("names", 0)]
    assert Taxon.history.count() == 3


def test_a_list_again_changes_nothing(taxa: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("load_taxa", str(taxa), *NAMED)
    before = Taxon.history.count(), TaxonList.history.count(), Touch.objects.count()

    call_command("load_taxa", str(taxa), *NAMED)

    assert (Taxon.history.count(), TaxonList.history.count(), Touch.objects.count()) == before
    assert "0 taxa added, 3 were there already" in capsys.readouterr().out


def test_specimens_meet_the_names_of_a_list(taxa: Path, tmp_path: Path) -> None:
    call_command("load_taxa", str(taxa), *NAMED)
    file = tmp_path / "specimens.csv"
    file.write_text("catalogNumber,accessionNumber,order,family,genus\nA-1,ACC,Odonata,Calopterygidae,Calopteryx\n")

    load_file(file, by=person("curator", username="curator"), why="load")

    assert Taxon.objects.count() == 3
    assert Taxon.objects.get(name="Calopteryx").written_names.count() == 1


def test_mistakes_are_told_and_nothing_is_loaded(taxa: Path) -> None:
    taxa.write_text("scientificName,taxonRank\nOdonata,order\nNeoptera,cohort\n")

    with pytest.raises(CommandError, match='Row 3, rank "cohort": not a rank'):
        call_command("load_taxa", str(taxa), *NAMED)

    assert not Taxon.objects.exists() and not TaxonList.objects.exists()


def test_an_auditor_loads_nothing(taxa: Path) -> None:
    person("auditor", username="auditor")

    with pytest.raises(CommandError, match="Your role is Auditor"):
        call_command("load_taxa", str(taxa), *NAMED[:-1], "auditor")


@pytest.mark.parametrize(
    ("name", "source", "rows", "words"),
    [("", "House list", 1, "a name and its source"), ("List", " ", 1, "a name and its source"),
     ("List", "House list", 0, "has no rows")],
)  # fmt: skip
def test_a_list_without_name_source_or_rows_is_none(name: str, source: str, rows: int, words: str) -> None:
    taxa = [ListedTaxon(2, "Odonata", "order")] * rows
    with pytest.raises(TaxonListError, match=words):
        load_taxa(taxa, name=name, source=source, by=person("curator"), why="x")
    assert not TaxonList.objects.exists()
