"""A field number comes again every season: a paper that is linked to one event speaks for no other of the number."""

from __future__ import annotations

import pytest

from accessions.material.actions.specimens import change_event
from accessions.material.models import Specimen
from accessions.material.statements import place_event
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.verdicts.actions import assess, take_up
from governance.verdicts.models import Standing
from tests.factories import register

WRITTEN = {
    "eventID": "1", "eventDate": "2024-06-17", "decimalLatitude": "42.084", "decimalLongitude": "43.903",
    "geodeticDatum": "WGS84", "coordinateUncertaintyInMeters": "30", "countryCode": "GE",
}  # fmt: skip

pytestmark = pytest.mark.django_db


def verdict(specimen: Specimen) -> Verdict:
    return Verdict(int(Standing.objects.get(pk=specimen.pk).ruling.strip[Layer.COLLECTING]))


@pytest.fixture
def two_seasons() -> tuple[Specimen, Specimen, Specimen]:
    """Two specimens of event 1 of one accession, one of them stated a little differently, and one of another's."""
    curator = register.person(Role.CURATOR)
    paper = register.paper()
    register.version(paper, "2024-01-01", None)
    register.rule(register.sheet("GE"))
    events = [
        place_event(written, by=curator, why="label")
        for written in (WRITTEN, WRITTEN | {"locality": "by the bridge"}, WRITTEN | {"eventDate": "2024-07-02"})
    ]
    first, other = register.accession("LMN-2024-1"), register.accession("LMN-2024-2")
    found = [
        register.specimen(f"S-{n}", accession=accession, event=event)
        for n, (accession, event) in enumerate(zip((first, first, other), events, strict=True))
    ]
    register.link(paper, event=events[0])
    return found[0], found[1], found[2]


def test_a_number_of_another_accession_is_another_event(two_seasons: tuple[Specimen, Specimen, Specimen]) -> None:
    one, same_event, other_season = two_seasons
    assess(by=None, why="first")
    assert verdict(one) == verdict(same_event) == Verdict.COVERED
    assert verdict(other_season) == Verdict.MISSING


def test_a_statement_that_is_corrected_keeps_its_papers(two_seasons: tuple[Specimen, Specimen, Specimen]) -> None:
    one, same_event, other_season = two_seasons
    curator = register.person(Role.CURATOR)
    assess(by=None, why="first")
    written = WRITTEN | {"recordedBy": "J. Ek"}
    change_event(one, written, everyone=True, by=curator, why="the notebook names her")
    take_up(by=None)
    assert verdict(one) == verdict(same_event) == Verdict.COVERED
    assert verdict(other_season) == Verdict.MISSING
