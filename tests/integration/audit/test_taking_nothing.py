"""Questions about permission and taking in an empty register: each answers, or says what it must be told."""

from __future__ import annotations

import pytest

from governance.audit.asking import UnknownValueError
from tests.integration.audit.put import put

pytestmark = pytest.mark.django_db

OF_ALL = ("without-paper", "outside-dates", "outside-area", "who-collected", "traps", "taken-against-allowed")
OF_ONE = {
    "permit-of-specimen": "specimen", "nagoya-not-applied": "accession", "consent-withdrawn": "paper",
    "species-under-paper": "paper",
}  # fmt: skip


@pytest.mark.parametrize("key", OF_ALL)
def test_of_all_that_is_not_there(key: str) -> None:
    answer = put(key)
    assert (len(answer.rows), answer.count, answer.kept_back, answer.missing) == (0, 0, (), ())
    assert answer.sentence.endswith((".", ":"))


@pytest.mark.parametrize("key", OF_ONE)
def test_of_one_that_is_not_told(key: str) -> None:
    with pytest.raises(UnknownValueError) as raised:
        put(key)
    assert raised.value.parameter == OF_ONE[key]
