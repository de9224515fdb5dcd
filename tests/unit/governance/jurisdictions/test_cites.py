"""CITES codes and validity. Sources: the CITES code lists (50 CFR 23.24; Conf. 12.3), 50 CFR 23.54, (EC) 865/2006."""

from datetime import date

import pytest

from governance.jurisdictions import UnknownKeyError, cites_codes, cites_last_day


@pytest.mark.parametrize(
    ("kind", "issued", "last_day"),
    [
        ("export-permit", date(2024, 8, 31), date(2025, 2, 28)),  # the reference text's own example
        ("export-permit", date(2023, 8, 31), date(2024, 2, 29)),  # leap year, by hand
        ("re-export-certificate", date(2024, 1, 15), date(2024, 7, 15)),
        ("export-permit", date(2024, 6, 30), date(2024, 12, 30)),
        ("export-permit", date(2024, 7, 1), date(2025, 1, 1)),
        ("import-permit", date(2024, 2, 29), date(2025, 2, 28)),
        ("import-permit", date(2023, 3, 1), date(2024, 3, 1)),
        ("introduction-from-the-sea-certificate", date(2024, 5, 5), date(2025, 5, 5)),
        ("certificate-of-origin", date(2024, 12, 31), date(2025, 12, 31)),
    ],
)
def test_last_day_is_six_or_twelve_calendar_months_after_issue(kind, issued, last_day):
    """50 CFR 23.54: no more than 6 months for export and re-export, 12 for the others. Days counted by hand."""
    assert cites_last_day(kind, issued) == last_day


def test_unknown_kind_of_document_names_the_known_ones():
    with pytest.raises(UnknownKeyError, match=r'"visa" is no kind of CITES document; there are export-permit, .*'):
        cites_last_day("visa", date(2024, 1, 1))


def test_code_lists_are_complete():
    """Twelve purposes (Conf. 12.3) and eleven sources (50 CFR 23.24; Y from memory)."""
    assert "".join(sorted(cites_codes("purpose"))) == "BEGHLMNPQSTZ"
    assert "".join(sorted(cites_codes("source"))) == "ACDFIORUWXY"


def test_scientific_purpose_is_s():
    assert cites_codes("purpose")["S"].text == "Scientific"


def test_code_known_from_memory_does_not_decide():
    """Y (assisted production) rests partly on memory; W does not."""
    assert not cites_codes("source")["Y"].decides
    assert cites_codes("source")["W"].decides


def test_other_kinds_of_code_are_refused():
    with pytest.raises(UnknownKeyError, match="there are purpose, source"):
        cites_codes("appendix")
