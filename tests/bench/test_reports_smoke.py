"""The bench of reports runs; report and peer come to the same totals: a bench of two answers is none."""

from __future__ import annotations

import pytest

from tests.bench import peer_h_reports
from tests.bench.reports_register import COUNTRY, build_country
from tests.bench.run_reports import composed_report, totals_of

pytestmark = pytest.mark.django_db


def test_report_and_peer_agree() -> None:
    """20 entries of ten specimens: six are loans, two losses, two gifts (one in ten, three in ten, one in ten)."""
    build_country(1_000, lambda what: None, uses=20)
    totals = totals_of(composed_report("provider"))
    peer = peer_h_reports.totals(COUNTRY)
    assert {key: totals.get(key, 0) for key in peer} == peer
    assert (peer["specimens"], peer["lent"], peer["losses"], peer["now_gift"]) == (1_000, 60, 20, 20)
    assert peer["exceptions"] > 0
    assert 0 < peer["lent_back"] < peer["lent"]
