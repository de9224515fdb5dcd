"""Scientific names.

Examples of Darwin Core (scientificName, verbatimIdentification, identificationQualifier) and of the contract of
verdicts, section 5. The made-up name Aus bus is the example name of the International Code of Zoological Nomenclature.
"""

import pytest

from accessions.values import canonical_name, read_name


# Darwin Core scientificName examples, and names with the authorship forms of the two codes of nomenclature.
@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("Coleoptera", "Coleoptera"),
        ("Vespertilionidae", "Vespertilionidae"),
        ("Ctenomys sociabilis", "Ctenomys sociabilis"),
        ("Ambystoma tigrinum diaboli", "Ambystoma tigrinum diaboli"),
        ("Roptrocerus typographi (Györfi, 1952)", "Roptrocerus typographi"),
        ("Quercus agrifolia var. oxyadenia (Torr.) J.T. Howell", "Quercus agrifolia oxyadenia"),
        ("Libellula depressa Linnaeus, 1758", "Libellula depressa"),
        ("Libellula  depressa", "Libellula depressa"),
        ("Aedes (Stegomyia) aegypti", "Aedes aegypti"),
        ("Aedes (Stegomyia)", "Stegomyia"),
        ("Aus bus de Vries & van der Berg, 1900", "Aus bus"),
        ("Aus bus d'Orbigny", "Aus bus"),
        ("Aus bus, 1900", "Aus bus"),
        ("Aus bus L. subsp. cus Mill.", "Aus bus cus"),
        ("Aus novae-zealandiae", "Aus novae-zealandiae"),
        ("Potentilla × pantotricha Soják", "Potentilla pantotricha"),
        ("Peromyscus sp.", "Peromyscus"),
    ],
)
def test_authorship_is_removed(text: str, canonical: str) -> None:
    assert canonical_name(text) == canonical


@pytest.mark.parametrize(
    "text", ["Aus cf. bus", "Anser anser × Branta canadensis", "Anser anser × Anser fabalis", "indet."]
)
def test_a_doubtful_listed_name_is_never_widened(text: str) -> None:
    # widened to the genus it would allow more than the paper does
    assert canonical_name(text) == text


@pytest.mark.parametrize(
    ("text", "rank", "names"),
    [
        ("Roptrocerus typographi (Györfi, 1952)", "species",
         {"genus": "Roptrocerus", "species": "Roptrocerus typographi"}),
        ("Quercus agrifolia var. oxyadenia (Torr.) J.T. Howell", "infraspecies",
         {"genus": "Quercus", "species": "Quercus agrifolia", "infraspecies": "Quercus agrifolia oxyadenia"}),
        ("Aedes (Stegomyia) aegypti", "species",
         {"genus": "Aedes", "subgenus": "Stegomyia", "species": "Aedes aegypti"}),
        ("Vespertilionidae", "family", {"family": "Vespertilionidae"}),
        ("Monocleaceae", "family", {"family": "Monocleaceae"}),
        ("LIBELLULA DEPRESSA", "species", {"genus": "LIBELLULA", "species": "LIBELLULA DEPRESSA"}),
    ],
)  # fmt: skip
def test_canonical_names_by_rank(text: str, rank: str, names: dict[str, str]) -> None:
    read = read_name(text)
    assert (read.rank, read.names, read.unranked, read.qualified) == (rank, names, (), False)


# Darwin Core's verbatimIdentification examples, read as the only name of a row.
@pytest.mark.parametrize(
    ("text", "names", "qualified"),
    [
        ("Peromyscus sp.", {"genus": "Peromyscus"}, False),
        ("Ministrymon sp. nov. 1", {"genus": "Ministrymon"}, False),
        ("Anser anser × Branta canadensis", {}, False),
        ("Pachyporidae?", {}, True),
        ("Potentilla × pantotricha Soják", {"genus": "Potentilla", "species": "Potentilla pantotricha"}, False),
        ("Aconitum pilipes × A. variegatum", {"genus": "Aconitum"}, False),
        ("Lepomis auritus x cyanellus", {"genus": "Lepomis"}, False),
    ],
)
def test_verbatim_identifications(text: str, names: dict[str, str], qualified: bool) -> None:
    for read in (read_name(verbatim_identification=text), read_name(text)):
        assert (read.names, read.unranked, read.qualified) == (names, (), qualified)


