"""Promises of a paper of which nobody recorded whose it is: told where the paper bears on the material."""

from __future__ import annotations

from datetime import date

import pytest

from tests.factories import duties, register
from tests.integration.reports.composing.georgia import YEAR, column, make_georgia, note, report_on

pytestmark = pytest.mark.django_db


def test_promised_and_given_by_a_paper_without_jurisdiction() -> None:
    """What hangs on it goes in; what hangs on one like it that bears on other material does not."""
    georgia = make_georgia()
    here, other = register.paper("P-1", jurisdiction=""), register.paper("P-2", jurisdiction="")
    register.link(here, accession=georgia.here)
    register.link(other, accession=register.accession("LMN-3"))
    for paper in (here, other):
        register.version(paper, "2020-01-01", None)
        promise = duties.promise(paper, country="", what=f"Course of {paper.reference}")
        duties.given(promise, country="", on=date(2025, 5, 4), what=f"Given by {paper.reference}")
    made = report_on(**YEAR)
    assert column(made, "promises", "paper", "what") == [("P-1", "Course of P-1")]
    assert column(made, "given", "what") == [("Given by P-1",)]
    assert note(made, "no_promises") is None
