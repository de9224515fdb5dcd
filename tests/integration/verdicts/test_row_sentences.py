"""Sentences of a list: what was judged under other house rules is told with these."""

from __future__ import annotations

import pytest

from governance.verdicts.models import Run, Standing
from governance.verdicts.row_sentences import SentenceFiller
from tests.factories import register


@pytest.mark.django_db
def test_the_reach_is_that_of_the_run_that_judged() -> None:
    """One event of unknown uncertainty, judged with an assumed radius of 1 km and later with one of 4 km (WGS84)."""
    event = register.event(coordinate_uncertainty_m="", radius_m=None)
    name = register.written_name()
    filler = SentenceFiller()
    said = []
    for number, radius_m in enumerate((1000.0, 4000.0), start=1):
        run = Run(pk=number, house={"assumed_radius_m": radius_m, "datum_allowance_m": 250.0})
        said.append(filler.fill("{name}, known to {reach}.", Standing(event=event, name=name, run=run)))
    assert said == ["Calopteryx splendens, known to ±1000 m.", "Calopteryx splendens, known to ±4000 m."]