# A qualifier drops the name it stands before, or the lowest (contract, section 5).
@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Aus cf. bus", {"genus": "Aus"}),
        ("Aus aff. bus Smith, 1900", {"genus": "Aus"}),
        ("Aus nr bus", {"genus": "Aus"}),
        ("Aus near bus", {"genus": "Aus"}),
        ("Aus prope bus", {"genus": "Aus"}),
        ("Aus ?bus", {"genus": "Aus"}),
        ("Aus ? bus", {"genus": "Aus"}),
        ("Aus bus?", {"genus": "Aus"}),
        ("Aus bus ?", {"genus": "Aus"}),
        ("Aus bus agg.", {"genus": "Aus"}),
        ("Aus bus sp. agg.", {"genus": "Aus"}),
        ("Aus bus s.l.", {"genus": "Aus"}),
        ("Aus bus sensu lato", {"genus": "Aus"}),
        ("Aus bus or cus", {"genus": "Aus"}),
        ("Aus bus/cus", {"genus": "Aus"}),
        ("Aus sp. aff. bus", {"genus": "Aus"}),
        ("Aus cf. bus cus", {"genus": "Aus"}),
        ("Aus bus cf. cus", {"genus": "Aus", "species": "Aus bus"}),
        ("Aus bus cus?", {"genus": "Aus", "species": "Aus bus"}),
        ("Aus (Cus) cf. bus", {"genus": "Aus", "subgenus": "Cus"}),
        ("cf. Aus bus", {}),
        ("?Aus bus", {}),
        ("Aus? bus", {}),
        ("?Aus sp.", {}),
        ("Aidae? indet.", {}),
        ("Aus bus × cf. cus", {"genus": "Aus"}),
    ],
)
def test_a_qualifier_drops_what_it_stands_before(text: str, names: dict[str, str]) -> None:
    read = read_name(text)
    assert read.qualified
    assert (read.names, read.unranked) == (names, ())


def test_columns_of_the_dropped_rank_and_below_go_too() -> None:
    read = read_name("?Aus bus", family="Aidae", genus="Aus", subgenus="Cus", specific_epithet="bus")
    assert read.names == {"family": "Aidae"}
    read = read_name("Aidae?", order="Odonata", family="Aidae", subfamily="Ainae", genus="Aus")
    assert (read.rank, read.names, read.qualified) == ("order", {"order": "Odonata"}, True)


def test_columns_go_with_a_doubtful_name_that_is_not_carried_on() -> None:
    read = read_name("?Aus sp.", family="Aidae", genus="Aus")
    assert (read.names, read.unranked, read.qualified) == ({"family": "Aidae"}, (), True)
    read = read_name("Aidae? indet.", order="Odonata", family="Aidae", genus="Aus")
    assert (read.names, read.unranked, read.qualified) == ({"order": "Odonata"}, (), True)


@pytest.mark.parametrize("qualifier", ["?", "cf.", "uncertain"])
def test_identification_qualifier_beside_rank_columns_alone_drops_the_lowest(qualifier: str) -> None:
    read = read_name(order="Odonata", family="Aidae", identification_qualifier=qualifier)
    assert (read.rank, read.names, read.qualified) == ("order", {"order": "Odonata"}, True)
    read = read_name(family="Aidae", identification_qualifier=qualifier, higher_classification="Odonata | Aidae")
    assert (read.names, read.unranked, read.qualified) == ({}, ("Odonata",), True)
    assert read_name(identification_qualifier=qualifier).qualified


def test_a_dropped_name_does_not_return_by_higher_classification() -> None:
    read = read_name("Aidae?", higher_classification="Animalia | Odonata | Aidae | Aus")
    assert (read.names, read.unranked) == ({}, ("Animalia", "Odonata"))


# identificationQualifier: Darwin Core's example "aff. agrifolia var. oxyadenia" names the part in doubt.
@pytest.mark.parametrize(
    ("name", "qualifier", "names"),
    [
        ("Quercus agrifolia var. oxyadenia", "aff. agrifolia var. oxyadenia", {"genus": "Quercus"}),
        ("Quercus agrifolia var. oxyadenia", "cf. var. oxyadenia",
         {"genus": "Quercus", "species": "Quercus agrifolia"}),
        ("Quercus agrifolia", "cf.", {"genus": "Quercus"}),
        ("Quercus agrifolia", "?", {"genus": "Quercus"}),
        ("Quercus cf. agrifolia", "cf.", {"genus": "Quercus"}),
        ("Quercus agrifolia", "uncertain", {"genus": "Quercus"}),
    ],
)  # fmt: skip
def test_identification_qualifier(name: str, qualifier: str, names: dict[str, str]) -> None:
    read = read_name(name, identification_qualifier=qualifier)
    assert read.qualified
    assert read.names == names


def test_identification_qualifier_of_an_epithet_leaves_the_genus() -> None:
    read = read_name("Quercus", genus="Quercus", identification_qualifier="cf. agrifolia")
    assert (read.names, read.qualified) == ({"genus": "Quercus"}, True)


def test_verbatim_doubt_about_the_same_name_counts() -> None:
    assert read_name("Aus bus", verbatim_identification="Aus cf. bus").names == {"genus": "Aus"}
    # another, earlier identification does not
    assert read_name("Aus bus", verbatim_identification="Dus cf. cus").names["species"] == "Aus bus"


