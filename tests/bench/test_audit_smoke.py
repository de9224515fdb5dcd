"""The bench of the audit runs in small, and its register has the past that it says."""

from __future__ import annotations

import pytest

from accessions.material.models import Specimen
from governance.audit.clocks import as_known
from governance.verdicts.models import Standing
from tests.bench.audit_register import FIRST, build_past, days

pytestmark = pytest.mark.django_db


def test_past_of_a_small_register() -> None:
    """Nine tenths came first; of sixty days each sixtieth of the rest follows: after the last day all are there."""
    build_past(1_000, lambda what: None, uses=10)
    assert Specimen.objects.count() == Standing.objects.count() == 1_000
    with as_known(FIRST):
        assert Specimen.objects.count() == 900
    with as_known(days()[0]):
        assert Specimen.objects.count() == 900 + len([n for n in range(901, 1_001) if n % 60 == 0])
