"""The forms of identifiers, against what those who give them publish. Nothing is looked up.

Sources, from memory: DOI Handbook 2.2 (prefix, suffix) and 2.4 (case), ISO 26324; NCBI, "GenBank accession number
prefixes"; ENA, "Accession numbers" of its user documentation; INSDC, the same for BioProject and BioSample.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from governance.usedesk.identifiers import (
    MOST_OF_A_RANGE,
    PATTERNS,
    Archived,
    IdentifierError,
    accessioned,
    accessions_in,
    doi_of,
)


@pytest.mark.parametrize(
    ("text", "doi"),
    [
        ("10.1000/182", "10.1000/182"),  # the DOI of the DOI Handbook itself
        ("doi:10.1000/182", "10.1000/182"),
        ("DOI: 10.1000/182", "10.1000/182"),
        ("info:doi/10.1000/182", "10.1000/182"),
        ("https://doi.org/10.1000/182", "10.1000/182"),
        ("http://dx.doi.org/10.1000/182", "10.1000/182"),
        ("https://www.doi.org/10.1000/182", "10.1000/182"),
        (" 10.1000/182\n", "10.1000/182"),
        ("10.1000.10/123456", "10.1000.10/123456"),  # a registrant's code may be divided, 2.2.2
        ("10.1038/issn.1476-4687", "10.1038/issn.1476-4687"),  # a suffix may hold another identifier, 2.2.3
        ("10.1002/(SICI)1097-0258(19980815/30)17:15/16<1661::AID-SIM968>3.0.CO;2-2",
         "10.1002/(SICI)1097-0258(19980815/30)17:15/16<1661::AID-SIM968>3.0.CO;2-2"),
        ("https://doi.org/10.1002/%28SICI%291097", "10.1002/(SICI)1097"),  # in an address it is percent-encoded, 2.4.1
        ("10.1234/ABC", "10.1234/ABC"),
    ],
)  # fmt: skip
def test_doi(text: str, doi: str) -> None:
    assert doi_of(text) == doi


@pytest.mark.parametrize(
    "text",
    ["", "10.1000", "10.1000/", "10.123/abc", "11.1000/182", "10.1000/1 82", "https://doi.org/", "doi:", "abc",
     "https://example.org/10.1000/182", "10.1000/a\nb", "10.1000/a\x00b", f"10.1000/{'a' * 300}", "10./182"],
)  # fmt: skip
def test_no_doi(text: str) -> None:
    with pytest.raises(IdentifierError, match="has not the form of a DOI"):
        doi_of(text)


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        ("U12345", Archived.NUCLEOTIDE), ("U12345.1", Archived.NUCLEOTIDE), ("AY123456", Archived.NUCLEOTIDE),
        ("OR123456.2", Archived.NUCLEOTIDE), ("AB12345678", Archived.NUCLEOTIDE), ("AAA12345", Archived.PROTEIN),
        ("AAA98765.1", Archived.PROTEIN), ("MBA1234567", Archived.PROTEIN), ("AAAA01000001", Archived.WGS),
        ("AAAA02000000", Archived.WGS), ("AAAAAA010000001", Archived.WGS), ("JAAABB01S0000001", Archived.WGS),
        ("GCA_000001405.29", Archived.ASSEMBLY), ("SAMN12345678", Archived.BIOSAMPLE),
        ("SAMEA1234567", Archived.BIOSAMPLE), ("SAMD00012345", Archived.BIOSAMPLE), ("SRR1234567", Archived.READS),
        ("ERR123456", Archived.READS), ("DRX000001", Archived.READS), ("SRP123456", Archived.READS),
        ("ERS1234567", Archived.READS), ("SRA1234567", Archived.READS), ("ERZ123456", Archived.READS),
        ("PRJNA12345", Archived.PROJECT), ("PRJEB1", Archived.PROJECT), ("PRJDB1234", Archived.PROJECT),
        ("prjna12345", Archived.PROJECT),
    ],
)  # fmt: skip
def test_accession_numbers(number: str, kind: Archived) -> None:
    assert (accessioned(number).number, accessioned(number).kind) == (number.upper(), kind)


@pytest.mark.parametrize(
    "text",
    ["", "U1234", "U123456", "OR12345", "OR1234567", "OR123456.", "OR123456.0", "OR 123456", "AAAA0100001",
     "SR1234567", "SAM12345678", "PRJXA1", "12345678", "GCA_00001405.1", "COI-5P"],
)  # fmt: skip
def test_no_accession_number(text: str) -> None:
    """The length is part of the form: a digit too few or too many is a slip."""
    with pytest.raises(IdentifierError, match="has not the form of an accession number"):
        accessioned(text)


@pytest.mark.parametrize("text", ["NM_000546.6", "NC_000001", "WP_000000001.1"])
def test_collections_made_from_others_are_told_apart(text: str) -> None:
    with pytest.raises(IdentifierError, match="as it was submitted"):
        accessioned(text)


@pytest.mark.parametrize("text", ["OR123456-OR123467", "OR123456 – OR123467", "or123456-or123467", "OR123456:OR123467"])
def test_range(text: str) -> None:
    """456 to 467, both counted: 467 - 456 + 1 = 12."""
    found = [one.number for one in accessions_in(text)]
    assert (len(found), found[0], found[-1]) == (12, "OR123456", "OR123467")


def test_zeros_are_kept_in_a_range() -> None:
    assert [one.number for one in accessions_in("AB000009-AB000011")] == ["AB000009", "AB000010", "AB000011"]


@pytest.mark.parametrize("text", ["OR123467-OR123456", "OR123456-OS123460", "OR123456-OR1234567"])
def test_no_range(text: str) -> None:
    with pytest.raises(IdentifierError, match="is no range"):
        accessions_in(text)


def test_a_range_has_a_limit() -> None:
    """2,000 numbers are read, 2,001 are not: OR100000 to OR101999 is 1,999 + 1."""
    assert MOST_OF_A_RANGE == 2_000
    assert len(accessions_in("OR100000-OR101999")) == 2_000
    with pytest.raises(IdentifierError, match="stands for 2001 numbers"):
        accessions_in("OR100000-OR102000")


def test_every_mistake_is_named() -> None:
    with pytest.raises(IdentifierError) as told:
        accessions_in("OR123456, XX1, OR9-OR7 ZZ22")
    for word in ("XX1", "OR9-OR7", "ZZ22"):
        assert word in str(told.value)
    assert "“OR123456”" not in str(told.value)


def test_each_once() -> None:
    assert [one.number for one in accessions_in("OR123457 OR123456-OR123458; OR123457")] == [
        "OR123457",
        "OR123456",
        "OR123458",
    ]


@given(st.sampled_from([pattern for _kind, pattern in PATTERNS]).flatmap(lambda p: st.from_regex(p, fullmatch=True)))
def test_what_has_a_form_is_of_one_kind(number: str) -> None:
    """The published forms overlap in two places alone: SRR1234567 as a protein, SAMN12345678 as a set of contigs."""
    kinds = {kind for kind, pattern in PATTERNS if pattern.fullmatch(number)}
    assert accessioned(number).kind in kinds
    assert len(kinds) == 1 or kinds in ({Archived.READS, Archived.PROTEIN}, {Archived.BIOSAMPLE, Archived.WGS})


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    for read in (doi_of, accessioned, accessions_in):
        try:
            read(text)
        except IdentifierError as error:
            assert str(error)