@pytest.mark.parametrize("text", ["gen. sp.", "indet.", "Unidentified", "", "unknown", "123"])
def test_texts_without_a_name(text: str) -> None:
    read = read_name(text, family="Aidae")
    assert (read.names, read.unranked, read.qualified) == ({"family": "Aidae"}, (), False)


def test_single_names_take_the_rank_that_is_known() -> None:
    assert read_name("Coleoptera", taxon_rank="order").names == {"order": "Coleoptera"}
    assert read_name("Coleoptera", order="Coleoptera").rank == "order"
    assert read_name("Puma", genus="Puma").rank == "genus"
    read = read_name("Coleoptera")
    assert (read.rank, read.names, read.unranked) == (None, {}, ("Coleoptera",))


# What the name says and what a column says are both said of the specimen: a paper that excludes either must find it.
@pytest.mark.parametrize(
    ("text", "columns", "names", "unranked"),
    [
        ("Aidae sp.", {}, {"family": "Aidae"}, ()),
        ("Aidae indet.", {"family": "Aidae"}, {"family": "Aidae"}, ()),
        ("Aidae indet.", {"family": "Bidae"}, {"family": "Bidae"}, ("Aidae",)),
        ("Aidae", {"family": "Bidae"}, {"family": "Bidae"}, ("Aidae",)),
        ("Diptera indet.", {}, {}, ("Diptera",)),
        ("Diptera indet.", {"order": "Diptera"}, {"order": "Diptera"}, ()),
        ("Diptera indet.", {"order": "Coleoptera"}, {"order": "Coleoptera"}, ("Diptera",)),
        ("Aus sp.", {"genus": "Bus"}, {"genus": "Bus"}, ("Aus",)),
    ],
)
def test_a_name_that_is_not_carried_on_stays_beside_its_columns(
    text: str, columns: dict[str, str], names: dict[str, str], unranked: tuple[str, ...]
) -> None:
    read = read_name(text, **columns)
    assert (read.names, read.unranked, read.qualified) == (names, unranked, False)


# Names of hybrids: Darwin Core, and the code of nomenclature for plants (a sign before the genus, article H.3).
@pytest.mark.parametrize(
    ("text", "species"),
    [("× Heucherella tiarelloides", "Heucherella tiarelloides"), ("Libellula depressa.", "Libellula depressa")],
)
def test_signs_about_a_name_are_none_of_it(text: str, species: str) -> None:
    assert read_name(text).names == {"genus": species.split()[0], "species": species}


def test_epithet_columns_make_the_name_where_scientific_name_is_blank_or_the_genus() -> None:
    expected = {"genus": "Puma", "species": "Puma concolor", "infraspecies": "Puma concolor concolor"}
    columns = {"genus": "Puma", "specific_epithet": "concolor", "infraspecific_epithet": "concolor"}
    assert read_name(**columns).names == expected
    assert read_name("Puma", **columns).names == expected
    assert read_name("Puma sp.", genus="Puma", specific_epithet="concolor").names == {"genus": "Puma"}
    assert read_name(genus="Puma", specific_epithet="cf. concolor").qualified


def test_higher_classification() -> None:
    # Darwin Core's example
    text = "Plantae | Tracheophyta | Magnoliopsida | Ranunculales | Ranunculaceae | Ranunculus"
    read = read_name("Ranunculus acris", kingdom="Plantae", higher_classification=text)
    assert read.unranked == ("Tracheophyta", "Magnoliopsida", "Ranunculales")
    assert read.names == {
        "kingdom": "Plantae", "family": "Ranunculaceae", "genus": "Ranunculus", "species": "Ranunculus acris",
    }  # fmt: skip
    assert read_name("Ranunculus acris", higher_classification=text.replace(" |", ";")).unranked[0] == "Plantae"


def test_a_subspecies_above_a_variety_stays_in_the_path() -> None:
    read = read_name("Aus bus subsp. cus var. dus")
    assert read.names["infraspecies"] == "Aus bus dus"
    assert read.unranked == ("Aus bus cus",)


def test_an_abbreviated_genus_is_not_guessed() -> None:
    assert read_name("L. depressa").names == {}
    assert read_name("L. depressa", genus="Libellula").names["species"] == "Libellula depressa"
    assert read_name("A. depressa", genus="Libellula").names == {"genus": "Libellula"}


def test_formulas_of_two_genera_take_the_genus_column_out() -> None:
    read = read_name("Anser anser × Branta canadensis", family="Anatidae", genus="Anser", specific_epithet="anser")
    assert read.names == {"family": "Anatidae"}


def test_the_authorship_column_keeps_authors_out_of_the_name() -> None:
    assert read_name("Aus bus deville", authorship="deville").names["species"] == "Aus bus"
    assert "infraspecies" not in read_name("Aus bus deville", authorship="deville").names


def test_a_synonym_keeps_both_genera_in_the_path() -> None:
    read = read_name("Felis concolor", genus="Puma")
    assert read.names == {"genus": "Puma", "species": "Felis concolor"}
    assert read.unranked == ("Felis",)
