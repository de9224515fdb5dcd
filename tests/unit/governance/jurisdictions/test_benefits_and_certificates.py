"""The Annex of the Nagoya Protocol, and the certificate of Article 17(4)."""

import pytest

from governance.jurisdictions import UnknownKeyError, benefit, benefits, certificate_fields


def test_annex_has_ten_monetary_and_seventeen_non_monetary_benefits():
    """Nagoya Protocol, Annex 1(a) to (j) and 2(a) to (q)."""
    monetary = [code for code, value in benefits().items() if value.kind == "monetary"]
    non_monetary = [code for code, value in benefits().items() if value.kind == "non-monetary"]
    assert monetary == [f"M-{letter}" for letter in "abcdefghij"]
    assert non_monetary == [f"N-{letter}" for letter in "abcdefghijklmnopq"]


@pytest.mark.parametrize(
    ("code", "source", "word"),
    [
        ("M-d", "Nagoya Protocol, Annex, 1(d)", "royalties"),
        ("M-j", "Nagoya Protocol, Annex, 1(j)", "ownership"),
        ("N-d", "Nagoya Protocol, Annex, 2(d)", "education"),
        ("N-p", "Nagoya Protocol, Annex, 2(p)", "recognition"),
        ("N-q", "Nagoya Protocol, Annex, 2(q)", "ownership"),
    ],
)
def test_benefits_name_their_letter_of_the_annex(code, source, word):
    assert benefit(code).source == source
    assert word in benefit(code).text
    assert benefit(code).decides


# One word of each paragraph of the treaty's own list, as far as our shorter words keep it.
IN_THE_TREATY = {
    "M-a": "fees", "M-b": "up front", "M-c": "milestone", "M-d": "royalties", "M-e": "licence", "M-f": "trust funds",
    "M-g": "salaries", "M-h": "research", "M-i": "joint ventures", "M-j": "intellectual property",
    "N-a": "results", "N-b": "scientific research", "N-c": "product development", "N-d": "education and training",
    "N-e": "databases", "N-f": "technology", "N-g": "technology transfer", "N-h": "institutional capacity",
    "N-i": "access rules", "N-j": "training on genetic resources", "N-k": "inventories", "N-l": "local economy",
    "N-m": "priority needs", "N-n": "professional relationships", "N-o": "livelihood security", "N-p": "social",
    "N-q": "intellectual property",
}  # fmt: skip


def test_every_benefit_says_what_its_paragraph_says():
    """Nagoya Protocol, Annex, 1(a) to 1(j) and 2(a) to 2(q): all 27, and each names its own paragraph."""
    assert list(benefits()) == list(IN_THE_TREATY)
    for code, words in IN_THE_TREATY.items():
        assert words in benefit(code).text, code
        assert benefit(code).source == f"Nagoya Protocol, Annex, {'12'[code[0] == 'N']}({code[2]})"


@pytest.mark.parametrize("code", ["j", "M-k", "N-r", "m-a", ""])
def test_a_letter_alone_is_no_benefit(code):
    """Joint ownership stands in both lists, as M-j and N-q."""
    with pytest.raises(UnknownKeyError, match=r"is no kind of benefit; there are M-a, .*N-q"):
        benefit(code)


def test_certificate_has_nine_minimum_fields_in_the_order_of_the_article():
    """Nagoya Protocol, Art. 17(4)(a) to (i)."""
    minimum = [field for field in certificate_fields().values() if field.minimum]
    assert [field.source[-3:] for field in minimum] == [f"({letter})" for letter in "abcdefghi"]
    assert all(field.decides for field in minimum)


def test_expiry_place_and_taxa_are_not_among_the_nine():
    """Not listed in Art. 17(4): their absence is no defect of a certificate. Their meanings are from memory."""
    for name in ("date_of_expiry", "collection_location", "taxonomy"):
        field = certificate_fields()[name]
        assert not field.minimum
        assert not field.decides
