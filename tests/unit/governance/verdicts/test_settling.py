"""Every finding code has its advice, and the table says of each test what the contract says of its codes."""

from __future__ import annotations

import pytest

from governance.engine.tables import CODES, NO_CODES, REMARKS
from governance.verdicts.settling import ADVICE, TEST_NAMES, Test, advice_of, is_remark, record_page, says_no


@pytest.mark.parametrize("code", CODES)
def test_every_code_has_advice_in_words(code: str) -> None:
    advice = ADVICE[code]
    assert len(str(advice.settle)) > 10
    assert str(advice.settle).endswith(".")
    assert str(advice.settle)[0].islower() or str(advice.settle).startswith("YYYY"), 'it follows "To settle it:"'
    assert str(advice.caption)


def test_no_advice_without_a_code() -> None:
    assert set(ADVICE) == set(CODES)


@pytest.mark.parametrize(
    ("code", "test"),
    [
        ("paper-unread", Test.PAPER),
        ("after-end", Test.DATES),
        ("version-vague", Test.DATES),
        ("country-mismatch", Test.AREA),
        ("by-name", Test.AREA),
        ("taxon-broad", Test.TAXA),
        ("method-mixed", Test.METHODS),
        ("supervision-not-evidenced", Test.PEOPLE),
        ("life-stage", Test.KIND),
        ("cap-possible", Test.COUNT),
        ("count-assumed", Test.COUNT),
    ],
)
def test_code_belongs_to_the_test_of_its_section(code: str, test: Test) -> None:
    """Contract: sections 3 (dates), 4 (places), 5 (taxa), 6 (methods, people, sex and stage, numbers), 7 (papers)."""
    assert ADVICE[code].test is test


def test_no_word_of_blame() -> None:
    for advice in ADVICE.values():
        text = f"{advice.caption} {advice.settle}".casefold()
        assert not any(word in text for word in ("illegal", "violat", "offence", "fault", "invalid", "guilty"))


def test_unknown_code_of_a_later_engine_gets_general_advice() -> None:
    assert advice_of("from-the-future").test is Test.PAPER


def test_kinds_of_answers() -> None:
    assert {code for code in CODES if says_no(code)} == set(NO_CODES)
    assert {code for code in CODES if is_remark(code)} == set(REMARKS)
    assert len(TEST_NAMES) == len(Test)


@pytest.mark.parametrize(
    ("code", "page"),
    [
        ("date-missing", "material:specimen-event"),
        ("area-edge", "material:specimen-event"),
        ("taxon-qualified", "material:specimen-determine"),
        ("sex-missing", "material:specimen-edit"),
        ("after-end", ""),
        ("area-not-mapped", ""),
        ("radius-assumed", ""),
        ("not-searched", ""),
    ],
)
def test_unknown_of_the_record_leads_to_the_record(code: str, page: str) -> None:
    """A no is settled by a paper, an unmapped place by the paper's map: only what the record lacks leads to it."""
    assert record_page(code) == page
